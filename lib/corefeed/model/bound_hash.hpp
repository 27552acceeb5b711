// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/model/model.hpp"

namespace corefeed::model {

/// Fingerprint (SHA-1, hexadecimal) of all that a model answers from: its text, the numbers that were
/// measured in CAD or fitted to tests, its curves and points, its table of surface pressures. `Model::hash`
/// is of the text alone.
std::string bound_hash(const Model& model);

}  // namespace corefeed::model
