// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "corefeed/reports/page_parts.hpp"
#include "corefeed/reports/text.hpp"
#include "corefeed/reports/text_parts.hpp"
#include "corefeed/studies/power.hpp"

namespace corefeed::reports {
namespace {

using units::Quantity;

std::string value_text(const model::Assumption& one) {
  if (!one.choice.empty()) return one.choice;
  if (one.parameter == "law") return fmt::format("\u00b1 {:.0f} %", 100 * one.value);
  return one.quantity == Quantity::number ? fmt::format("{:.4g}", one.value)
                                          : units::show(one.value, one.quantity, 4);
}

std::string watts(double value) {
  return std::abs(value) < 1000 ? units::write(value, Quantity::power, "W", 3)
                                : units::show(value, Quantity::power, 3);
}

std::string percent_of(double part, double whole) {
  return whole > 0 ? fmt::format("{:.0f} %", 100 * part / whole) : "";
}

void add_warnings(const std::vector<Issue>& issues, std::string_view point, std::vector<PageRow>& rows) {
  for (const Issue& issue : issues) {
    const bool note = issue.severity == Severity::note;
    rows.push_back({html_cell(badge(note ? "note" : "too-close", note ? "note" : "warning")), cell(point),
                    cell(issue.text), html_cell("<code>" + markup_text(issue.code) + "</code>")});
  }
}

void add_drag(const studies::PointResult& point, std::vector<PageRow>& rows) {
  const auto drag = point.solution.value("car.cooling_drag");
  const auto upper = point.solution.value("car.cooling_drag_upper");
  if (!drag) return;
  rows.push_back({cell("cooling drag"), number_cell(units::show(*drag, Quantity::force, 3)),
                  cell(upper ? fmt::format("wake form; at most {}, with all momentum of the air lost",
                                           units::show(*upper, Quantity::force, 3))
                             : "wake form")});
  if (const auto coefficient = point.solution.value("car.cooling_drag_coefficient"))
    rows.push_back({cell("its coefficient"), number_cell(fmt::format("{:.4f}", *coefficient)),
                    cell("on the frontal area of the model")});
}

}  // namespace

std::string assumptions_section(const PageSource& source) {
  std::vector<PageRow> rows;
  for (const model::Assumption& one : model::assumptions(source.model)) {
    rows.push_back({cell(one.element), cell(one.parameter), number_cell(value_text(one)), cell(one.source),
                    html_cell(fmt::format("<span class=\"tag\">{}</span>", tag_word(one.tag)))});
  }
  if (rows.empty()) return {};
  return paragraph(
             "Numbers that the model does not give, and how good the laws are. The tag says how far a number "
             "is its source's own: read in it, computed, recalled from memory, or a closure chosen here.") +
         page_table("Assumptions", {"element", "number", "value", "source", "tag"}, rows);
}

std::string warnings_section(const PageSource& source) {
  std::vector<PageRow> rows;
  add_warnings(source.study.warnings, "all", rows);
  for (const studies::PointResult& point : source.study.points)
    add_warnings(point.warnings, point.name, rows);
  if (rows.empty()) return paragraph("None.");
  return page_table("Warnings and notes", {"weight", "point", "what", "code"}, rows);
}

std::string power_section(const PageSource& source) {
  if (source.hardest == nullptr) return {};
  const studies::PointResult& point = *source.hardest;
  const studies::Power power = studies::power_of(point);
  std::vector<PageRow> rows;
  const auto add = [&rows](const char* what, double value, const std::string& words) {
    rows.push_back({cell(what), number_cell(watts(value)), cell(words)});
  };
  add("lost in the network", power.lost, "all losses of the air, m dp / rho");
  add("from the speed of the car", power.ram, "pressures that the openings see");
  if (power.fans != 0) add("from fans into the air", power.fans, "");
  add("by hot air", power.expansion, "the air takes more volume behind a hot core than before it");
  if (power.fans_drawn != 0) add("electrical, of fans", power.fans_drawn, "");
  add_drag(point, rows);
  add("drag times speed", power.drag, fmt::format("at most {}", watts(power.drag_upper)));
  add("at the crankshaft", power.engine,
      fmt::format("drag, and fans by a generator of {:.0f} %", 100 * studies::generator_efficiency));
  std::vector<PageRow> losses;
  for (const studies::PowerLine& line : power.losses) {
    if (losses.size() == 8) break;
    losses.push_back({cell(line.element), number_cell(watts(line.power)),
                      number_cell(percent_of(line.power, power.lost))});
  }
  return page_table("Power at " + point.name, {"what", "power", "how it counts"}, rows) +
         page_table("Where the air loses it, largest first", {"element", "power", "share"}, losses);
}

std::string cautions_section(const PageSource& source) {
  std::string text = "<ul class=\"cautions\">\n";
  for (const std::string& one : cautions(source.model)) text += "<li>" + markup_text(one) + "</li>\n";
  return text + "</ul>\n";
}

}  // namespace corefeed::reports
