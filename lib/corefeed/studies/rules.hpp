// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

#include "corefeed/model/parameter.hpp"

/// Which numbers may stand together when a question moves some of them. Private to the library's sources.
namespace corefeed::studies {

/// What is wrong with a model in which these numbers are given: they may not stand beside others of their
/// element, or need others. Errors of the command line that begin with `lead`. Values that contradict each
/// other are not told: they may do so here and not elsewhere.
std::vector<Issue> broken_rules(const model::Model& model, const std::vector<model::Parameter>& given,
                                std::string_view lead);

}  // namespace corefeed::studies
