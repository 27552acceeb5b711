// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/text.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using studies::LapStudy;
using studies::LoopOverLap;
using units::Quantity;
using Rows = std::vector<std::vector<std::string>>;

std::string seconds(double time) { return fmt::format("{:.1f} s", time); }

/// Without the sign of a zero.
std::string kilojoules(double energy) {
  return fmt::format("{:.1f} kJ", std::round(energy / 100.0) / 10.0 + 0.0);
}

std::string head(const model::Model& model, const LapStudy& study) {
  const std::string drive = fmt::format(
      "{}, {:.2f} km at {} on average, {} outside, otherwise as at {}", seconds(study.trace.duration()),
      study.distance / 1000.0, units::show(study.mean_speed, Quantity::speed, 3),
      units::show(model.temperature, Quantity::temperature, 3), study.point);
  std::string how;
  if (study.ended) {
    how = "no answer: a loop has no temperature to give";
  } else if (study.stint) {
    how =
        fmt::format("stint of {} lap{} from the start temperatures{}", study.laps, study.laps == 1 ? "" : "s",
                    study.cyclic ? "; the last lap repeats the one before" : "");
  } else if (study.cyclic) {
    how = fmt::format("the lap that repeats itself, found within {:.2g} K after {} laps", study.change,
                      study.laps);
  } else {
    how = fmt::format("no lap that repeats itself after {} laps: {:.1f} K from lap to lap", study.laps,
                      study.change);
  }
  return fmt::format("{}: {}\n{}\n\n", study.trace.file, wrapped(drive, "  "), how);
}

std::string place_of(const LapStudy& study, const LoopOverLap& loop) {
  const std::string place = fmt::format("{}, {:.0f} m", seconds(loop.result.peak_time), loop.peak_distance);
  return study.stint && study.laps > 1 ? fmt::format("lap {}, {}", loop.peak_lap, place) : place;
}

std::string loops_text(const LapStudy& study) {
  Rows rows{{"loop", "peak", "where", "above limit", "mean", "steady at mean speed"}};
  for (const LoopOverLap& loop : study.loops) {
    const std::string above = loop.limit ? fmt::format("{} of {}", seconds(loop.result.time_above),
                                                       units::show(*loop.limit, Quantity::temperature))
                                         : "no limit given";
    rows.push_back({loop.name, with_band(loop.result.peak, loop.sigma, Quantity::temperature),
                    place_of(study, loop), above, with_band(loop.result.mean, 0.0, Quantity::temperature),
                    loop.steady ? with_band(*loop.steady, 0.0, Quantity::temperature) : "none"});
  }
  return table(rows, "  ") + "\n";
}

std::string energies_text(const LapStudy& study) {
  Rows rows{{"loop", "heat in", "heat out", "stored", "left over"}};
  for (const LoopOverLap& loop : study.loops) {
    const double rest = loop.result.heat_in - loop.result.heat_out - loop.result.stored;
    const double share = std::abs(rest) / std::max(loop.result.heat_in, 1.0);
    rows.push_back({loop.name, kilojoules(loop.result.heat_in), kilojoules(loop.result.heat_out),
                    kilojoules(loop.result.stored), fmt::format("{:.0e} of the heat in", share)});
  }
  return table(rows, "  ");
}

std::string controls_text(const LapStudy& study) {
  std::string text;
  const double whole = study.trace.duration() * (study.stint ? study.laps : 1);
  for (const studies::FanOverLap& fan : study.fans) {
    text += fmt::format("  {}: on for {} of {}, switched {} time{}\n", fan.name, seconds(fan.result.time_on),
                        seconds(whole), fan.result.switched, fan.result.switched == 1 ? "" : "s");
  }
  for (const LoopOverLap& loop : study.loops) {
    if (!loop.throttled) continue;
    const std::string least = fmt::format("{:.0f}", 100.0 * loop.result.least_share);
    const std::string largest = fmt::format("{:.0f}", 100.0 * loop.result.largest_share);
    text += fmt::format("  {} thermostat: {} % of the flow through its cores\n", loop.name,
                        least == largest ? least : fmt::format("{} to {}", least, largest));
  }
  return text.empty() ? "" : text + "\n";
}

std::string requirements_text(const model::Model& model, const LapStudy& study) {
  Rows rows{{"requirement", "peak", "limit", "verdict"}};
  for (const studies::JudgedRequirement& judged : study.requirements) {
    const model::Requirement& requirement = model.requirements[judged.index];
    if (judged.judgments.empty()) {
      rows.push_back({requirement.name, "not judged", limit_text(requirement), ""});
      continue;
    }
    const studies::Judgment& one = judged.judgments.front();
    rows.push_back({requirement.name, with_band(one.value, one.sigma, requirement.kind),
                    limit_text(requirement), std::string(studies::verdict_name(one.verdict))});
  }
  return rows.size() > 1 ? table(rows, "  ") + "\n" : "";
}

std::string warnings_text(const LapStudy& study) {
  std::string text;
  for (const Issue& issue : study.warnings) {
    const std::string_view what = issue.severity == Severity::note ? "note" : "warning";
    text += wrapped(fmt::format("{}: {}", what, issue.text), "  ") + "\n";
  }
  return text.empty() ? "" : text + "\n";
}

}  // namespace

std::string lap_text(const model::Model& model, const LapStudy& study) {
  std::string text = (model.title.empty() ? model.file : model.title) + "\n\n" + head(model, study);
  if (!study.ended) {
    text += loops_text(study) + controls_text(study) + requirements_text(model, study) + energies_text(study);
    text += fmt::format("  heat prepared from {} solutions; largest error {:.2g} %{}\n\n", study.solutions,
                        100.0 * study.error.largest,
                        study.error.loop.empty()
                            ? ""
                            : fmt::format(" ({} at {})", study.error.loop, seconds(study.error.time)));
  }
  return text + warnings_text(study) + cautions_text(model);
}

std::string lap_csv(const model::Model& model, const LapStudy& study) {
  std::string text = "time [s],lap,speed [km/h]";
  for (const LoopOverLap& loop : study.loops) {
    text += fmt::format(",{}.temperature [degC]", loop.name);
    if (loop.throttled) text += fmt::format(",{}.core_share", loop.name);
  }
  for (const studies::FanOverLap& fan : study.fans) text += fmt::format(",fans.{}", fan.name);
  text += "\n";
  if (study.ended) return text;
  const std::size_t gaps = study.trace.time.size() - 1;
  for (std::size_t row = 0; row < study.rows.size(); ++row) {
    const cooling::LapState& state = study.rows[row];
    // A stint's lap begins where the one before ended.
    const std::size_t lap = row == 0 ? 0 : (row - 1) / gaps;
    text += fmt::format("{:.10g},{},{:.6g}", study.time[row], lap + 1,
                        units::convert(study.trace.speed[row - lap * gaps], Quantity::speed, "km/h"));
    for (std::size_t i = 0; i < study.loops.size(); ++i) {
      text += fmt::format(",{:.8g}", units::convert(state.temperature[i], Quantity::temperature, "degC"));
      if (!study.loops[i].throttled) continue;
      text +=
          fmt::format(",{:.6g}", cooling::core_share(*model.loops[i].transient.thermostat, state.lift[i]));
    }
    for (const bool on : state.fan_on) text += on ? ",on" : ",off";
    text += "\n";
  }
  return text;
}

}  // namespace corefeed::reports
