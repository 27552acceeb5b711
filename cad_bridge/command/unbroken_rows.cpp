// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/unbroken_rows.hpp"

#include "cad_bridge/command/line_reader.hpp"

namespace corefeed::command {

Unbroken unbroken_rows(const std::string& path, const RowsWanted& wanted) {
  Unbroken found;
  LineReader reader(path);
  const auto header = reader.next();
  found.goes_on = header.has_value();
  if (!header || *header != wanted.header) return found;
  found.has_header = true;
  found.hash.add(*header);
  found.bytes = reader.offset();
  std::size_t rows = 0;
  std::size_t solved = 0;
  std::string since;  // behind the last block
  while (const auto line = reader.next()) {
    const auto mark = line->ends_with('\n') && rows < wanted.rows
                          ? reports::read_row_mark(line->substr(0, line->size() - 1), wanted.format)
                          : std::nullopt;
    if (!mark || mark->row != wanted.first_row + rows) return found;
    ++rows;
    solved += mark->converged ? 1U : 0U;
    since += *line;
    if (rows % wanted.block_rows != 0 && rows != wanted.rows) continue;
    found.hash.add(since);
    since.clear();
    found.rows = rows;
    found.solved = solved;
    found.bytes = reader.offset();
  }
  found.goes_on = !since.empty();
  return found;
}

}  // namespace corefeed::command
