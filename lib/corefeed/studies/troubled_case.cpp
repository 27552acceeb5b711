// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/troubled_case.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/model/build.hpp"

namespace corefeed::studies {
namespace {

/// Streams below this are at rest: which way they go says nothing, kg/s.
constexpr double still_flow = 1e-6;

bool is_vent(const losses::Kind& kind) { return kind.ends == losses::Ends::no_to; }
bool is_inlet(const losses::Kind& kind) { return kind.ends == losses::Ends::no_from; }

/// The name under which the user knows the core: a zone belongs to its whole.
std::string core_name(const cooling::Case& problem, int element) {
  for (const cooling::Path& path : problem.paths) {
    if (std::find(path.elements.begin(), path.elements.end(), element) != path.elements.end())
      return path.name;
  }
  return problem.network.elements[static_cast<std::size_t>(element)].name;
}

}  // namespace

std::vector<std::pair<std::string_view, TroubledCase::Turn>> TroubledCase::keys_of(
    Trouble trouble, const network::Element& element) {
  const losses::Kind& kind = *element.kind;
  const auto has = [&](std::string_view key) {
    const std::size_t place = losses::find_key(kind, key);
    return place != losses::npos && (element.given >> place & 1U) != 0;
  };
  if (element.liquid != network::none) return {};
  switch (trouble) {
    case Trouble::outlet_pressure:
      if (is_vent(kind)) return {{"cp", Turn::add}};
      break;
    case Trouble::clogged_screens:
      if (losses::find_key(kind, "clogging") != losses::npos) return {{"clogging", Turn::close}};
      if (is_inlet(kind) && has("open_fraction")) return {{"open_fraction", Turn::shrink}};
      break;
    case Trouble::dirty_cores:
      // What is left of the face takes all the air: the conductance at a velocity stays, the area shrinks.
      if (!losses::is_air_core(kind)) break;
      if (!has("air_conductance.value")) return {{"face_area", Turn::shrink}};
      return {{"face_area", Turn::shrink},
              {"air_conductance.value", Turn::shrink},
              {"air_conductance.flow", Turn::shrink}};
    case Trouble::traffic:
      break;
    case Trouble::leak_growth:
      if (kind.name == "leak") return {{has("gap") ? "gap" : "area", Turn::grow}};
      break;
  }
  return {};
}

/// A key at its standard value is no number of the case; turned, it becomes one.
std::vector<TroubledCase::Turned> TroubledCase::mark_keys(Trouble trouble, cooling::Case& problem) {
  std::vector<Turned> list;
  for (network::Element& element : problem.network.elements) {
    for (const auto& [key, turn] : keys_of(trouble, element)) {
      const std::size_t place = losses::find_key(*element.kind, key);
      element.given |= std::uint64_t{1} << place;
      list.push_back({fmt::format("{}.{}", element.name, key), element.numbers[place], turn});
    }
  }
  return list;
}

TroubledCase::TroubledCase(const model::Model& model, const model::Point& point, Trouble trouble,
                           const cooling::SolveOptions& options)
    : TroubledCase(model, point, trouble, options, model::build(model, point).problem) {}

TroubledCase::TroubledCase(const model::Model& model, const model::Point& point, Trouble trouble,
                           const cooling::SolveOptions& options, cooling::Case problem)
    : turned_(mark_keys(trouble, problem)), prepared_(problem, options) {
  for (const Turned& one : turned_) {
    if (const auto input = prepared_.input(one.name)) dials_.push_back({*input, one.base, one.turn});
  }
  if (trouble == Trouble::traffic && point.speed > 0.0)
    dials_.push_back({*prepared_.input("speed"), point.speed, Turn::slow});
  if (dials_.empty()) return;
  for (const cooling::Loop& loop : problem.loops) {
    if (const auto output = prepared_.output(loop.name + ".temperature")) temperatures_.push_back(*output);
  }
  add_requirements(model, point.name);
  if (set(trouble_none(trouble))) add_flows(problem);
}

void TroubledCase::add_target(Margin::Until until, const std::string& name, const std::string& quantity,
                              double reference, double sign) {
  if (const auto output = prepared_.output(quantity))
    targets_.push_back({until, name, *output, reference, sign});
}

void TroubledCase::add_requirements(const model::Model& model, const std::string& point) {
  for (const model::Requirement& one : model.requirements) {
    if (!one.at.empty() && std::find(one.at.begin(), one.at.end(), point) == one.at.end()) continue;
    add_target(Margin::Until::requirement, one.name, one.quantity, one.limit, one.at_least ? 1.0 : -1.0);
  }
}

/// Half of each core's air, and every stream's direction, as they are without the trouble.
void TroubledCase::add_flows(const cooling::Case& problem) {
  std::vector<std::string> cores;
  const auto& elements = problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (!losses::is_air_core(*elements[e].kind)) continue;
    const std::string name = core_name(problem, static_cast<int>(e));
    if (std::find(cores.begin(), cores.end(), name) == cores.end()) cores.push_back(name);
  }
  for (const std::string& core : cores) {
    add_target(Margin::Until::half_flow, core, core + ".flow", 0.0, 1.0);
    Target& target = targets_.back();
    const double flow = prepared_.value(target.output);
    target.sign = flow < 0.0 ? -1.0 : 1.0;
    target.reference = 0.5 * flow;
    if (std::abs(flow) < still_flow) targets_.pop_back();
  }
  for (const network::Element& element : elements) {
    if (element.liquid != network::none) continue;
    add_target(Margin::Until::reversal, element.name, element.name + ".flow", 0.0, 1.0);
    Target& target = targets_.back();
    const double flow = prepared_.value(target.output);
    target.sign = flow < 0.0 ? -1.0 : 1.0;
    if (std::abs(flow) < still_flow) targets_.pop_back();
  }
}

double TroubledCase::turned(const Dial& dial, double amount) {
  switch (dial.turn) {
    case Turn::add:
      return dial.base + amount;
    case Turn::close:
      return 1.0 - (1.0 - dial.base) * (1.0 - amount);
    case Turn::shrink:
      return dial.base * (1.0 - amount);
    case Turn::slow:
      // All pressures at the skin go with the dynamic head.
      return dial.base * std::sqrt(1.0 - amount);
    case Turn::grow:
      break;
  }
  return dial.base * amount;
}

bool TroubledCase::set(double amount) {
  for (const Dial& dial : dials_) prepared_.set(dial.input, turned(dial, amount));
  const bool steady = prepared_.solve().converged &&
                      std::none_of(temperatures_.begin(), temperatures_.end(), [this](std::size_t output) {
                        return prepared_.value(output) >= hottest_believed;
                      });
  // The next amount is near the last one that has a state.
  if (steady) {
    prepared_.mark();
  } else {
    prepared_.go_back();
  }
  return steady;
}

double TroubledCase::left(std::size_t target) {
  const Target& one = targets_[target];
  return one.sign * (prepared_.value(one.output) - one.reference);
}

}  // namespace corefeed::studies
