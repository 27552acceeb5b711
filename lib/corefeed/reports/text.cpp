// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "corefeed/model/parameter.hpp"
#include "corefeed/reports/text_parts.hpp"
#include "corefeed/reports/verdict_words.hpp"
#include "corefeed/studies/power.hpp"

namespace corefeed::reports {
namespace {

using studies::JudgedRequirement;
using studies::Judgment;
using studies::PointResult;
using studies::Study;
using studies::Verdict;
using units::Quantity;

std::string heading(const model::Model& model) {
  return (model.title.empty() ? model.file : model.title) + "\n\n";
}

/// One number of an element, or "" where the kind has none of that name.
std::string number_of(const cooling::ElementState& state, std::string_view name) {
  for (const cooling::Number& number : state.numbers) {
    if (number.name != name) continue;
    return units::show(number.value, number.quantity, 3);
  }
  return "";
}

/// What a loop carries, by mass and volume.
std::string liquid_flow_text(const PointResult& point, const network::Element& element, double found) {
  // What the solver leaves of a flow that is none.
  const double flow = std::abs(found) < 1e-9 ? 0.0 : found;
  const network::Network& net = point.built.problem.network;
  const int upwind = flow >= 0.0 ? element.from : element.to;
  const int node = upwind == network::none ? element.to : upwind;
  const double density = net.liquids[static_cast<std::size_t>(element.liquid)].density(
      point.solution.nodes[static_cast<std::size_t>(node)].temperature);
  return fmt::format("{} ({})", units::show(flow, Quantity::mass_flow, 3),
                     units::show(flow / density, Quantity::volume_flow, 3));
}

std::string flow_text(const PointResult& point, std::size_t e) {
  const network::Element& element = point.built.problem.network.elements[e];
  const double flow = point.solution.elements[e].flow;
  return element.liquid == network::none ? units::show(flow, Quantity::mass_flow)
                                         : liquid_flow_text(point, element, flow);
}

/// Liquids stand under kilopascals.
std::string pressure_text(double value, Quantity quantity, int liquid) {
  if (liquid == network::none) return units::show(value, quantity);
  return units::write(std::abs(value) < 1e-3 ? 0.0 : value, quantity, "kPa", 4);
}

double sigma_of(const model::Model& model, const PointResult& point, const std::string& quantity) {
  return studies::uncertainty_of(model, point, quantity).sigma;
}

std::string cores_text(const model::Model& model, const PointResult& point) {
  std::vector<std::vector<std::string>> rows{{"core", "air flow", "face velocity", "air out", "heat"}};
  const auto& elements = point.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (!losses::is_air_core(*elements[e].kind)) continue;
    const cooling::ElementState& state = point.solution.elements[e];
    rows.push_back(
        {elements[e].name,
         with_band(state.flow, sigma_of(model, point, elements[e].name + ".flow"), Quantity::mass_flow),
         number_of(state, "face_velocity"), number_of(state, "air_temperature_out"),
         number_of(state, "heat")});
  }
  // A split core once more as a whole.
  for (const cooling::Path& path : point.built.problem.paths) {
    if (!elements[static_cast<std::size_t>(path.elements.front())].kind->heated) continue;
    const auto shown = [&](const char* what, Quantity quantity) {
      const auto value = point.solution.value(path.name + what);
      return value ? units::show(*value, quantity, 3) : "";
    };
    const double flow = point.solution.value(path.name + ".flow").value_or(0.0);
    rows.push_back({path.name,
                    with_band(flow, sigma_of(model, point, path.name + ".flow"), Quantity::mass_flow),
                    shown(".face_velocity", Quantity::velocity), "", shown(".heat", Quantity::power)});
  }
  return rows.size() > 1 ? table(rows, "  ") : "";
}

/// Of a loop that is a network, whose pressures are known.
std::optional<double> boiling_margin(const PointResult& point, std::size_t loop) {
  if (!point.built.problem.loops[loop].is_network()) return std::nullopt;
  return point.solution.value(point.built.problem.loops[loop].name + ".boiling_margin");
}

std::string loops_text(const model::Model& model, const PointResult& point) {
  std::vector<std::vector<std::string>> rows{{"loop", "hottest", "cooled to", "flow", "heat"}};
  bool can_boil = false;
  for (std::size_t l = 0; l < point.solution.loops.size(); ++l) {
    can_boil = can_boil || boiling_margin(point, l).has_value();
  }
  if (can_boil) rows.front().push_back("below boiling");
  for (std::size_t l = 0; l < point.solution.loops.size(); ++l) {
    const cooling::LoopState& state = point.solution.loops[l];
    const cooling::Loop& loop = point.built.problem.loops[l];
    const std::string& name = loop.name;
    const std::string flow = loop.is_network() ? flow_text(point, static_cast<std::size_t>(loop.first))
                                               : units::show(state.flow, Quantity::mass_flow, 3);
    rows.push_back(
        {name,
         with_band(state.temperature, sigma_of(model, point, name + ".temperature"), Quantity::temperature),
         units::show(state.temperature_cold, Quantity::temperature, 3), flow,
         units::show(state.heat, Quantity::power, 3)});
    const auto margin = boiling_margin(point, l);
    if (margin) rows.back().push_back(units::show(*margin, Quantity::temperature_difference, 3));
  }
  return rows.size() > 1 ? "\n" + table(rows, "  ") : "";
}

std::string pumps_text(const PointResult& point) {
  std::vector<std::vector<std::string>> rows{
      {"pump", "pressure rise", "flow", "power", "above suction limit"}};
  const auto& elements = point.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const cooling::ElementState& state = point.solution.elements[e];
    const auto margin = std::find_if(state.numbers.begin(), state.numbers.end(),
                                     [](const auto& one) { return one.name == "suction_margin"; });
    if (margin == state.numbers.end()) continue;
    rows.push_back({elements[e].name,
                    units::write(-state.pressure_loss, Quantity::pressure_difference, "kPa", 3),
                    flow_text(point, e), number_of(state, "power"),
                    units::write(margin->value, Quantity::pressure_difference, "kPa", 3)});
  }
  return rows.size() > 1 ? "\n" + table(rows, "  ") : "";
}

