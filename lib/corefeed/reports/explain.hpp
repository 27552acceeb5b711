// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/losses/kind.hpp"

/// The laws in words, from the rows that the laws themselves are read and computed with.
namespace corefeed::reports {

/// A page on one element kind for a terminal of 100 columns: what it stands for, formula, range, band,
/// source, keys, rules and what it reports.
std::string explain(const losses::Kind& kind);

/// One line for each kind.
std::string explain_all();

/// The page docs/laws.md: the same for all kinds in Markdown.
std::string laws_page();

}  // namespace corefeed::reports
