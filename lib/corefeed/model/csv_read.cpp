// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <unordered_set>
#include <utility>

#include "corefeed/model/csv_table.hpp"
#include "corefeed/model/issue_list.hpp"
#include "corefeed/model/number_text.hpp"
#include "corefeed/model/text_file.hpp"

namespace corefeed::model {
namespace {

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == text.npos) return text.substr(0, 0);
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// A number under either decimal mark; such a cell is no name of a column.
bool is_numeric(std::string_view cell) {
  std::string digits(cell);
  std::replace(digits.begin(), digits.end(), ',', '.');
  const NumberText number = read_number_text(digits);
  return number.range != NumberRange::not_a_number && number.written.size() == digits.size();
}

/// What parts the cells of a header; what stands in double quotes parts nothing.
char separator_of(std::string_view header) {
  bool in_quotes = false;
  bool semicolon = false;
  bool tab = false;
  bool comma = false;
  for (const char c : header) {
    if (c == '"') in_quotes = !in_quotes;
    if (in_quotes) continue;
    semicolon = semicolon || c == ';';
    tab = tab || c == '\t';
    comma = comma || c == ',';
  }
  return semicolon ? ';' : tab && !comma ? '\t' : ',';
}

}  // namespace

/// Builds a table line by line. Offsets fit 32 bits, as the size of the text is limited.
class TableReader {
 public:
  TableReader(std::string text, std::string file_label, const TableLimits& limits) : limits_(limits) {
    table_.file_ = std::move(file_label);
    table_.content_ = std::move(text);
  }

  Result<Table> read() {
    if (auto fault = refuse_bytes()) return *fault;
    for (std::size_t at = table_.content_.size() - rest().size(); at < table_.content_.size();) {
      const std::size_t end = std::min(table_.content_.find('\n', at), table_.content_.size());
      std::size_t line_end = end;
      if (line_end > at && table_.content_[line_end - 1] == '\r') --line_end;
      ++line_;
      if (!read_line(at, line_end)) break;
      at = end + 1;
    }
    if (errors_.empty()) check_whole();
    if (!errors_.empty()) return errors_.take(table_.file_);
    choose_decimal_mark();
    return std::move(table_);
  }

 private:
  std::string_view rest() const { return without_byte_order_mark(table_.content_); }

  Issue issue(std::string code, std::string text, int line, int column) const {
    Issue made;
    made.code = std::move(code);
    made.place = {table_.file_, line, column, {}};
    made.text = std::move(text);
    return made;
  }

  Issue byte_issue(std::string code, std::size_t offset, std::string text) const {
    const TextPosition position = text_position(rest(), offset);
    return issue(std::move(code), std::move(text), position.line, position.column);
  }

  /// Notes an issue at an offset of the present line and goes on.
  void report(std::string code, std::size_t offset, std::string text) {
    if (errors_.is_full()) return errors_.count_one();
    const std::string_view line = std::string_view(table_.content_).substr(line_start_);
    errors_.add(
        issue(std::move(code), std::move(text), line_, text_position(line, offset - line_start_).column));
  }

  std::optional<Issue> refuse_bytes() const {
    if (table_.content_.size() > limits_.bytes) {
      return issue("file_too_large",
                   fmt::format("the table is larger than the limit of {:.6g} MB",
                               static_cast<double>(limits_.bytes) / 1e6),
                   0, 0);
    }
    if (const std::string other = looks_like(table_.content_); !other.empty()) {
      return issue("wrong_format",
                   fmt::format("this looks like {}; expected a table as text in UTF-8", other), 0, 0);
    }
    const std::string_view text = rest();
    if (const std::size_t bad = first_invalid_utf8(text); bad != text.npos) {
      return byte_issue(
          "invalid_utf8", bad,
          fmt::format("byte {} is no UTF-8 text; save the file as UTF-8", byte_name(text[bad])));
    }
    for (std::size_t i = 0; i < text.size(); ++i) {
      const auto c = static_cast<unsigned char>(text[i]);
      const bool line_break = c == '\n' || (c == '\r' && i + 1 < text.size() && text[i + 1] == '\n');
      if (c >= 0x20 || c == '\t' || line_break) continue;
      if (c == 0) return byte_issue("zero_byte", i, "found a zero byte; expected a table as text");
      if (c == '\r') {
        return byte_issue("control_byte", i, "found a line break of CR alone; save the file with LF or CRLF");
      }
      return byte_issue(
          "control_byte", i,
          fmt::format("found the control byte {}; expected a table as text", byte_name(text[i])));
    }
    return std::nullopt;
  }