std::string requirements_text(const model::Model& model, const Study& study) {
  std::vector<std::vector<std::string>> rows{{"requirement", "value", "limit", "point", "verdict"}};
  for (const JudgedRequirement& judged : study.requirements) {
    const model::Requirement& requirement = model.requirements[judged.index];
    if (judged.judgments.empty()) {
      rows.push_back({requirement.name, "not judged at these points", limit_text(requirement), "", ""});
      continue;
    }
    const Judgment& worst = judged.judgments[judged.worst];
    rows.push_back({requirement.name, with_band(worst.value, worst.sigma, requirement.kind, requirement.unit),
                    limit_text(requirement), worst.point, std::string(studies::verdict_name(worst.verdict))});
  }
  return rows.size() > 1 ? table(rows, "  ") : "";
}

/// Why what falls short does so, at its governing point.
std::string shortfalls_text(const model::Model& model, const Study& study,
                            const std::vector<studies::Advice>& advice) {
  std::string text;
  for (const studies::Advice& one : advice) {
    const JudgedRequirement& judged = study.requirements[one.requirement];
    const model::Requirement& requirement = model.requirements[one.requirement];
    text +=
        fmt::format("\n  {}: {} ({}, {})\n", studies::verdict_name(judged.judgments[judged.worst].verdict),
                    requirement.name, requirement.quantity, one.point);
    text += reasons(model, *find_point(study, one.point), one);
  }
  return text;
}

/// Points that are shown one by one: of a few all, of many those that decide over a requirement or have not
/// one solution.
bool is_shown(const Study& study, const PointResult& point) {
  if (study.points.size() <= few_points || !point.solution.converged || !point.solution.further.empty())
    return true;
  return std::any_of(study.requirements.begin(), study.requirements.end(), [&](const JudgedRequirement& one) {
    return !one.judgments.empty() && one.judgments[one.worst].point == point.name;
  });
}

