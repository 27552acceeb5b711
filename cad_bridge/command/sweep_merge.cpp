// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/sweep_merge.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>

#include "cad_bridge/command/line_reader.hpp"
#include "cad_bridge/command/sweep_file.hpp"

namespace corefeed::command {
namespace {

using model::Value;
using reports::RowFormat;

struct Slice {
  std::string path;
  RowFormat format = RowFormat::csv;
  Value facts;
  std::size_t index = 0, count = 0, first = 0, rows = 0;
  std::size_t all_rows = 0;
  std::string header;
};

std::size_t whole_number(const Value* value) {
  // What is no number becomes a slice that fits nowhere.
  constexpr double largest = 9007199254740992.0;  // 2^53, the last that a document holds exactly
  if (value == nullptr || value->kind != Value::Kind::number) return 0;
  if (value->number < 0.0 || value->number > largest) return 0;
  return static_cast<std::size_t>(value->number);
}

Result<Slice> read_slice(const std::string& path) {
  Slice slice;
  slice.path = path;
  LineReader reader(path);
  const auto line = reader.next();
  if (!line) return file_issue(path, "missing_file", "there is no such file, or it is empty");
  slice.header = *line;
  slice.format = line->starts_with('{') ? RowFormat::json_lines : RowFormat::csv;
  Result<Value> facts = read_facts(path, slice.format);
  if (!facts) return facts.issues();
  slice.facts = std::move(facts).value();
  const Value* place = slice.facts.find("slice");
  slice.index = whole_number(place->find("index"));
  slice.count = whole_number(place->find("count"));
  slice.first = whole_number(place->find("first"));
  slice.rows = whole_number(place->find("rows"));
  slice.all_rows = whole_number(slice.facts.find("rows"));
  return slice;
}

/// Every slice of one sweep once: sorted, or what is wrong.
std::vector<Issue> check(std::vector<Slice>& slices) {
  std::vector<Issue> issues;
  const Slice& first = slices.front();
  for (const Slice& slice : slices) {
    if (slice.format != first.format) {
      issues.push_back(file_issue(slice.path, "mixed_formats", "CSV and JSON lines cannot be merged"));
      continue;
    }
    std::vector<std::string> differ = differences(first.facts, slice.facts, false);
    if (differ.empty() && slice.count != first.count)
      differ.push_back(fmt::format("the number of slices ({} there, {} now)", first.count, slice.count));
    if (differ.empty()) continue;
    issues.push_back(file_issue(slice.path, "other_sweep",
                                fmt::format("these rows belong to another sweep than those of {}: {} differs",
                                            first.path, fmt::join(differ, ", "))));
  }
  if (!issues.empty()) return issues;
  const std::string first_path = first.path;
  const std::size_t count = first.count;
  std::stable_sort(slices.begin(), slices.end(),
                   [](const Slice& a, const Slice& b) { return a.index < b.index; });
  for (std::size_t i = 1; i < slices.size(); ++i) {
    if (slices[i].index != slices[i - 1].index) continue;
    issues.push_back(file_issue(
        slices[i].path, "duplicate_slice",
        fmt::format("slice {} of {} is in {} already", slices[i].index, count, slices[i - 1].path)));
  }
  std::vector<std::size_t> missing;
  for (std::size_t index = 1; index <= count && missing.size() < 20; ++index) {
    const auto has = [index](const Slice& slice) { return slice.index == index; };
    if (std::none_of(slices.begin(), slices.end(), has)) missing.push_back(index);
  }
  if (!missing.empty()) {
    issues.push_back(file_issue(
        first_path, "missing_slice",
        fmt::format("of {} slices there is none with the number {}", count, fmt::join(missing, ", "))));
  }
  return issues;
}

/// The rows of a slice, proved to be the ones it tells of.
class SliceCopy {
 public:
  SliceCopy(const Slice& slice, SweepFile& into) : slice_(slice), into_(into), reader_(slice.path) {}

