// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/studies/study.hpp"

namespace corefeed::reports {

/// What a check found as lines "::error file=..,line=..,title=..::text", the form in which several build
/// services take annotations from a log: worst first, since they show only the first ten or so of each kind,
/// then one "::notice" with the verdict.
std::string annotations(const model::Model& model, const studies::Study& study,
                        const studies::StudyOptions& options = {});

}  // namespace corefeed::reports