std::string verdict_text(const Study& study) {
  const RequirementCount count = count_of(study);
  if (study.status == Status::no_solution) {
    const bool none = std::any_of(study.points.begin(), study.points.end(),
                                  [](const PointResult& point) { return !point.solution.converged; });
    return none ? "verdict: none, a point has no solution\n"
                : "verdict: none, a point has several possible operating points\n";
  }
  if (count.total == 0) return "verdict: none, the model states no requirement\n";
  const bool by_warning = count.failed == 0 && study.status == Status::requirement_not_met;
  if (by_warning) return "verdict: NOT MET, a warning counts when strict\n";
  if (count.unjudged == count.total) return "verdict: none, no requirement speaks of these points\n";
  std::string text = count.failed > 0 ? fmt::format("verdict: NOT MET, {} of {} requirements fail",
                                                    count.failed, count.total)
                                      : "verdict: met";
  const std::size_t met = count.total - count.failed - count.close - count.unjudged;
  if (count.failed == 0) text += fmt::format(", {} of {} requirements", met, count.total);
  if (count.close > 0) text += fmt::format(", {} too close to call", count.close);
  if (count.unjudged > 0) text += fmt::format(", {} not judged at these points", count.unjudged);
  return text + "\n";
}

std::string elements_text(const PointResult& point) {
  std::vector<std::vector<std::string>> rows{{"element", "kind", "flow", "loss", "velocity"}};
  const auto& elements = point.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const cooling::ElementState& state = point.solution.elements[e];
    const std::string velocity =
        number_of(state, losses::is_air_core(*elements[e].kind) ? "face_velocity" : "velocity");
    rows.push_back({elements[e].name, std::string(losses::word_of(*elements[e].kind)), flow_text(point, e),
                    pressure_text(state.pressure_loss, Quantity::pressure_difference, elements[e].liquid),
                    velocity});
  }
  return table(rows, "  ");
}

std::string nodes_text(const PointResult& point) {
  std::vector<std::vector<std::string>> rows{{"node", "total pressure", "temperature"}};
  for (std::size_t n = 0; n < point.solution.nodes.size(); ++n) {
    const network::Node& node = point.built.problem.network.nodes[n];
    rows.push_back(
        {node.name,
         pressure_text(point.solution.nodes[n].total_pressure, Quantity::pressure_gauge, node.liquid),
         units::show(point.solution.nodes[n].temperature, Quantity::temperature)});
  }
  return "\n" + table(rows, "  ");
}

std::string car_text(const PointResult& point) {
  std::string text;
  for (const cooling::Number& number : point.solution.car) {
    if (number.name == "cooling_drag")
      text += "  cooling drag " + units::show(number.value, number.quantity, 3);
    if (number.name == "cooling_drag_upper")
      text += fmt::format(" ({} with all momentum lost)", units::show(number.value, number.quantity, 3));
    if (number.name == "cooling_drag_coefficient")
      text += fmt::format(", drag coefficient {:.4f}", number.value);
  }
  if (text.empty()) return "";
  const studies::Power power = studies::power_of(point);
  text += fmt::format(
      "\n  power at the crankshaft {}: drag {}, fans draw {}; the air's way costs {}",
      units::show(power.engine, Quantity::power, 3), units::show(power.drag, Quantity::power, 3),
      units::show(power.fans_drawn, Quantity::power, 3), units::show(power.lost, Quantity::power, 3));
  return "\n" + text + "\n";
}

std::string state_text(const model::Model& model, const PointResult& point) {
  return elements_text(point) + nodes_text(point) + loops_text(model, point) + pumps_text(point) +
         car_text(point) + "\n";
}

