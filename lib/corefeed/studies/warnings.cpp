// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <optional>

#include "corefeed/studies/study.hpp"

namespace corefeed::studies {
namespace {

using losses::Ends;

Issue warning(std::string code, const std::string& element, std::string text,
              Severity severity = Severity::warning) {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = severity;
  issue.place.pointer = element;
  issue.text = std::move(text);
  return issue;
}

struct Subject {
  double value;
  units::Quantity quantity;
};

/// What a range speaks of: a reported number or a key.
std::optional<Subject> subject_of(const network::Element& element, const cooling::ElementState& state,
                                  std::string_view name) {
  for (const cooling::Number& number : state.numbers) {
    if (number.name == name) return Subject{number.value, number.quantity};
  }
  const std::size_t key = losses::find_key(*element.kind, name);
  if (key == losses::npos) return std::nullopt;
  return Subject{element.numbers[key], element.kind->keys[key].quantity};
}

std::string shown(double value, units::Quantity quantity) {
  return quantity == units::Quantity::number ? fmt::format("{:.4g}", value) : units::show(value, quantity);
}

void warn_of_ranges(const network::Element& element, const cooling::ElementState& state,
                    std::vector<Issue>& list) {
  for (const losses::Range& range : element.kind->ranges) {
    const std::size_t where = losses::find_key(*element.kind, range.where);
    if (!range.where.empty() && (where == losses::npos || !element.values().has(where))) continue;
    const auto subject = subject_of(element, state, range.subject);
    if (!subject || (subject->value >= range.lowest && subject->value <= range.highest)) continue;
    list.push_back(warning(
        "out_of_range", element.name,
        fmt::format("{}: {} {} {} (its law holds from {} to {})", element.name, range.subject,
                    shown(subject->value, subject->quantity), range.meaning,
                    shown(range.lowest, subject->quantity), shown(range.highest, subject->quantity))));
  }
}

void warn_of_mach(const network::Element& element, const cooling::ElementState& state,
                  std::vector<Issue>& list) {
  for (const cooling::Number& number : state.numbers) {
    if (number.name != "mach" || std::abs(number.value) <= 0.2) continue;
    const bool out = std::abs(number.value) > 0.3;
    list.push_back(warning(out ? "out_of_range" : "fast_air", element.name,
                           fmt::format("{}: Mach {:.2f}; the weakly compressible model {} 0.3", element.name,
                                       std::abs(number.value), out ? "holds below" : "is still valid, up to"),
                           out ? Severity::warning : Severity::note));
  }
}

void warn_of_direction(const network::Element& element, const cooling::ElementState& state,
                       std::vector<Issue>& list) {
  if (state.flow >= -1e-6 || element.kind->name == "supply") return;
  const std::string flow = units::show(-state.flow, units::Quantity::mass_flow);
  if (element.kind->ends == Ends::no_from) {
    list.push_back(warning("reversed", element.name,
                           fmt::format("{}: air leaves through this inlet, {}", element.name, flow)));
  } else if (element.kind->ends == Ends::no_to) {
    list.push_back(warning("reversed", element.name,
                           fmt::format("{}: air enters through this vent, {}", element.name, flow)));
  } else if (losses::is_air_core(*element.kind)) {
    list.push_back(warning("reversed", element.name,
                           fmt::format("{}: air flows backwards through this core, {}", element.name, flow)));
  }
}

/// A running fan may raise the pressure behind it so far that air is pushed backwards through another branch.
void warn_of_back_feed(const PointResult& result, std::vector<Issue>& list) {
  const auto& elements = result.built.problem.network.elements;
  for (std::size_t f = 0; f < elements.size(); ++f) {
    if (elements[f].kind->name != "fan" || elements[f].fan_state != losses::FanState::on) continue;
    for (std::size_t e = 0; e < elements.size(); ++e) {
      const bool away = elements[e].to == elements[f].to && elements[e].to != network::none && e != f;
      if (!away || result.solution.elements[e].flow >= -1e-6) continue;
      list.push_back(
          warning("fan_back_feeds", elements[e].name,
                  fmt::format("the fan {} back-feeds {}: {} flows backwards through it",
                              quoted(elements[f].name), elements[e].name,
                              units::show(-result.solution.elements[e].flow, units::Quantity::mass_flow))));
    }
  }
}

double number_of(const cooling::ElementState& state, std::string_view name, double otherwise) {
  for (const cooling::Number& number : state.numbers) {
    if (number.name == name) return number.value;
  }
  return otherwise;
}

/// A pump that has less at its inlet than it needs gives less than its curve.
void warn_of_suction(const network::Element& element, const cooling::ElementState& state,
                     std::vector<Issue>& list) {
  const double margin = number_of(state, "suction_margin", 1.0);
  if (margin >= 0.0) return;
  const std::size_t key = losses::find_key(*element.kind, "suction_limit");
  const bool limited = (element.given >> key & 1U) != 0;
  const std::string lack = units::show(-margin, units::Quantity::pressure_difference);
  const std::string text =
      limited ? fmt::format(
                    "{}: its inlet lacks {} of what it needs above vapor pressure: the pump cavitates "
                    "and gives less than its curve",
                    element.name, lack)
              : fmt::format(
                    "{}: its inlet lies {} below vapor pressure: the pump cavitates, and its curve no "
                    "longer holds; give its suction_limit",
                    element.name, lack);
  list.push_back(warning("suction_limit", element.name, text));
}

/// A thermostat that is all but shut, though heat enters the loop.
void warn_of_thermostat(const PointResult& result, std::size_t e, std::vector<Issue>& list) {
  const network::Element& element = result.built.problem.network.elements[e];
  const bool main_way = element.kind->name == "thermostat" && element.leg == losses::Leg::straight;
  const double opening = number_of(result.solution.elements[e], "opening", 1.0);
  if (!main_way || opening > 0.02) return;
  const std::string name = element.name.substr(0, element.name.find('/'));
  const double temperature = result.solution.nodes[static_cast<std::size_t>(element.from)].temperature;
  list.push_back(
      warning("thermostat_closed", name,
              fmt::format("{}: shut at {}; {} leaks to the core", name,
                          units::show(temperature, units::Quantity::temperature),
                          units::show(result.solution.elements[e].flow, units::Quantity::mass_flow)),
              Severity::note));
}

/// A heated core through which next to no liquid flows cools nothing.
void warn_of_still_liquid(const PointResult& result, std::size_t e, std::vector<Issue>& list) {
  const cooling::Case& problem = result.built.problem;
  const network::Element& element = problem.network.elements[e];
  if (element.liquid == network::none || problem.other_side[e] == network::none) return;
  const double speed = number_of(result.solution.elements[e], "velocity", 1.0);
  constexpr double slowest = 1e-3;  // m/s in the ports
  if (std::abs(speed) > slowest) return;
  list.push_back(warning("no_liquid_flow", element.name,
                         fmt::format("{}: next to no liquid flows through this core ({:.2g} kg/s); it gives "
                                     "off {:.2g} W",
                                     element.name, std::abs(result.solution.elements[e].flow),
                                     number_of(result.solution.elements[e], "heat", 0.0))));
}

/// Headers that feed some tubes much more than others.
void warn_of_headers(const network::Element& element, const cooling::ElementState& state,
                     std::vector<Issue>& list) {
  constexpr double most = 1.5;
  const double ratio = number_of(state, "tube_flow_ratio", 1.0);
  if (ratio <= most) return;
  list.push_back(warning("uneven_tubes", element.name,
                         fmt::format("{}: its headers give one tube {:.3g} times the flow of another; larger "
                                     "headers or ports on one side (U) even it out",
                                     element.name, ratio)));
}

/// How far a liquid is from boiling where it is closest to it.
struct BoilingMargin {
  double margin = 0;     ///< K, negative where it boils
  std::size_t node = 0;  ///< place in the network
};

/// By the pressure at each node of the loop; nothing for oils.
std::optional<BoilingMargin> boiling_margin(const PointResult& result, std::size_t loop) {
  const network::Network& net = result.built.problem.network;
  const cooling::Loop& given = result.built.problem.loops[loop];
  std::optional<BoilingMargin> least;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (!given.is_network() || net.nodes[n].liquid != given.liquid) continue;
    const cooling::NodeState& state = result.solution.nodes[n];
    const double margin =
        given.fluid.boiling_temperature(state.total_pressure + net.outside.pressure) - state.temperature;
    if (std::isfinite(margin) && (!least || margin < least->margin)) least = BoilingMargin{margin, n};
  }
  return least;
}

/// The place of a loop that is next to boiling.
void warn_of_boiling_in_network(const PointResult& result, std::size_t l, std::vector<Issue>& list) {
  constexpr double close = 5.0;  // K
  const auto margin = boiling_margin(result, l);
  if (!margin || margin->margin > close) return;
  const std::string& loop = result.built.problem.loops[l].name;
  const cooling::NodeState& state = result.solution.nodes[margin->node];
  const std::string where =
      fmt::format("{} at {} and {} above ambient", result.built.problem.network.nodes[margin->node].name,
                  units::show(state.temperature, units::Quantity::temperature),
                  units::show(state.total_pressure, units::Quantity::pressure_gauge));
  const bool boils = margin->margin < 0.0;
  list.push_back(warning("boiling", loop,
                         boils ? fmt::format("{}: the liquid boils at {}", loop, where)
                               : fmt::format("{}: {} is {:.1f} K below boiling", loop, where, margin->margin),
                         boils ? Severity::warning : Severity::note));
}

/// Boiling under the pressure of the cap; within a few kelvin of it a local hot spot boils already.
void warn_of_boiling(const cooling::Loop& loop, double hot, std::vector<Issue>& list) {
  constexpr double close = 5.0;
  const double margin = loop.boiling_temperature - hot;
  if (!(margin < close)) return;
  const std::string boiling = units::show(loop.boiling_temperature, units::Quantity::temperature);
  const std::string text =
      margin < 0.0
          ? fmt::format("{}: {} is {:.1f} K above its boiling point of {} under its cap_pressure; it boils",
                        loop.name, units::show(hot, units::Quantity::temperature), -margin, boiling)
          : fmt::format("{}: {} is only {:.1f} K below its boiling point of {} under its cap_pressure",
                        loop.name, units::show(hot, units::Quantity::temperature), margin, boiling);
  list.push_back(warning("boiling", loop.name, text, margin < 0.0 ? Severity::warning : Severity::note));
}

void warn_of_liquids(const PointResult& result, std::vector<Issue>& list) {
  for (std::size_t l = 0; l < result.solution.loops.size(); ++l) {
    const cooling::Loop& loop = result.built.problem.loops[l];
    const double hot = result.solution.loops[l].temperature;
    if (loop.is_network()) {
      warn_of_boiling_in_network(result, l, list);
    } else {
      warn_of_boiling(loop, hot, list);
    }
    // No liquid of a car survives this; the number only says that its core gets next to no air.
    constexpr double absurd = 523.15;
    if (hot > absurd) {
      list.push_back(warning("starved", loop.name,
                             fmt::format("{}: {} is no answer: in the steady state its core cannot give off "
                                         "the heat, starved of air or far too small",
                                         loop.name, units::show(hot, units::Quantity::temperature))));
      continue;
    }
    if (hot <= loop.fluid.highest_temperature() && hot >= loop.fluid.lowest_temperature()) continue;
    list.push_back(
        warning("out_of_range", loop.name,
                fmt::format("{}: {} is outside the table of this liquid ({} to {})", loop.name,
                            units::show(hot, units::Quantity::temperature),
                            units::show(loop.fluid.lowest_temperature(), units::Quantity::temperature),
                            units::show(loop.fluid.highest_temperature(), units::Quantity::temperature))));
  }
}

/// A heated core with next to no air on its face leaves its loop to the others.
void warn_of_starved_cores(const PointResult& result, std::vector<Issue>& list) {
  const cooling::Case& problem = result.built.problem;
  constexpr double least = 0.2;  // m/s on the face
  for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
    const int loop = problem.loop_of[e];
    const auto velocity =
        subject_of(problem.network.elements[e], result.solution.elements[e], "face_velocity");
    if (loop == network::none || !velocity || std::abs(velocity->value) >= least) continue;
    const std::string& name = problem.network.elements[e].name;
    list.push_back(warning("starved", name,
                           fmt::format("{}: next to no air on its face ({}); it hardly cools {}", name,
                                       units::show(velocity->value, units::Quantity::velocity, 2),
                                       problem.loops[static_cast<std::size_t>(loop)].name)));
  }
}

}  // namespace

std::vector<Issue> point_warnings(const PointResult& result) {
  std::vector<Issue> list;
  const auto& elements = result.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    warn_of_ranges(elements[e], result.solution.elements[e], list);
    warn_of_mach(elements[e], result.solution.elements[e], list);
    warn_of_direction(elements[e], result.solution.elements[e], list);
    warn_of_suction(elements[e], result.solution.elements[e], list);
    warn_of_thermostat(result, e, list);
    warn_of_headers(elements[e], result.solution.elements[e], list);
    warn_of_still_liquid(result, e, list);
  }
  warn_of_back_feed(result, list);
  warn_of_liquids(result, list);
  warn_of_starved_cores(result, list);
  return list;
}

}  // namespace corefeed::studies
