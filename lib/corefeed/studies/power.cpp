// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/power.hpp"

#include <algorithm>
#include <cmath>

namespace corefeed::studies {
namespace {

using network::none;

double number(const std::vector<cooling::Number>& numbers, std::string_view name) {
  for (const cooling::Number& one : numbers) {
    if (one.name == name) return one.value;
  }
  return 0.0;
}

/// Pressure (Pa above ambient) and volume flow (m3/s) of an element's stream where it enters.
struct Entry {
  double pressure = 0;
  double volume = 0;
};

/// The air outside at an opening has the pressure that its loss leaves of the node's.
Entry entry_of(const PointResult& result, std::size_t e) {
  const network::Element& element = result.built.problem.network.elements[e];
  const cooling::ElementState& state = result.solution.elements[e];
  const losses::Surroundings& outside = result.built.problem.network.outside;
  const bool forward = state.flow >= 0.0;
  const int node = forward ? element.from : element.to;
  Entry entry;
  double temperature = outside.total_temperature;
  if (node == none) {
    const int inside = forward ? element.to : element.from;
    const double inner = result.solution.nodes[static_cast<std::size_t>(inside)].total_pressure;
    entry.pressure = inner + (forward ? state.pressure_loss : -state.pressure_loss);
  } else {
    entry.pressure = result.solution.nodes[static_cast<std::size_t>(node)].total_pressure;
    temperature = result.solution.nodes[static_cast<std::size_t>(node)].temperature;
  }
  const double density = (outside.pressure + entry.pressure) / (outside.air.gas_constant * temperature);
  entry.volume = std::abs(state.flow) / density;
  return entry;
}

}  // namespace

Power power_of(const PointResult& result) {
  Power power;
  const cooling::Solution& solution = result.solution;
  const auto& elements = result.built.problem.network.elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    const network::Element& element = elements[e];
    if (element.liquid != none) continue;
    const cooling::ElementState& state = solution.elements[e];
    const Entry entry = entry_of(result, e);
    const double loss = state.flow >= 0.0 ? state.pressure_loss : -state.pressure_loss;
    const double lost = loss * entry.volume;
    if (lost < 0.0) {
      power.fans -= lost;
    } else {
      power.losses.push_back({element.name, lost});
      power.lost += lost;
    }
    const bool enters = (state.flow >= 0.0 ? element.from : element.to) == none;
    const bool leaves = (state.flow >= 0.0 ? element.to : element.from) == none;
    if (enters) power.ram += entry.pressure * entry.volume;
    if (leaves) power.ram -= (entry.pressure - loss) * entry.volume;
    power.fans_drawn += number(state.numbers, "power");
  }
  std::stable_sort(power.losses.begin(), power.losses.end(),
                   [](const PowerLine& a, const PowerLine& b) { return a.power > b.power; });
  power.expansion = power.lost - power.ram - power.fans;
  const double speed = result.built.problem.network.outside.speed;
  power.drag = number(solution.car, "cooling_drag") * speed;
  power.drag_upper = number(solution.car, "cooling_drag_upper") * speed;
  power.engine = power.drag + power.fans_drawn / generator_efficiency;
  return power;
}

}  // namespace corefeed::studies
