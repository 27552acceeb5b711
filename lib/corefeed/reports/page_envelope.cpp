// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "corefeed/reports/charts.hpp"
#include "corefeed/reports/page_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Envelope;
using studies::EnvelopeCell;
using units::Quantity;

constexpr double picture_width = 1000;

std::string place_words(const EnvelopeCell& cell) {
  std::string text = units::show(cell.speed, Quantity::speed, 3);
  if (cell.ride_height) text += ", ride height " + units::show(*cell.ride_height, Quantity::length, 3);
  if (cell.yaw) text += ", yaw " + units::show(*cell.yaw, Quantity::angle, 3);
  if (!cell.extrapolated.empty()) text += " (beyond the runs)";
  return text;
}

CellMap::Cell map_cell(const EnvelopeCell& from, std::size_t requirement, const Shown& shown, bool worst) {
  CellMap::Cell made;
  made.flagged = !from.extrapolated.empty();
  made.framed = worst;
  const auto& value = from.requirements[requirement];
  made.text = value ? number_words(in_unit(value->value, shown)) : "none";
  made.style = value ? std::string(verdict_style(value->verdict)) : "unsolved";
  return made;
}

std::vector<std::string> labels(const std::vector<double>& values, Quantity quantity) {
  std::vector<std::string> texts;
  for (const double value : values) texts.push_back(units::show(value, quantity, 3));
  if (texts.empty()) texts.emplace_back();
  return texts;
}

CellMap map_of(const Envelope& envelope, const model::Requirement& requirement, std::size_t index) {
  CellMap map;
  map.across = envelope.axes.yaws.empty() ? "" : "yaw";
  map.down = envelope.axes.ride_heights.empty() ? "" : "ride height";
  map.columns = labels(envelope.axes.yaws, Quantity::angle);
  map.rows = labels(envelope.axes.ride_heights, Quantity::length);
  std::size_t next = 0;
  for (const double speed : envelope.axes.speeds) {
    CellMap::Grid grid{units::show(speed, Quantity::speed, 3), {}};
    for (std::size_t r = 0; r < map.rows.size(); ++r) {
      grid.rows.emplace_back();
      for (std::size_t c = 0; c < map.columns.size(); ++c, ++next)
        grid.rows.back().push_back(
            map_cell(envelope.cells[next], index, shown_as(requirement), envelope.worst[index] == next));
    }
    map.grids.push_back(std::move(grid));
  }
  return map;
}

/// "12 of 16 cells met, 3 not met, 1 without one solution; 4 beyond the runs (corner marked)."
std::string count_words(const Envelope& envelope, std::size_t index) {
  std::size_t met = 0;
  std::size_t missed = 0;
  std::size_t close = 0;
  std::size_t unsolved = 0;
  std::size_t beyond = 0;
  for (const EnvelopeCell& cell : envelope.cells) {
    beyond += cell.extrapolated.empty() ? 0U : 1U;
    if (!cell.requirements[index]) {
      ++unsolved;
    } else if (cell.requirements[index]->verdict == studies::Verdict::met) {
      ++met;
    } else {
      ++(cell.requirements[index]->verdict == studies::Verdict::not_met ? missed : close);
    }
  }
  std::string text = fmt::format("{} of {} cells met", met, envelope.cells.size());
  if (close > 0) text += fmt::format(", {} too close to call", close);
  if (missed > 0) text += fmt::format(", {} not met", missed);
  if (unsolved > 0) text += fmt::format(", {} without one solution", unsolved);
  if (beyond > 0) text += fmt::format("; {} beyond the runs (corner marked)", beyond);
  return text + ".";
}

std::string map_figure(const Envelope& envelope, const model::Requirement& requirement, std::size_t index) {
  if (!envelope.worst[index]) return {};
  CellMap map = map_of(envelope, requirement, index);
  const EnvelopeCell& worst = envelope.cells[*envelope.worst[index]];
  const std::string words = fmt::format(
      "{} Worst (framed): {} at {}.", count_words(envelope, index),
      band_text(worst.requirements[index]->value, worst.requirements[index]->sigma, shown_as(requirement)),
      place_words(worst));
  map.caption = {requirement.name + " over the envelope", words};
  return fmt::format("<h3>{}: {}, {}</h3>\n", markup_text(requirement.name),
                     markup_text(axis_title(requirement.quantity, shown_as(requirement))),
                     markup_text(limit_words(requirement))) +
         page_figure(cell_map(map, picture_width), words);
}

/// Why cells have no value: the map has no room for it.
std::string unsolved_text(const Envelope& envelope) {
  std::string text;
  for (const EnvelopeCell& cell : envelope.cells) {
    if (cell.solved) continue;
    text +=
        paragraph(fmt::format("No one solution at {}: {}.", place_words(cell), cell.explanation), "trouble");
  }
  return text;
}

/// Names, or the first of many.
std::string points_text(const std::vector<std::string>& names) {
  constexpr std::size_t many = 4;
  if (names.size() <= many) return fmt::format("{}", fmt::join(names, ", "));
  return fmt::format("{} and {} more points", names.front(), names.size() - 1);
}

}  // namespace

std::string envelope_section(const PageSource& source) {
  std::string text;
  bool any_map = false;
  for (const Envelope& envelope : source.content.outlook.envelopes) {
    std::string figures;
    for (std::size_t r = 0; r < source.model.requirements.size(); ++r)
      figures += map_figure(envelope, source.model.requirements[r], r);
    any_map = any_map || !figures.empty();
    figures += unsolved_text(envelope);
    if (figures.empty()) continue;
    text +=
        paragraph(fmt::format("With the heat loads and fans of {}.", points_text(envelope.points))) + figures;
  }
  if (!any_map) return text;
  return "<p class=\"legend\">" + badge("met", "met") + badge("too-close", "too close to call") +
         badge("not-met", "not met") + badge("unsolved", "no one solution") + "</p>\n" + text;
}

}  // namespace corefeed::reports
