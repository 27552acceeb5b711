// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/sweep_rows.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "corefeed/model/bound_hash.hpp"
#include "corefeed/model/sha1.hpp"
#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::SweepPlan;
using studies::SweptRows;

constexpr std::string_view row_opening = "{\"row\": ";
constexpr std::string_view solved_end = ", \"converged\": true}";
constexpr std::string_view unsolved_end = ", \"converged\": false, \"reason\": ";

/// As the writer of documents does it: beyond 2^53 with an exponent, so that no reader wants an exact
/// integer.
void append_number(std::string& text, double number) {
  std::array<char, 32> buffer;
  char* const end = buffer.data() + buffer.size();
  const bool large = std::abs(number) >= 0x1p53;
  const auto written = large ? std::to_chars(buffer.data(), end, number, std::chars_format::scientific)
                             : std::to_chars(buffer.data(), end, number);
  text.append(buffer.data(), written.ptr);
}

void append_number(std::string& text, std::size_t number) {
  std::array<char, 32> buffer;
  text.append(buffer.data(), std::to_chars(buffer.data(), buffer.data() + buffer.size(), number).ptr);
}

/// A cell of text (RFC 4180).
std::string cell(std::string_view words) {
  if (words.find_first_of(",\";#") == words.npos && !words.empty()) return std::string(words);
  std::string quoted = "\"";
  for (const char c : words) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

/// Without the line breaks and indents of a document; strings hold none.
std::string on_one_line(const model::Value& value) {
  std::string line;
  bool indent = false;
  for (const char c : model::write_document(value)) {
    const bool before = indent;
    indent = c == '\n' || (indent && c == ' ');
    if (indent) continue;
    if (before && line.ends_with(',')) line += ' ';
    line += c;
  }
  return line;
}

std::string json_text(std::string_view words) { return on_one_line(text(words)); }

std::string header_cell(const studies::SweepColumn& column) {
  const std::string_view unit = units::info(column.quantity).si_unit;
  return unit.empty() ? column.name : column.name + " [" + std::string(unit) + "]";
}

model::Value texts(const std::vector<std::string>& list) {
  std::vector<model::Value> items;
  items.reserve(list.size());
  for (const std::string& one : list) items.push_back(text(one));
  return model::make_array(std::move(items));
}

model::Value count(std::size_t number) { return model::make_number(static_cast<double>(number)); }

/// Of all values, bit by bit.
std::string hash_of_values(const SweepPlan& plan) {
  model::Sha1 hash;
  for (const studies::SweepAxis& axis : plan.question().axes) {
    for (const std::string& name : axis.names) hash.add(name + "\n");
    std::string numbers;
    for (const double value : axis.values) {
      append_number(numbers, value);
      numbers += '\n';
    }
    hash.add(numbers);
  }
  return hash.hex();
}

model::Value options_of(const SweepPlan& plan, const SweepWords& words, RowFormat format) {
  const studies::SweepQuestion& question = plan.question();
  return model::make_object({{"variant", words.variant.empty() ? model::Value() : text(words.variant)},
                             {"over", texts(words.over)},
                             {"from", words.from.empty() ? model::Value() : text(words.from)},
                             {"values", text(hash_of_values(plan))},
                             {"point", texts(question.points)},
                             {"show", texts(question.shown)},
                             {"format", text(format == RowFormat::csv ? "csv" : "json")},
                             {"tolerance", number(question.solver.tolerance)},
                             {"most_iterations", number(question.solver.most_iterations)}});
}

model::Value column_names(const SweepPlan& plan) {
  std::vector<std::string> names{"row", "point"};
  for (const studies::SweepColumn& one : plan.inputs()) names.push_back(one.name);
  for (const studies::SweepColumn& one : plan.shown()) names.push_back(one.name);
  names.emplace_back("converged");
  return texts(names);
}

void append_csv(std::string& lines, const SweepPlan& plan, const SweptRows& rows, std::size_t i,
                const std::string& point) {
  const std::size_t row = rows.first + i;
  append_number(lines, row + 1);
  lines.append(",").append(point);
  for (std::size_t input = 0; input < plan.inputs().size(); ++input) {
    lines += ',';
    append_number(lines, plan.input(row, input));
  }
  const std::size_t width = plan.shown().size();
  for (std::size_t one = 0; one < width; ++one) {
    lines += ',';
    const double value = rows.values[i * width + one];
    if (std::isfinite(value)) append_number(lines, value);
  }
  lines += rows.reasons[i].empty() ? ",1\n" : ",0\n";
}

/// Names as they stand in the objects of all rows, with what parts them.
std::vector<std::string> json_keys(const SweepPlan& plan) {
  std::vector<std::string> keys;
  const auto add = [&keys](const std::string& name) { keys.push_back(", " + json_text(name) + ": "); };
  for (const studies::SweepColumn& one : plan.inputs()) add(one.name);
  for (const studies::SweepColumn& one : plan.shown()) add(one.name);
  return keys;
}

void append_json(std::string& lines, const SweepPlan& plan, const SweptRows& rows, std::size_t i,
                 const std::string& point, const std::vector<std::string>& keys) {
  const std::size_t row = rows.first + i;
  lines += row_opening;
  append_number(lines, row + 1);
  lines.append(", \"point\": ").append(point);
  const std::size_t inputs = plan.inputs().size();
  for (std::size_t input = 0; input < inputs; ++input) {
    lines += keys[input];
    append_number(lines, plan.input(row, input));
  }
  const std::size_t width = plan.shown().size();
  for (std::size_t one = 0; one < width; ++one) {
    lines += keys[inputs + one];
    const double value = rows.values[i * width + one];
    if (std::isfinite(value)) {
      append_number(lines, value);
    } else {
      lines += "null";
    }
  }
  if (rows.reasons[i].empty()) {
    lines += solved_end;
  } else {
    lines.append(unsolved_end).append(json_text(rows.reasons[i])) += '}';
  }
  lines += '\n';
}

std::optional<std::size_t> leading_number(std::string_view text) {
  std::size_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc() || end == text.data() + text.size() || *end != ',') return std::nullopt;
  return number;
}

}  // namespace

