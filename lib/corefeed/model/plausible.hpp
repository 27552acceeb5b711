// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/model/model.hpp"

namespace corefeed::model {

/// Warnings (code "implausible") for numbers that the model states and that no car's cooling has: most often
/// a slip of the unit, such as "900 m" for "900 mm". The model is solved all the same. A hydraulic diameter
/// above that of a circle of the same area is one too.
std::vector<Issue> implausible_numbers(const Model& model);

}  // namespace corefeed::model
