// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <memory>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/losses/curve.hpp"
#include "corefeed/losses/kind.hpp"
#include "corefeed/losses/scalar.hpp"
#include "corefeed/losses/surroundings.hpp"

/// What a loss law is given and what it gives, for any scalar type; private to the library's sources.
namespace corefeed::losses {

/// The state on one element. Pressures are total pressures in Pa above ambient, temperatures total, in K.
template <class S>
struct Input {
  S mass_flow{0};      ///< kg/s, positive from `from` to `to`
  S pressure_from{0};  ///< not read by a kind without `from`
  S pressure_to{0};
  S temperature_from{0};
  S temperature_to{0};
  S temperature_out{0};      ///< of the stream as it leaves; differs from upstream for a heated kind alone
  S tube_loss{0};            ///< inside the tubes of a core, which the room that knows its heat computes, Pa
  const S* value = nullptr;  ///< the element's numbers, SI, by place of the key
  std::uint64_t given = 0;
  const OutsideOf<S>* outside = nullptr;
  const fluids::Liquid* liquid = nullptr;  ///< what flows; null for air
  S viscosity_factor{1};                   ///< on the liquid's own viscosity
  bool from_plenum = false;
  bool to_plenum = false;
  FanState fan_state = FanState::on;
  const Input* feeds = nullptr;                          ///< the core behind this diffuser
  const Input* fed_by = nullptr;                         ///< the diffuser before this core
  const Input* sibling = nullptr;                        ///< the other leg of this junction
  Leg leg = Leg::straight;                               ///< which leg of a junction this is
  const std::shared_ptr<const Curve>* curves = nullptr;  ///< by place of the key