std::size_t SweepSlice::first_block(const SweepPlan& plan) const {
  return plan.blocks() * (index - 1) / count;
}
std::size_t SweepSlice::last_block(const SweepPlan& plan) const { return plan.blocks() * index / count; }

model::Value sweep_facts(const SweepPlan& plan, const SweepWords& words, RowFormat format,
                         const SweepSlice& slice) {
  const std::size_t first = plan.block_begin(slice.first_block(plan));
  const std::size_t last = plan.block_begin(slice.last_block(plan));
  Members members = head_of(plan.model());
  members.emplace_back("bound_hash", text(model::bound_hash(plan.model())));
  members.emplace_back("options", options_of(plan, words, format));
  members.emplace_back("columns", column_names(plan));
  members.emplace_back("rows", count(plan.rows()));
  members.emplace_back("slice", model::make_object({{"index", count(slice.index)},
                                                    {"count", count(slice.count)},
                                                    {"first", count(first + 1)},
                                                    {"rows", count(last - first)}}));
  return model::make_object(std::move(members));
}

std::string facts_line(const model::Value& facts) { return on_one_line(facts) + "\n"; }

std::string row_header(const SweepPlan& plan, const model::Value& facts, RowFormat format) {
  if (format == RowFormat::json_lines) return facts_line(facts);
  std::string line = "row,point";
  for (const studies::SweepColumn& one : plan.inputs()) line += ',' + header_cell(one);
  for (const studies::SweepColumn& one : plan.shown()) line += ',' + header_cell(one);
  return line + ",converged\n";
}

std::string row_lines(const SweepPlan& plan, const SweptRows& rows, RowFormat format) {
  std::string lines;
  const bool json = format == RowFormat::json_lines;
  const std::vector<std::string> keys = json ? json_keys(plan) : std::vector<std::string>();
  const std::string* name = nullptr;
  std::string point;
  for (std::size_t i = 0; i < rows.reasons.size(); ++i) {
    if (name != &plan.point(rows.first + i)) {
      name = &plan.point(rows.first + i);
      point = json ? json_text(*name) : cell(*name);
    }
    if (json) {
      append_json(lines, plan, rows, i, point, keys);
    } else {
      append_csv(lines, plan, rows, i, point);
    }
  }
  return lines;
}

std::optional<RowMark> read_row_mark(std::string_view line, RowFormat format) {
  const bool json = format == RowFormat::json_lines;
  if (json && !line.starts_with(row_opening)) return std::nullopt;
  const auto row = leading_number(json ? line.substr(row_opening.size()) : line);
  if (!row) return std::nullopt;
  if (!json && (line.ends_with(",0") || line.ends_with(",1"))) return RowMark{*row, line.back() == '1'};
  if (json && line.ends_with(solved_end)) return RowMark{*row, true};
  if (json && line.find(unsolved_end) != line.npos && line.ends_with("\"}")) return RowMark{*row, false};
  return std::nullopt;
}

}  // namespace corefeed::reports
