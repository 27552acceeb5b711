// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/studies/study.hpp"

namespace corefeed::reports {

/// What a check found as SARIF 2.1.0, which code hosts and editors show beside the model's lines. One run;
/// rules with ids that stay; each result with a place in the model file and with a fingerprint of rule,
/// subject and point, so that it counts as the same one when lines move. Ends with a line end.
std::string sarif(const model::Model& model, const studies::Study& study,
                  const studies::StudyOptions& options = {});

/// The file of a model as a URI reference (RFC 3986): relative where the path is, or lies below `folder`.
std::string uri_of(const std::string& file, const std::string& folder);

}  // namespace corefeed::reports