  const S& operator[](std::size_t key) const { return value[key]; }
  bool has(std::size_t key) const { return (given >> key & 1U) != 0; }
  Mask<S> forward() const { return at_least<S>(mass_flow, S(0.0)); }
  /// The word of a key with choices: its place among them. The same for every operating point.
  int choice(std::size_t key) const { return static_cast<int>(common_value(value_of(value[key]))); }
  /// The curve of a key that holds one.
  const Curve& curve(std::size_t key) const { return *curves[key]; }
};

inline constexpr std::size_t most_items = 4;
inline constexpr std::size_t most_reported = 8;

/// What a law gives.
template <class S>
struct Terms {
  S boundary;                             ///< total pressure outside an opening, Pa above ambient
  std::array<S, most_items> item;         ///< parts of pressure_loss, Pa, as named in `Kind::items`
  std::array<S, most_reported> reported;  ///< as named in `Kind::reported`
  bool loss_alone;  ///< whether nobody asks for `reported`, which a law may then leave out
  /// A dual number that is not given a value holds whatever was in memory: all begin at zero.
  explicit Terms(bool loss = false) : boundary(0.0), loss_alone(loss) {
    item.fill(S(0.0));
    if (!loss_alone) reported.fill(S(0.0));
  }
  S pressure_loss() const {
    S sum = item[0];
    for (std::size_t i = 1; i < most_items; ++i) sum += item[i];
    return sum;
  }
};

/// The law of a kind for the two scalar types.
struct LawFunctions {
  void (*value)(const Input<double>&, Terms<double>&);
  void (*dual)(const Input<Dual>&, Terms<Dual>&);
};

/// Wraps a functor that holds a law as `template <class S> void operator()(const Input<S>&, Terms<S>&)
/// const`.
template <class Formula>
const LawFunctions* law_of() {
  static constexpr LawFunctions functions{
      [](const Input<double>& in, Terms<double>& out) { Formula{}(in, out); },
      [](const Input<Dual>& in, Terms<Dual>& out) { Formula{}(in, out); }};
  return &functions;
}

/// Velocities below this are rounded off so that a square law keeps a slope at zero flow; m/s.
inline constexpr double still_velocity = 1e-3;
/// Width over which a coefficient changes from its forward to its reverse value; m/s.
inline constexpr double reversal_velocity = 0.5;

/// What flows at one section of an element.
template <class S>
struct Local {
  S density;   ///< kg/m3, static
  S velocity;  ///< m/s, with the sign of the flow
  S speed;     ///< rounded magnitude of the velocity
  S head;      ///< dynamic head with the sign of the flow, Pa
};

/// Static density for mass flux G from total pressure (Pa absolute) and total temperature: the subsonic root
/// of rho R (T_t - G^2 / (2 cp rho^2)) = p_t - G^2 / (2 rho). Beyond M 0.45 or so the root is held where it
/// is; results there carry the Mach warning.
template <class S>
S static_density(const Same<S>& flux, const Same<S>& total_pressure, const Same<S>& total_temperature,
                 const fluids::Air& air) {
  using std::sqrt;
  const double share = 1.0 - air.gas_constant / air.heat_capacity;
  const S square_pressure = total_pressure * total_pressure;
  const S heat = air.gas_constant * total_temperature;
  const S loss = 2.0 * share * heat * flux * flux;
  const S held = larger<S>(S(square_pressure - loss), S(0.64 * square_pressure));
  const S root = sqrt(held);
  const S density = (total_pressure + root) / (2.0 * heat);
  return density;
}

/// The temperature at which a liquid's properties are taken: a trial state of the solver may be far from any
/// liquid, whose fits then mean nothing.
template <class S>
S held_temperature(const Same<S>& temperature) {
  return held_between<S>(temperature, 233.15, 473.15);
}

/// J/kg, going on straight where the properties are held.
template <class S>
S liquid_enthalpy(const fluids::Liquid& liquid, const Same<S>& temperature) {
  const S held = held_temperature<S>(temperature);
  const S enthalpy = liquid.enthalpy(held) + liquid.heat_capacity(held) * (temperature - held);
  return enthalpy;
}

/// Density of what flows, at rest; gauge pressure in Pa, temperature in K.
template <class S>
S density_at(const Input<S>& in, const Same<S>& gauge_pressure, const Same<S>& temperature) {
  if (in.liquid != nullptr) return in.liquid->density(held_temperature<S>(temperature));
  // A trial pressure of the solver may lie below vacuum; the density then stays that of a tenth of ambient.
  const double ambient = in.outside->pressure;
  const S pressure = larger<S>(S(gauge_pressure + ambient), S(0.1 * ambient));
  return in.outside->air.density(pressure, S(temperature));
}

/// Viscosity of what flows, Pa s.
template <class S>
S viscosity_at(const Input<S>& in, const Same<S>& temperature) {
  if (in.liquid == nullptr) return in.outside->air.viscosity(S(temperature));
  const S own = in.liquid->viscosity(held_temperature<S>(temperature));
  return in.viscosity_factor * own;
}

/// The section of area `area` with given total pressure (Pa above ambient) and total temperature.
template <class S>
Local<S> local_state(const Input<S>& in, const Same<S>& area, const Same<S>& gauge_pressure,
                     const Same<S>& temperature) {
  Local<S> local;
  const S flux = in.mass_flow / area;
  if (in.liquid != nullptr) {
    local.density = density_at<S>(in, gauge_pressure, temperature);
  } else {
    const double ambient = in.outside->pressure;
    const S pressure = larger<S>(S(gauge_pressure + ambient), S(0.1 * ambient));
    local.density = static_density<S>(flux, pressure, temperature, in.outside->air);
  }
  local.velocity = flux / local.density;
  local.speed = rounded_magnitude<S>(local.velocity, still_velocity);
  local.head = 0.5 * local.density * local.velocity * local.speed;
  return local;
}

/// The upwind node's state on a section of this area.
template <class S>
Local<S> upwind(const Input<S>& in, const Same<S>& area) {
  const Mask<S> forward = in.forward();
  const S pressure = select<S>(forward, in.pressure_from, in.pressure_to);
  const S temperature = select<S>(forward, in.temperature_from, in.temperature_to);
  return local_state<S>(in, area, pressure, temperature);
}

/// The same with the mean of both ends' pressures, for losses spread along a length.
template <class S>
Local<S> mean_state(const Input<S>& in, const Same<S>& area) {
  const S pressure = 0.5 * (in.pressure_from + in.pressure_to);
  const S temperature = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  return local_state<S>(in, area, pressure, temperature);
}

template <class S>
S reynolds_of(const Input<S>& in, const Local<S>& local, const Same<S>& diameter) {
  const S temperature = select<S>(in.forward(), in.temperature_from, in.temperature_to);
  const S viscosity = viscosity_at<S>(in, temperature);
  const S reynolds = local.density * local.speed * diameter / viscosity;
  return reynolds;
}

/// 1 for forward flow, 0 for reversed, smooth over `reversal_velocity`.
template <class S>
S forward_share(const Local<S>& local) {
  using std::tanh;
  const S argument = local.velocity / reversal_velocity;
  const S step = tanh(argument);
  const S share = 0.5 * (1.0 + step);
  return share;
}

/// Loss coefficient of a passage that has one for each direction. A change from the one to the other as wide
/// as `forward_share` lets the loss fall while the flow rises where they differ too much. So at rest they
/// count as four times the smaller at most, and what is beyond comes with the flow that it holds for. The
/// loss then rises, also where nine tenths of the smaller one are given back.
template <class S>
S either_way(const Local<S>& local, const Same<S>& onward, const Same<S>& back) {
  // Closure of ours: the loss itself would rise up to 48, but a vent's ram gives nine tenths back.
  constexpr double most_at_rest = 4.0;
  const S share = forward_share<S>(local);
  const S held_onward = smaller<S>(onward, S(most_at_rest * back));
  const S held_back = smaller<S>(back, S(most_at_rest * onward));
  const S beyond = select<S>(above<S>(local.velocity, S(0.0)), S(onward - held_onward), S(back - held_back));
  const S moving = 2.0 * share - 1.0;
  return share * held_onward + (1.0 - share) * held_back + moving * moving * beyond;
}

/// Entrance and leaving heads of a duct-like element that stands at a plenum, by flow direction; heads
/// signed. `jet_lost` is the share of the onward jet that the plenum swallows.
template <class S>
S end_losses(const Input<S>& in, const Same<S>& head_from, const Same<S>& head_to, const Same<S>& entrance,
             const Same<S>& jet_lost = S(1.0)) {
  const double from = in.from_plenum ? 1.0 : 0.0;
  const double to = in.to_plenum ? 1.0 : 0.0;
  const S onward = from * entrance * head_from + to * jet_lost * head_to;
  const S back = to * entrance * head_to + from * head_from;
  return select<S>(in.forward(), onward, back);
}

/// Linear interpolation in a table of (x, y) rows with rising x, held constant outside; written as a sum of
/// clipped ramps so that it needs no branch.
template <class S, std::size_t N>
S interpolate(const std::array<std::array<double, 2>, N>& table, const Same<S>& x) {
  S y(table[0][1]);
  for (std::size_t row = 1; row < N; ++row) {
    const double width = table[row][0] - table[row - 1][0];
    const double slope = (table[row][1] - table[row - 1][1]) / width;
    const S covered = held_between<S>(S(x - table[row - 1][0]), 0.0, width);
    y += slope * covered;
  }
  return y;
}

/// Values over two arguments, as handbooks print them: a row for each `rows`, a column for each `columns`.
template <std::size_t R, std::size_t C>
struct Chart {
  std::array<double, R> rows;
  std::array<double, C> columns;
  std::array<std::array<double, C>, R> value;
};

/// Linear interpolation along both arguments, held constant outside.
template <class S, std::size_t R, std::size_t C>
S interpolate(const Chart<R, C>& chart, const Same<S>& row, const Same<S>& column) {
  const auto along = [&](std::size_t r) {
    std::array<std::array<double, 2>, C> line;
    for (std::size_t c = 0; c < C; ++c) line[c] = {chart.columns[c], chart.value[r][c]};
    return interpolate<S>(line, column);
  };
  S before = along(0);
  S y = before;
  for (std::size_t r = 1; r < R; ++r) {
    const S next = along(r);
    const double width = chart.rows[r] - chart.rows[r - 1];
    const S covered = held_between<S>(S(row - chart.rows[r - 1]), 0.0, width);
    y += (next - before) * covered / width;
    before = next;
  }
  return y;
}

/// A curve and its exact slope for any scalar.
inline double curve_at(const Curve& curve, double x) { return curve.value(x); }
inline Dual curve_at(const Curve& curve, const Dual& x) {
  return Dual(curve.value(x.value()), curve.slope(x.value()) * x.derivatives());
}

/// Diameter of the circle of this area.
template <class S>
S equivalent_diameter(const Same<S>& area) {
  using std::sqrt;
  const S squared = (4.0 / 3.14159265358979323846) * area;
  const S diameter = sqrt(squared);
  return diameter;
}

}  // namespace corefeed::losses