/// Every state that the network can be in, where it is more than one.
std::string states_text(const model::Model& model, const PointResult& point) {
  const cooling::Solution& first = point.solution;
  if (first.further.empty()) return state_text(model, point);
  const auto total = first.further.size() + 1;
  const auto head = [total](std::size_t i, bool stable) {
    return fmt::format("  operating point {} of {}, {}\n", i, total, stable ? "stable" : "not stable");
  };
  std::string text = head(1, first.stable) + state_text(model, point);
  for (std::size_t i = 0; i < first.further.size(); ++i) {
    PointResult other;
    other.name = point.name;
    other.built = point.built;
    other.solution = first.further[i];
    text += head(i + 2, other.solution.stable) + state_text(model, other);
  }
  return text;
}

/// Linear bands beside those of the samples.
std::string samples_text(const PointResult& point) {
  if (point.samples.count == 0) return "";
  std::vector<std::vector<std::string>> rows{{"quantity", "linear sigma", "sigma of the samples", "mean"}};
  for (const studies::Sampled& one : point.samples.quantities) {
    rows.push_back({one.quantity, fmt::format("{:.3g}", one.linear_sigma), fmt::format("{:.3g}", one.sigma),
                    fmt::format("{:.4g}", one.mean)});
  }
  return fmt::format("  {} samples, SI units\n", point.samples.count) + table(rows, "  ") + "\n";
}

}  // namespace

std::string solve_text(const model::Model& model, const Study& study) {
  std::string text = heading(model);
  for (const PointResult& point : study.points) {
    text += point_head(model, point);
    if (!point.solution.converged) continue;
    text += states_text(model, point) + samples_text(point);
  }
  return text + warning_lines(study);
}

std::string check_text(const model::Model& model, const Study& study, const studies::Outlook& outlook) {
  std::string text = heading(model);
  bool all_shown = true;
  for (const PointResult& point : study.points) {
    all_shown = all_shown && is_shown(study, point);
    if (!is_shown(study, point)) continue;
    text += point_head(model, point);
    if (!point.solution.converged) continue;
    text +=
        cores_text(model, point) + loops_text(model, point) + pumps_text(point) + "\n" + samples_text(point);
  }
  if (!all_shown) text += ranking_text(model, outlook.ranking);
  text += requirements_text(model, study) + shortfalls_text(model, study, outlook.advice);
  text += margins_text(outlook.margins) + envelopes_text(model, outlook.envelopes) + "\n";
  text += warning_lines(study);
  return text + verdict_text(study) + "\n" + cautions_text(model);
}

std::string size_text(const model::Model& model, const studies::SizeQuestion& question,
                      const studies::Size& size) {
  const model::Parameter parameter = model::find_parameter(model, size.parameter).value();
  const Quantity kind = parameter.quantity;
  const double now = model::parameter_value(model, parameter);
  std::string text = heading(model);
  const std::string number = with_band(size.value, size.sigma, kind);
  if (size.reached) {
    const std::string factor = now == 0.0 ? "" : fmt::format(", factor {:.4f}", size.value / now);
    text += fmt::format("{} = {} (now {}{})\n", size.parameter, number, with_band(now, 0.0, kind), factor);
  } else {
    text += fmt::format("out of reach: the best of {} to {} is {} = {}\n", with_band(size.lowest, 0.0, kind),
                        with_band(size.highest, 0.0, kind), size.parameter, with_band(size.value, 0.0, kind));
  }
  text += fmt::format("  {} {} {} at {}; wanted {} {}\n", question.quantity,
                      size.reached ? "becomes" : "reaches only", with_band(size.quantity, 0.0, question.kind),
                      size.point,
                      question.at_least ? ">=" : "<=", with_band(question.target, 0.0, question.kind));
  if (!size.limited_by.empty()) text += "  " + wrapped("limited by: " + size.limited_by, "    ") + "\n";
  for (const Issue& issue : size.warnings) text += "warning: " + issue.text + "\n";
  return text + "\n" + cautions_text(model);
}

}  // namespace corefeed::reports
