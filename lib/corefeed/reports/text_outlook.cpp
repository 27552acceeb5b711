// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::Envelope;
using studies::EnvelopeCell;
using studies::Margin;
using studies::Trouble;
using units::Quantity;

/// A factor as such, a rise of Cp with its sign, shares in percent.
std::string amount_text(Trouble trouble, double amount) {
  switch (trouble) {
    case Trouble::outlet_pressure:
      return fmt::format("{:+.3f}", amount);
    case Trouble::leak_growth:
      return fmt::format("{:.2f} times", amount);
    default:
      break;
  }
  return fmt::format("{:.1f} %", 100.0 * amount);
}

std::string event_text(const Margin& margin) {
  switch (margin.until) {
    case Margin::Until::requirement:
      return fmt::format("\"{}\" fails", margin.name);
    case Margin::Until::half_flow:
      return margin.name + " has half its air";
    case Margin::Until::reversal:
      break;
  }
  return margin.name + " blows backwards";
}

std::vector<std::string> margin_row(const studies::Margins& margins, Trouble trouble) {
  const std::string name(studies::trouble_name(trouble));
  const Margin* first = studies::first_of(margins, trouble);
  if (first != nullptr) return {name, amount_text(trouble, *first->amount), event_text(*first), first->point};
  return {name, "over " + amount_text(trouble, studies::trouble_most(trouble)), "nothing more gives way", ""};
}

std::string degrees(double yaw) { return units::write(yaw, Quantity::angle, "deg", 3); }

std::string place_text(const EnvelopeCell& cell) {
  std::string text = units::show(cell.speed, Quantity::speed, 3);
  if (cell.ride_height) text += ", " + units::write(*cell.ride_height, Quantity::length, "mm", 3);
  if (cell.yaw) text += ", yaw " + degrees(*cell.yaw);
  if (!cell.extrapolated.empty()) text += " (beyond the runs)";
  return text;
}

std::string envelope_head(const Envelope& envelope) {
  std::string text = fmt::format("the envelope of {}", envelope.points.front());
  if (envelope.points.size() > 1) text += fmt::format(" and {} more", envelope.points.size() - 1);
  text +=
      fmt::format(": {} speed{}", envelope.axes.speeds.size(), envelope.axes.speeds.size() == 1 ? "" : "s");
  if (!envelope.axes.ride_heights.empty())
    text += fmt::format(" x {} ride heights", envelope.axes.ride_heights.size());
  if (!envelope.axes.yaws.empty()) text += fmt::format(" x {} yaw angles", envelope.axes.yaws.size());
  return text;
}

/// Cells that a requirement has no place in, or passes, or not.
std::string count_text(const Envelope& envelope, std::size_t requirement) {
  std::size_t judged = 0;
  std::size_t met = 0;
  for (const EnvelopeCell& cell : envelope.cells) {
    if (!cell.requirements[requirement]) continue;
    ++judged;
    if (cell.requirements[requirement]->verdict == studies::Verdict::met) ++met;
  }
  return fmt::format("{} of {}", met, judged);
}

std::string envelope_text(const model::Model& model, const Envelope& envelope) {
  std::vector<std::vector<std::string>> rows{{"requirement", "worst value", "where", "verdict", "met in"}};
  for (std::size_t r = 0; r < model.requirements.size(); ++r) {
    if (!envelope.worst[r]) continue;
    const EnvelopeCell& cell = envelope.cells[*envelope.worst[r]];
    const studies::EnvelopeValue& value = *cell.requirements[r];
    rows.push_back(
        {model.requirements[r].name,
         with_band(value.value, value.sigma, model.requirements[r].kind, model.requirements[r].unit),
         place_text(cell), std::string(studies::verdict_name(value.verdict)), count_text(envelope, r)});
  }
  std::string text = rows.size() > 1 ? table(rows, "  ") : "";
  for (const EnvelopeCell& cell : envelope.cells) {
    if (cell.solved) continue;
    text += "  " +
            wrapped(fmt::format("{}: no one solution: {}", place_text(cell), cell.explanation), "    ") +
            "\n";
  }
  return text.empty() ? "" : "\n" + envelope_head(envelope) + "\n" + text;
}

}  // namespace

std::string lever_text(const model::Requirement& requirement, const studies::Advice& advice,
                       const studies::Lever& lever) {
  const bool level = requirement.kind == Quantity::temperature;
  const auto change = [&] {
    if (level) return fmt::format("{:+.1f} K", lever.ten_percent);
    const double sign = requirement.at_least ? 1.0 : -1.0;
    return fmt::format("{:+.1f} %", sign * 10.0 * std::abs(lever.elasticity));
  };
  std::string text = fmt::format("{} 10 % {}: {} {}", lever.parameter, lever.larger ? "larger" : "smaller",
                                 requirement.quantity, change());
  if (lever.size) {
    text += fmt::format("; {} {} (now {})", with_band(*lever.size, lever.sigma, lever.kind),
                        advice.target == requirement.limit ? "cures it" : "makes it sure",
                        units::show(lever.now, lever.kind));
  } else if (!lever.why_not.empty()) {
    text += "; no cure by it alone: " + lever.why_not;
  }
  return text;
}

std::string ranking_text(const model::Model& model, const std::vector<studies::PointRank>& ranking) {
  std::vector<std::vector<std::string>> rows{{"", "point, hardest first", "decided by", "margin", "verdict"}};
  for (std::size_t i = 0; i < ranking.size(); ++i) {
    const studies::PointRank& one = ranking[i];
    if (!one.solved) {
      rows.push_back({fmt::format("{}", i + 1), one.point, "no one solution", "", ""});
      continue;
    }
    const std::string margin = std::isfinite(one.sigmas) ? fmt::format("{:+.1f} sigma", one.sigmas) : "sure";
    rows.push_back({fmt::format("{}", i + 1), one.point, model.requirements[one.requirement].name, margin,
                    std::string(studies::verdict_name(one.verdict))});
  }
  return rows.size() > 1 ? table(rows, "  ") + "\n" : "";
}

std::string margins_text(const studies::Margins& margins) {
  std::vector<std::vector<std::string>> rows{{"what gets worse", "until", "what gives way first", "point"}};
  for (int which = 0; which < studies::trouble_count; ++which) {
    const Trouble trouble = static_cast<Trouble>(which);
    if (std::count(margins.without.begin(), margins.without.end(), trouble) > 0) continue;
    rows.push_back(margin_row(margins, trouble));
  }
  return rows.size() > 1 ? "\n" + table(rows, "  ") : "";
}

std::string envelopes_text(const model::Model& model, const std::vector<Envelope>& envelopes) {
  std::string text;
  for (const Envelope& envelope : envelopes) text += envelope_text(model, envelope);
  return text;
}

}  // namespace corefeed::reports
