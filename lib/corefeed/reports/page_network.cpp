// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/network_graph.hpp"
#include "corefeed/reports/network_picture.hpp"
#include "corefeed/reports/page_parts.hpp"
#include "corefeed/studies/budget.hpp"

namespace corefeed::reports {
namespace {

using studies::Budget;
using studies::BudgetLine;
using studies::PointResult;
using units::Quantity;

constexpr double picture_width = 760;

std::string speed_of(const PageSource& source, const std::string& name) {
  for (const model::Point& point : source.model.points) {
    if (point.name == name) return units::show(point.speed, Quantity::speed, 3);
  }
  return "";
}

/// Liquids stand under kilopascals.
std::string pressure_text(double value, bool liquid) {
  return liquid ? units::write(value, Quantity::pressure_difference, "kPa", 3)
                : units::show(value, Quantity::pressure_difference, 3);
}

std::string flow_table(const PageSource& source, const PointResult& point) {
  std::vector<PageRow> rows;
  for (std::size_t e = 0; e < source.model.elements.size(); ++e) {
    const model::Element& element = source.model.elements[e];
    const std::vector<int>& parts = point.built.parts[e];
    if (parts.empty()) continue;
    const cooling::ElementState& first = point.solution.elements[static_cast<std::size_t>(parts.front())];
    const double flow = point.solution.value(element.name + ".flow").value_or(first.flow);
    const auto loss = point.solution.value(element.name + ".pressure_loss");
    rows.push_back({cell(element.name), cell(losses::word_of(*element.numbers.kind)),
                    cell(element.in_loop.empty() ? "air" : element.in_loop),
                    number_cell(units::show(std::abs(flow) < 1e-9 ? 0.0 : flow, Quantity::mass_flow, 3)),
                    number_cell(loss ? pressure_text(*loss, !element.in_loop.empty()) : "")});
  }
  return page_table(fmt::format("Flow and loss of total pressure at {}", point.name),
                    {"element", "kind", "carries", "flow", "loss"}, rows);
}

std::string budget_table(const Budget& budget, bool liquid) {
  std::vector<PageRow> rows;
  double left = budget.head;
  for (const BudgetLine& line : budget.lines) {
    left -= line.loss;
    rows.push_back(
        {cell(line.element), cell(line.item), number_cell(pressure_text(line.loss, liquid)),
         number_cell(fmt::format("{:.1f} %", 100 * line.share)),
         number_cell(pressure_text(std::abs(left) < 1e-6 * std::abs(budget.head) ? 0.0 : left, liquid))});
  }
  return page_table("Loss budget of " + budget.core, {"element", "item", "loss", "share", "left behind it"},
                    rows);
}

Waterfall budget_chart(const Budget& budget, const std::string& point, bool liquid) {
  const double scale = liquid ? 1e-3 : 1.0;
  Waterfall chart;
  chart.sum = budget.head * scale;
  chart.start = liquid ? "from " + budget.from : "head at " + budget.from;
  chart.end = "left at " + budget.to;
  chart.axis = liquid ? "total pressure, kPa" : "total pressure above the outlet, Pa";
  for (const BudgetLine& line : budget.lines) {
    chart.steps.push_back({line.element + ": " + line.item, line.loss * scale,
                           pressure_text(line.loss, liquid), fmt::format("{:.0f} %", 100 * line.share)});
  }
  chart.caption.title = fmt::format("Loss budget of {} at {}", budget.core, point);
  for (const studies::Eater& eater : studies::eaters_of(budget)) {
    chart.caption.description += fmt::format("{}{} {:.0f} %", chart.caption.description.empty() ? "" : ", ",
                                             eater.name, 100 * eater.share);
  }
  return chart;
}

std::string budget_words(const Budget& budget, const std::string& point, bool liquid) {
  const auto most =
      std::max_element(budget.lines.begin(), budget.lines.end(),
                       [](const BudgetLine& a, const BudgetLine& b) { return a.loss < b.loss; });
  std::string text = fmt::format("{}, from {} to {} at {}.", pressure_text(budget.head, liquid), budget.from,
                                 budget.to, point);
  if (most != budget.lines.end()) text += fmt::format(" Most goes to {} ({}).", most->element, most->item);
  const bool gains = std::any_of(budget.lines.begin(), budget.lines.end(),
                                 [](const BudgetLine& line) { return line.loss < 0; });
  if (gains) text += " Bars that run to the right (striped, green) add pressure.";
  return text;
}

std::string budget_part(const PageSource& source, const Budget& named) {
  const PointResult* point = governing_point(source, named.core);
  if (point == nullptr) return {};
  const auto found = std::find_if(point->budgets.begin(), point->budgets.end(),
                                  [&named](const Budget& one) { return one.core == named.core; });
  if (found == point->budgets.end() || found->lines.empty()) return {};
  const bool liquid = source.model.find_element(found->core) == nullptr;
  return fmt::format("<h3>{}</h3>\n", markup_text(found->core)) +
         page_figure(waterfall(budget_chart(*found, point->name, liquid), picture_width),
                     budget_words(*found, point->name, liquid)) +
         budget_table(*found, liquid);
}

/// Which point it is, and how to read what the pictures show.
std::string network_words(const PageSource& source, const PointResult& point) {
  bool reversed = false;
  bool backward = false;
  const auto look = [&](std::string_view loop) {
    for (const NetworkStream& stream : network_graph(source.model, point, loop).streams) {
      reversed = reversed || stream.reversed;
      backward = backward || stream.backward;
    }
  };
  look("");
  for (const model::Loop& loop : source.model.loops) look(loop.name);
  std::string words = fmt::format("At {}, {}", point.name, speed_of(source, point.name));
  words += source.study.points.size() > 1 ? ": the hardest point that has a solution." : ".";
  words += " Lines are as wide as their mass flow.";
  if (reversed) words += " A stream against the direction of its element is dashed and says reversed.";
  if (backward) words += " What leads back to where it came from runs from right to left.";
  return words;
}

}  // namespace

std::string network_section(const PageSource& source) {
  if (source.hardest == nullptr) return paragraph("No point has a solution, so there is no flow to draw.");
  const PointResult& point = *source.hardest;
  std::string text = paragraph(network_words(source, point));
  text += page_figure(network_picture(source.model, point, ""),
                      "The air: inlets on the left, vents on the right.");
  for (const model::Loop& loop : source.model.loops) {
    if (loop.is_network)
      text += page_figure(network_picture(source.model, point, loop.name),
                          "The liquid of the loop " + loop.name + ".");
  }
  return text + flow_table(source, point);
}

std::string budget_section(const PageSource& source) {
  if (source.hardest == nullptr) return {};
  std::string text;
  for (const Budget& budget : source.hardest->budgets) text += budget_part(source, budget);
  if (text.empty()) return {};
  return paragraph(
             "What the head between freestream and outlet is spent on, in the order of the flow. The largest "
             "item is striped.") +
         text;
}

}  // namespace corefeed::reports
