// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tests/published/published.hpp"

namespace corefeed::published {

/// One topic of the page; `last` is the number of its last row where the list has to be complete, else 0.
struct Topic {
  std::string_view prefix, title;
  int last;
};
const std::vector<Topic>& topics();

/// Markdown, the same on every machine: five digits of a value, two of a deviation.
std::string validation_page(const std::vector<Row>& rows);

/// Ids that a complete topic lacks.
std::vector<std::string> missing_ids(const std::vector<Row>& rows);

}  // namespace corefeed::published
