// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/studies/study.hpp"

namespace corefeed::reports {

/// A check as JUnit XML, for servers that show tests: one suite per operating point with the test "solved"
/// and one test per requirement judged there. File and line lead to the point or requirement in the model.
/// The same study gives the same text. `options` are those of the study: a strict one fails on what is too
/// close to call, and in the test "within range" on warnings that it does not accept.
std::string junit(const model::Model& model, const studies::Study& study,
                  const studies::StudyOptions& options = {});

}  // namespace corefeed::reports