  std::vector<Issue> run() {
    const auto header = reader_.next();
    if (!header || *header != slice_.header) return incomplete("the file changed while it was read");
    hash_.add(*header);
    std::size_t rows = 0;
    while (const auto line = reader_.next()) {
      const auto mark = line->ends_with('\n')
                            ? reports::read_row_mark(line->substr(0, line->size() - 1), slice_.format)
                            : std::nullopt;
      if (!mark || rows == slice_.rows || mark->row != slice_.first + rows)
        return incomplete(fmt::format("line {} is not row {}", rows + 2, slice_.first + rows));
      ++rows;
      held_ += *line;
      ++held_rows_;
      held_solved_ += mark->converged ? 1U : 0U;
      constexpr std::size_t enough = 1U << 18U;
      if (held_.size() < enough) continue;
      std::vector<Issue> issues = pass_on();
      if (!issues.empty()) return issues;
    }
    if (reader_.failure() != 0) return incomplete("the file cannot be read to its end");
    if (rows != slice_.rows) {
      return incomplete(fmt::format("it holds {} of its {} rows; finish it by --resume", rows, slice_.rows));
    }
    std::vector<Issue> issues = pass_on();
    if (!issues.empty() || slice_.format == RowFormat::json_lines) return issues;
    const Value* sha1 = slice_.facts.find("sha1");
    if (sha1 != nullptr && sha1->text == hash_.hex()) return {};
    return incomplete(fmt::format("the rows are not those that {} tells of: one of the two files was changed",
                                  facts_path(slice_.path)));
  }

 private:
  std::vector<Issue> incomplete(std::string text) const {
    return {file_issue(slice_.path, "incomplete", std::move(text))};
  }

  std::vector<Issue> pass_on() {
    hash_.add(held_);
    std::vector<Issue> issues = into_.append(held_, held_rows_, held_solved_);
    held_.clear();
    held_rows_ = held_solved_ = 0;
    return issues;
  }

  const Slice& slice_;
  SweepFile& into_;
  LineReader reader_;
  model::Sha1 hash_;
  std::string held_;
  std::size_t held_rows_ = 0, held_solved_ = 0;
};

/// The facts of the run without slices.
Value whole_facts(const Slice& first) {
  Value facts = first.facts;
  const auto at_end = [](const auto& member) {
    return member.first == "solved" || member.first == "bytes" || member.first == "sha1";
  };
  std::erase_if(facts.members, at_end);
  const auto number = [](std::size_t value) { return model::make_number(static_cast<double>(value)); };
  model::set_value(facts, "/slice",
                   model::make_object({{"index", number(1)},
                                       {"count", number(1)},
                                       {"first", number(1)},
                                       {"rows", number(first.all_rows)}}));
  return facts;
}

}  // namespace

Result<Merged> merge_slices(const std::vector<std::string>& files, const std::string& output) {
  std::vector<Slice> slices;
  std::vector<Issue> issues;
  for (const std::string& path : files) {
    Result<Slice> slice = read_slice(path);
    if (slice) {
      slices.push_back(std::move(slice).value());
    } else {
      issues.insert(issues.end(), slice.issues().begin(), slice.issues().end());
    }
  }
  if (issues.empty()) issues = check(slices);
  if (!issues.empty()) return issues;
  RowsWanted wanted;
  wanted.format = slices.front().format;
  wanted.facts = whole_facts(slices.front());
  wanted.header = wanted.format == RowFormat::csv ? slices.front().header : reports::facts_line(wanted.facts);
  wanted.rows = slices.front().all_rows;
  // A sweep into the same file may have been broken off: its rows are not ours.
  wanted.suffix = ".merging";
  Result<SweepFile> file = SweepFile::open(output, wanted, Leftover::replace);
  if (!file) return file.issues();
  std::size_t next = 1;
  for (const Slice& slice : slices) {
    issues =
        slice.first == next || slice.rows == 0
            ? SliceCopy(slice, file.value()).run()
            : std::vector{file_issue(slice.path, "incomplete",
                                     fmt::format("begins with row {}, expected row {}", slice.first, next))};
    if (!issues.empty()) break;
    next += slice.rows;
  }
  if (issues.empty() && next != wanted.rows + 1)
    issues.push_back(file_issue(output, "incomplete",
                                fmt::format("the slices hold {} of {} rows", next - 1, wanted.rows)));
  if (issues.empty()) issues = file.value().finish();
  if (!issues.empty()) {
    file.value().discard();
    return issues;
  }
  return Merged{file.value().rows(), file.value().solved()};
}

}  // namespace corefeed::command
