// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <string_view>
#include <type_traits>
#include <vector>

#include "corefeed/losses/law.hpp"

/// One law called alone, without a network.
namespace corefeed::testing {

/// Dry air of 20 degC at 1 atm.
inline losses::Surroundings still_air() {
  const fluids::Air air = fluids::humid_air(293.15, 101325.0, 0.0);
  return losses::surroundings_of(air, 101325.0, 293.15, 0.0, 0.0);
}

/// An engine oil, for kinds of liquid loops.
inline fluids::Liquid engine_oil() { return fluids::oil(85e-6, 313.15, 14e-6, 373.15, 870.0).value(); }

inline losses::Surroundings moving_air(double speed, double yaw = 0.0) {
  const fluids::Air air = fluids::humid_air(293.15, 101325.0, 0.0);
  return losses::surroundings_of(air, 101325.0, 293.15, speed, yaw);
}

/// What a law reads besides its numbers; the order is that of `seed` in `LawCase::derivative`.
struct State {
  double mass_flow = 0;
  double pressure_from = 0;
  double pressure_to = 0;
  double temperature_from = 293.15;
  double temperature_to = 293.15;
  double temperature_out = 293.15;
};
inline constexpr std::size_t state_numbers = 6;
/// Seed of a derivative by the flow of a junction's other leg.
inline constexpr std::size_t sibling_seed = losses::npos;

/// The numbers of one element and the state around it.
class LawCase {
 public:
  explicit LawCase(std::string_view name) : LawCase(*losses::find_kind(name)) {}
  explicit LawCase(const losses::Kind& kind) : kind_(&kind) {
    for (const losses::Key& key : kind.keys) numbers.push_back(key.standard);
  }

  LawCase& set(std::string_view key, double value) {
    const std::size_t place = losses::find_key(*kind_, key);
    EXPECT_NE(place, losses::npos) << kind_->name << " has no key " << key;
    numbers[place] = value;
    given |= std::uint64_t{1} << place;
    return *this;
  }

  /// Gives a measured curve to the key, SI.
  LawCase& set_curve(std::string_view key, std::vector<double> x, std::vector<double> y,
                     std::size_t abscissa = 0) {
    const std::size_t place = losses::find_key(*kind_, key);
    EXPECT_NE(place, losses::npos) << kind_->name << " has no key " << key;
    curves.resize(kind_->keys.size());
    curves[place] = std::make_shared<const losses::Curve>(std::move(x), std::move(y), abscissa,
                                                          kind_->keys[place].curve->from_origin);
    given |= std::uint64_t{1} << place;
    return *this;
  }

  const losses::Kind& kind() const { return *kind_; }
  losses::Values values() const { return {numbers, given, curves}; }

  losses::Terms<double> terms() const {
    losses::Input<double> in = input<double>(numbers);
    losses::Input<double> sibling = in;
    sibling.mass_flow = sibling_flow;
    in.sibling = &sibling;
    losses::Terms<double> out;
    kind_->law->value(in, out);
    return out;
  }
  double loss() const { return terms().pressure_loss(); }
  double reported(std::string_view name) const {
    for (std::size_t i = 0; i < kind_->reported.size(); ++i) {
      if (kind_->reported[i].name == name) return terms().reported[i];
    }
    ADD_FAILURE() << kind_->name << " does not report " << name;
    return 0.0;
  }

  /// Terms with the derivative in `seed`: below `state_numbers` a number of the state, from there on a key;
  /// or `sibling_seed`.
  losses::Terms<Dual> derivative(std::size_t seed) const {
    std::vector<Dual> dual_numbers;
    for (const double number : numbers) dual_numbers.push_back(Dual(number));
    losses::Input<Dual> in = input<Dual>(dual_numbers);
    Dual* const states[] = {&in.mass_flow,        &in.pressure_from,  &in.pressure_to,
                            &in.temperature_from, &in.temperature_to, &in.temperature_out};
    Dual other_flow(sibling_flow);
    Dual& own =
        seed < state_numbers ? *states[seed] : dual_numbers[seed == sibling_seed ? 0 : seed - state_numbers];
    Dual& seeded = seed == sibling_seed ? other_flow : own;
    seeded.derivatives().setZero();
    seeded.derivatives()[0] = 1.0;
    losses::Input<Dual> sibling = in;
    sibling.mass_flow = other_flow;
    in.sibling = &sibling;
    losses::Terms<Dual> out;
    kind_->law->dual(in, out);
    return out;
  }

  /// The number that `seed` stands for.
  double& at(std::size_t seed) {
    if (seed == sibling_seed) return sibling_flow;
    double* const states[] = {&state.mass_flow,        &state.pressure_from,  &state.pressure_to,
                              &state.temperature_from, &state.temperature_to, &state.temperature_out};
    return seed < state_numbers ? *states[seed] : numbers[seed - state_numbers];
  }

  std::vector<double> numbers;
  std::uint64_t given = 0;
  std::vector<std::shared_ptr<const losses::Curve>> curves;
  State state;
  losses::Surroundings outside = still_air();
  bool from_plenum = false;
  bool to_plenum = false;
  losses::FanState fan_state = losses::FanState::on;
  losses::Leg leg = losses::Leg::straight;
  double sibling_flow = 0;               ///< of a junction's other leg, kg/s
  double tube_loss = 0;                  ///< Pa, of a core's tubes, which its heat decides
  fluids::Liquid liquid = engine_oil();  ///< what a kind of liquid loops carries

 private:
  template <class S>
  losses::Input<S> input(const std::vector<S>& values) const {
    losses::Input<S> in;
    in.mass_flow = S(state.mass_flow);
    in.pressure_from = S(state.pressure_from);
    in.pressure_to = S(state.pressure_to);
    in.temperature_from = S(state.temperature_from);
    in.temperature_to = S(state.temperature_to);
    in.temperature_out = S(state.temperature_out);
    in.value = values.data();
    in.given = given;
    in.outside = &outside;
    if (kind_->carries == losses::Carries::liquid) in.liquid = &liquid;
    in.from_plenum = from_plenum;
    in.to_plenum = to_plenum;
    in.fan_state = fan_state;
    in.leg = leg;
    in.tube_loss = S(tube_loss);
    in.curves = curves.data();
    return in;
  }

  const losses::Kind* kind_;
};

/// The loss coefficient of an element on the head of a section of this area, in the limit of slow air with
/// the density given by 1 atm: free of compressibility at 10 m/s to 1e-4 (M^2/4).
inline double coefficient_at(LawCase law, double area, double velocity) {
  const double density = law.outside.density;
  law.state.mass_flow = density * velocity * area;
  return law.loss() / (0.5 * density * velocity * velocity);
}

}  // namespace corefeed::testing