  /// False if the rest of the file is not worth reading.
  bool read_line(std::size_t start, std::size_t end) {
    line_start_ = start;
    const std::string_view line = std::string_view(table_.content_).substr(start, end - start);
    const std::string_view bare = trimmed(line);
    if (bare.empty()) {
      // A tab file may end in rows of nothing but tabs; they are blank lines to whoever looks at them.
      blank_line_ = blank_line_ == 0 ? line_ : blank_line_;
      return true;
    }
    if (bare.starts_with('#')) return true;
    if (table_.columns_.empty()) return read_header(start, end);
    if (line == header_text_) {
      report("repeated_header", start,
             fmt::format("the header of line {} stands here again; expected one table in a file",
                         table_.header_line_));
      return true;
    }
    if (blank_line_ > table_.header_line_ && table_.rows() > 0) {
      report("blank_line", start,
             fmt::format("line {} inside the table is blank; expected rows without a gap", blank_line_));
    }
    blank_line_ = 0;
    return read_row(start, end);
  }

  bool read_header(std::size_t start, std::size_t end) {
    const std::string_view line = std::string_view(table_.content_).substr(start, end - start);
    header_text_ = std::string(line);
    table_.header_line_ = line_;
    table_.separator_ = separator_of(line);
    if (!split(start, end)) return false;
    std::unordered_set<std::string> names;
    for (const Table::Cell& cell : cells_) {
      const auto text = trimmed(std::string_view(table_.content_).substr(cell.offset, cell.length));
      if (is_numeric(text)) {
        report("no_header", cell.offset,
               fmt::format("the first line holds the number {}; expected a header such as `flow [m3/s]`",
                           corefeed::quoted(text)));
        return false;
      }
      add_column(text, cell.offset);
      if (!names.insert(table_.columns_.back().name).second) {
        report("duplicate_column", cell.offset,
               fmt::format("the column {} stands twice in the header",
                           corefeed::quoted(table_.columns_.back().name)));
      }
    }
    return errors_.empty();
  }

  void add_column(std::string_view text, std::size_t offset) {
    Table::Column column;
    const std::size_t bracket = text.find('[');
    column.name = std::string(trimmed(text.substr(0, bracket)));
    if (bracket != text.npos) {
      column.has_unit = true;
      const std::string_view unit = text.substr(bracket + 1);
      if (!unit.ends_with(']') || unit.find(']') + 1 != unit.size()) {
        report("bad_header", offset,
               fmt::format("{} is no header cell; expected `name [unit]`", corefeed::quoted(text)));
      } else {
        column.unit = std::string(trimmed(unit.substr(0, unit.size() - 1)));
      }
    }
    if (column.name.empty()) {
      report("bad_header", offset,
             fmt::format("column {} of the header has no name; expected `name [unit]`",
                         table_.columns_.size() + 1));
      column.name = fmt::format("column {}", table_.columns_.size() + 1);
    }
    table_.columns_.push_back(std::move(column));
  }

  bool read_row(std::size_t start, std::size_t end) {
    if (!split(start, end)) return true;
    if (cells_.size() != table_.columns_.size()) {
      const bool maybe_decimal_commas = table_.separator_ == ',' && cells_.size() > table_.columns_.size();
      report("ragged_row", start,
             fmt::format(
                 "found {} cells; expected {} as in the header of line {}{}", cells_.size(),
                 table_.columns_.size(), table_.header_line_,
                 maybe_decimal_commas ? "; where decimals are commas, semicolons must part the cells" : ""));
      return true;
    }
    if (table_.rows() >= limits_.rows) {
      report("too_many_rows", start,
             fmt::format("the table has more than the limit of {} rows", limits_.rows));
      return false;
    }
    table_.rows_.push_back({line_, static_cast<std::uint32_t>(start)});
    table_.cells_.insert(table_.cells_.end(), cells_.begin(), cells_.end());
    return true;
  }

