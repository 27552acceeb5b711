// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/compare_words.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Alternative;
using studies::ComparedBudget;
using studies::ComparedLoss;
using studies::ComparedPoint;
using studies::ComparedQuantity;
using studies::ComparedValue;
using studies::Comparison;
using studies::Presence;
using studies::Weight;

constexpr std::size_t most_columns = 4;
constexpr std::size_t widest_page = 100;
constexpr std::size_t widest_label = 36;

using Row = std::vector<std::string>;

/// A value and, behind it, its difference to the first alternative.
struct Cell {
  std::string value;
  std::string change;
};

/// The differences of one column stand below one another.
std::vector<Row> aligned(const std::vector<std::string>& labels,
                         const std::vector<std::vector<Cell>>& cells) {
  std::vector<std::size_t> widths;
  for (const auto& row : cells) {
    widths.resize(row.size(), 0);
    for (std::size_t a = 0; a < row.size(); ++a)
      if (!row[a].change.empty()) widths[a] = std::max(widths[a], row[a].value.size());
  }
  std::vector<Row> rows;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    Row row{labels[i]};
    for (std::size_t a = 0; a < cells[i].size(); ++a) {
      const Cell& cell = cells[i][a];
      row.push_back(cell.change.empty() ? cell.value
                                        : fmt::format("{:<{}} {}", cell.value, widths[a], cell.change));
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

/// In parentheses a difference within its band.
Cell quantity_cell(const ComparedQuantity& row, std::size_t alternative, const Scale& scale) {
  const ComparedValue& compared = row.values[alternative];
  if (!compared.value) return {"-", ""};
  Cell cell{scale.value(*compared.value), ""};
  if (alternative == 0 || compared.weight == Weight::unknown) return cell;
  const std::string change = compared.weight == Weight::same ? "=" : scale.change(compared.change);
  if (change.find_first_of("123456789") == std::string::npos) {
    cell.change = "=";
    return cell;
  }
  cell.change = compared.weight == Weight::within_band ? fmt::format("({})", change) : change;
  return cell;
}

/// What is 0 in all alternatives, such as what a fan draws that stands still, says nothing.
bool is_idle(const ComparedQuantity& row) {
  return std::all_of(row.values.begin(), row.values.end(),
                     [](const ComparedValue& one) { return !one.value || *one.value == 0.0; }) &&
         std::any_of(row.values.begin(), row.values.end(),
                     [](const ComparedValue& one) { return one.value.has_value(); });
}

/// The verdict of each alternative on every requirement that is judged at this point.
void add_verdicts(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                  const std::string& point, std::vector<Row>& rows) {
  std::vector<std::string> names;
  for (const Alternative& alternative : alternatives) {
    for (const model::Requirement& one : alternative.model.requirements) {
      if (std::find(names.begin(), names.end(), one.name) == names.end()) names.push_back(one.name);
    }
  }
  for (const std::string& name : names) {
    Row row{shortened(name, widest_label)};
    bool judged_here = false;
    for (std::size_t a = 0; a < alternatives.size(); ++a) {
      const studies::Judgment* judgment =
          judgment_at(alternatives[a].model, comparison.studies[a], name, point);
      judged_here = judged_here || judgment != nullptr;
      row.push_back(judgment == nullptr ? "-" : std::string(studies::verdict_name(judgment->verdict)));
    }
    if (judged_here) rows.push_back(std::move(row));
  }
}

std::vector<Row> quantity_rows(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                               const ComparedPoint& point) {
  std::vector<std::string> labels;
  std::vector<std::vector<Cell>> cells;
  for (const ComparedQuantity& quantity : point.quantities) {
    if (is_idle(quantity)) continue;
    const Scale scale = scale_of(quantity);
    labels.push_back(shortened(quantity.quantity, widest_label - 8) + scale.unit_note());
    cells.emplace_back();
    for (std::size_t a = 0; a < alternatives.size(); ++a)
      cells.back().push_back(quantity_cell(quantity, a, scale));
  }
  std::vector<Row> rows = aligned(labels, cells);
  add_verdicts(alternatives, comparison, point.name, rows);
  return rows;
}

Cell loss_cell(const studies::ComparedElement& element, std::size_t alternative) {
  const ComparedLoss& loss = element.losses[alternative];
  if (loss.presence == Presence::unsolved) return {"-", ""};
  const bool here = loss.presence == Presence::on_path;
  Cell cell{
      here ? fmt::format("{:.1f}", loss.loss) : (loss.presence == Presence::absent ? "absent" : "off path"),
      ""};
  if (alternative == 0 || element.losses.front().presence == Presence::unsolved) return cell;
  // What rounds to nothing is no difference to read.
  const bool same = std::abs(loss.change) < 0.05;
  cell.change = same ? (here ? "=" : "") : fmt::format("{:+.1f}", loss.change);
  return cell;
}

std::vector<Row> loss_rows(const ComparedBudget& budget) {
  std::vector<std::string> labels;
  std::vector<std::vector<Cell>> cells;
  for (const studies::ComparedElement& element : budget.elements) {
    labels.push_back(shortened(element.name, widest_label));
    cells.emplace_back();
    for (std::size_t a = 0; a < element.losses.size(); ++a) cells.back().push_back(loss_cell(element, a));
  }
  labels.emplace_back("sum");
  cells.emplace_back();
  for (const auto& head : budget.heads)
    cells.back().push_back({head ? fmt::format("{:.1f}", *head) : "-", ""});
  return aligned(labels, cells);
}

std::size_t widest_line(const std::string& text) {
  std::size_t widest = 0;
  std::size_t width = 0;
  for (const char c : text) {
    if (c == '\n') {
      widest = std::max(widest, width);
      width = 0;
    } else if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) {
      ++width;
    }
  }
  return widest;
}

bool says_nothing(const std::vector<Row>& block) {
  return std::all_of(block.begin() + 1, block.end(), [](const Row& row) {
    return std::all_of(row.begin() + 1, row.end(), [](const std::string& cell) { return cell == "-"; });
  });
}

/// The rows in blocks of columns: the first alternative beside as many others as the page holds.
std::string blocks(const std::string& head, const std::vector<std::string>& names,
                   const std::vector<Row>& rows) {
  std::string text;
  std::size_t begin = 1;
  while (begin < names.size()) {
    std::string block;
    std::size_t end = std::min(begin + most_columns - 1, names.size());
    for (;; --end) {
      std::vector<Row> cut{{head, shortened(names.front(), widest_name)}};
      for (std::size_t a = begin; a < end; ++a) cut.front().push_back(shortened(names[a], widest_name));
      for (const Row& row : rows) {
        cut.push_back({row[0], row[1]});
        for (std::size_t a = begin; a < end; ++a) cut.back().push_back(row[a + 1]);
      }
      block = says_nothing(cut) ? "" : table(cut, "  ");
      if (end == begin + 1 || widest_line(block) <= widest_page) break;
    }
    text += block.empty() ? "" : block + "\n";
    begin = end;
  }
  return text;
}

}  // namespace

std::string shortened(const std::string& name, std::size_t most) {
  if (name.size() <= most) return name;
  const auto continues = [&name](std::size_t at) {
    return at < name.size() && (static_cast<unsigned char>(name[at]) & 0xC0U) == 0x80U;
  };
  std::size_t head = (most - 2) / 2;
  std::size_t tail = name.size() - (most - 2 - head);
  while (continues(head)) --head;
  while (continues(tail)) ++tail;
  return name.substr(0, head) + ".." + name.substr(tail);
}

std::string quantity_table(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                           const ComparedPoint& point) {
  return blocks("", comparison.names, quantity_rows(alternatives, comparison, point));
}

std::string budget_table(const Comparison& comparison, const ComparedBudget& budget) {
  const std::string head = shortened("loss budget of " + budget.core + " [Pa]", widest_label);
  return blocks(head, comparison.names, loss_rows(budget));
}

}  // namespace corefeed::reports
