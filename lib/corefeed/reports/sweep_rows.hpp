// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/model/document.hpp"
#include "corefeed/studies/sweep.hpp"

/// Rows of a sweep as text, and the facts that tell which sweep a file of them belongs to. SI units
/// throughout; numbers with the fewest digits that read back to the same bits.
namespace corefeed::reports {

enum class RowFormat {
  csv,        ///< RFC 4180 with header cells `name [unit]`; the facts stand in a file of their own
  json_lines  ///< one object a line, the first of which holds the facts
};

/// One of `count` parts of a sweep, from 1; the rows that its blocks hold.
struct SweepSlice {
  std::size_t index = 1;
  std::size_t count = 1;
  std::size_t first_block(const studies::SweepPlan& plan) const;
  std::size_t last_block(const studies::SweepPlan& plan) const;  ///< one behind
};

/// How the question was put, for whoever reads the facts.
struct SweepWords {
  std::vector<std::string> over;  ///< as written
  std::string from;               ///< table of rows
  std::string variant;
};

/// What a file of rows answers: version, units, model with its hashes, options, columns, how many rows there
/// are and which of them the file holds. Members of "options" and "hash", "bound_hash" and "corefeed" are the
/// same in two files that belong together.
model::Value sweep_facts(const studies::SweepPlan& plan, const SweepWords& words, RowFormat format,
                         const SweepSlice& slice);

/// On one line, with its line break.
std::string facts_line(const model::Value& facts);

/// The line before the rows: column names in CSV, the facts in JSON lines.
std::string row_header(const studies::SweepPlan& plan, const model::Value& facts, RowFormat format);

/// Lines of these rows. Columns: row (from 1), point, the inputs, the shown quantities, converged. A row
/// without solution has empty cells (null), `converged` 0 (false) and in JSON lines the `reason`.
std::string row_lines(const studies::SweepPlan& plan, const studies::SweptRows& rows, RowFormat format);

/// What can be told of a line of rows without reading all of it.
struct RowMark {
  std::size_t row = 0;  ///< from 1
  bool converged = false;
};
/// Nothing where the line, given without its break, is no whole row.
std::optional<RowMark> read_row_mark(std::string_view line, RowFormat format);

}  // namespace corefeed::reports