  /// Splits a line into `cells_`; false, and reported, if its quotes do not match.
  bool split(std::size_t start, std::size_t end) {
    cells_.clear();
    std::size_t at = start;
    while (true) {
      while (at < end && is_blank(table_.content_[at])) ++at;
      const bool quotes = at < end && table_.content_[at] == '"';
      if (quotes ? !quoted_cell(at, end) : !plain_cell(at, end)) return false;
      if (at == end) return true;
      ++at;  // the separator
    }
  }

  bool is_blank(char c) const { return c != table_.separator_ && (c == ' ' || c == '\t'); }

  bool plain_cell(std::size_t& at, std::size_t end) {
    const std::string_view line = std::string_view(table_.content_).substr(0, end);
    const std::size_t stop = std::min(line.find(table_.separator_, at), end);
    const std::string_view cell = trimmed(line.substr(at, stop - at));
    if (const std::size_t quote = cell.find('"'); quote != cell.npos) {
      report("bad_quotes", at + quote,
             "a double quote stands inside a cell; expected quotes around the whole cell");
      return false;
    }
    add_cell(at, cell.size());
    at = stop;
    return true;
  }

  /// A doubled quote in a quoted cell means one (RFC 4180). It is undone in place, where the text only
  /// shrinks.
  bool quoted_cell(std::size_t& at, std::size_t end) {
    std::string& content = table_.content_;
    const std::size_t opening = at++;
    const std::size_t first = at;
    std::size_t last = at;
    while (at < end && (content[at] != '"' || (at + 1 < end && content[at + 1] == '"'))) {
      if (content[at] == '"') ++at;
      content[last++] = content[at++];
    }
    if (at == end) {
      report("bad_quotes", opening,
             "a quoted cell is not closed on its line; expected a closing double quote");
      return false;
    }
    ++at;
    while (at < end && is_blank(content[at])) ++at;
    if (at < end && content[at] != table_.separator_) {
      report("bad_quotes", at, "text stands behind a quoted cell; expected the end of the cell");
      return false;
    }
    add_cell(first, last - first);
    return true;
  }

  void add_cell(std::size_t offset, std::size_t length) {
    cells_.push_back({static_cast<std::uint32_t>(offset), static_cast<std::uint32_t>(length)});
  }

  void check_whole() {
    if (table_.columns_.empty()) {
      errors_.add(
          issue("no_header", "the table is empty; expected a header such as `flow [m3/s]`", line_, 0));
    } else if (table_.rows() == 0) {
      errors_.add(issue("no_rows", "the table has a header but no rows", table_.header_line_, 0));
    }
  }

  /// Semicolons mean decimal commas, commas mean decimal points. With tabs the first number that has a mark
  /// decides; a cell with the other mark is then no number.
  void choose_decimal_mark() {
    if (table_.separator_ == ';') table_.decimal_mark_ = ',';
    if (table_.separator_ != '\t') return;
    for (const Table::Cell& cell : table_.cells_) {
      const std::string_view text = std::string_view(table_.content_).substr(cell.offset, cell.length);
      const std::size_t mark = text.find_first_of(".,");
      if (mark == text.npos || !is_numeric(text.substr(text.starts_with('+') ? 1 : 0))) continue;
      table_.decimal_mark_ = text[mark];
      return;
    }
  }

  const TableLimits& limits_;
  Table table_;
  std::vector<Table::Cell> cells_;  // of the present line
  std::string header_text_;
  std::size_t line_start_ = 0;
  int line_ = 0;
  int blank_line_ = 0;  // first blank line since the last row
  IssueList errors_;
};

Result<Table> parse_csv(std::string text, std::string file_label, const TableLimits& limits) {
  return TableReader(std::move(text), std::move(file_label), limits).read();
}

Result<Table> read_csv(const std::string& path, const TableLimits& limits) {
  Result<std::string> text = read_text_file(path, limits.bytes);
  if (!text.ok()) return text.issues();
  return parse_csv(std::move(text).value(), path, limits);
}

}  // namespace corefeed::model
