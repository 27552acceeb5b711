// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/worked.hpp"

#include <cassert>

#include "corefeed/losses/law.hpp"

namespace corefeed::losses {
namespace {

std::vector<std::shared_ptr<const Curve>> example_curves(const Kind& kind) {
  std::vector<std::shared_ptr<const Curve>> curves(kind.keys.size());
  if (kind.example.curve_points.empty()) return curves;
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    if (kind.keys[i].curve == nullptr) continue;
    std::vector<double> x;
    std::vector<double> y;
    for (const auto& [across, up] : kind.example.curve_points) {
      x.push_back(across);
      y.push_back(up);
    }
    curves[i] = std::make_shared<const Curve>(x, y, 0, kind.keys[i].curve->from_origin);
  }
  return curves;
}

}  // namespace

Worked worked_value(const Kind& kind) {
  assert(kind.law != nullptr && kind.example.area > 0.0);
  constexpr double temperature = 293.15;
  constexpr double pressure = 101325.0;
  std::vector<double> numbers;
  for (const Key& key : kind.keys) numbers.push_back(key.standard);
  const std::vector<std::shared_ptr<const Curve>> curves = example_curves(kind);
  Input<double> in;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    if (curves[i]) in.given |= std::uint64_t{1} << i;
  }
  for (const Example::Given& given : kind.example.numbers) {
    const std::size_t key = find_key(kind, given.key);
    assert(key != npos);
    numbers[key] = given.value;
    in.given |= std::uint64_t{1} << key;
  }
  const fluids::Air air = fluids::humid_air(temperature, pressure, 0.0);
  const Surroundings outside = surroundings_of(air, pressure, temperature, kind.example.speed, 0.0);
  in.outside = &outside;
  in.value = numbers.data();
  in.curves = curves.data();
  // Of liquids, an engine oil: its viscosity matters.
  const Result<fluids::Liquid> oil = fluids::oil(85e-6, 313.15, 14e-6, 373.15, 870.0);
  const bool liquid = kind.carries == Carries::liquid;
  if (liquid) in.liquid = &oil.value();
  in.temperature_from = in.temperature_to = in.temperature_out =
      liquid ? temperature + 70.0 : outside.total_temperature;
  in.pressure_from = kind.example.pressure_difference;
  in.mass_flow = density_at<double>(in, 0.0, in.temperature_from) * kind.example.velocity * kind.example.area;
  Input<double> sibling = in;
  if (kind.ends == Ends::three_ports) {
    sibling.mass_flow = (1.0 - kind.example.branch_share) * in.mass_flow;
    in.leg = Leg::branch;
    in.mass_flow *= kind.example.branch_share;
    in.sibling = &sibling;
  }
  Terms<double> terms;
  kind.law->value(in, terms);
  Worked worked{.flow = in.mass_flow, .pressure_loss = terms.pressure_loss()};
  for (std::size_t i = 0; i < kind.reported.size(); ++i) worked.reported.push_back(terms.reported[i]);
  return worked;
}

}  // namespace corefeed::losses
