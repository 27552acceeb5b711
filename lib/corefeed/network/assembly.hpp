// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <type_traits>
#include <vector>

#include "corefeed/losses/law.hpp"
#include "corefeed/network/network.hpp"
#include "corefeed/network/system.hpp"

/// From the graph to equations: one flow per element, one total pressure and temperature per node, one
/// leaving temperature per element that heats or brings its own. Private to the library's sources.
namespace corefeed::network {

/// Where the unknowns and parameters of a network stand in its system.
struct Places {
  std::vector<int> flow;         ///< by element
  std::vector<int> pressure;     ///< by node, Pa above ambient
  std::vector<int> temperature;  ///< by node, K
  std::vector<int> leaving;      ///< by element: leaving temperature, none where it is that of what comes
  std::vector<int> tube_loss;    ///< by element: loss inside its tubes, none where it has none
  std::vector<int> parameter;    ///< by element: first of its numbers
  std::vector<int> viscosity;    ///< by liquid: parameter, factor on its viscosity
  std::vector<int> heat;         ///< by node: parameter, heat that enters; none for air
  int trace = none;              ///< parameter: outside air in a node of air where nothing arrives, kg/s
};

/// What `Places::trace` is. The larger it is, the less a temperature jumps where the little that arrives
/// turns round, which Newton's method needs; the smallest shows in no certificate: in a network that stands
/// still that sees 1e-10 of 1 mg/s times 1 K, of which this is a tenth at 2000 K above outside.
inline constexpr double usual_trace = 1e-14;
inline constexpr double least_trace = 5e-21;

/// Typical sizes that make residuals comparable.
struct Scales {
  double flow;                   ///< kg/s, of air
  double pressure;               ///< Pa, the freestream head
  double liquid_flow = 1e-6;     ///< kg/s, of all loops
  double liquid_pressure = 5e4;  ///< Pa, of all loops
  double flow_of(int liquid) const { return liquid == none ? flow : liquid_flow; }
  double pressure_of(int liquid) const { return liquid == none ? pressure : liquid_pressure; }
};

struct Assembly {
  std::shared_ptr<const Network> network;
  Scales scales;
  System system;
  Places places;
};

/// Builds all equations but those of coupled elements' leaving temperatures and of losses inside tubes.
Assembly assemble(std::shared_ptr<const Network> network);

/// Lets an equation read the states of one element (and its neighbor) as a law wants them. Made before the
/// equation: it appends what it needs to the lists of unknowns and parameters.
class ElementStates {
 public:
  ElementStates(const Assembly& assembly, int element, std::vector<int>& unknowns,
                std::vector<int>& parameters);

  /// The law's input from the equation's local numbers, with its neighbor attached; valid while x, p and
  /// `neighbor` live.
  template <class S>
  losses::Input<S> input(const S* x, const S* p, std::optional<losses::Input<S>>& neighbor) const;

  /// The same without a neighbor; valid while x and p live.
  template <class S>
  losses::Input<S> own_input(const S* x, const S* p) const {
    return fill<S>(own_, x, p);
  }

 private:
  struct Positions {
    int flow = none, pressure_from = none, pressure_to = none, temperature_from = none, temperature_to = none,
        leaving = none, tube_loss = none;
    int numbers = 0;
    int viscosity = none;
    const fluids::Liquid* liquid = nullptr;
    std::uint64_t given = 0;
    bool from_plenum = false, to_plenum = false;
    losses::FanState fan_state = losses::FanState::on;
    losses::Leg leg = losses::Leg::straight;
    const std::shared_ptr<const losses::Curve>* curves = nullptr;
  };
  static Positions positions(const Assembly& assembly, int element, std::vector<int>& unknowns,
                             std::vector<int>& parameters);
  template <class S>
  losses::Input<S> fill(const Positions& at, const S* x, const S* p) const;

  std::shared_ptr<const Network> network_;
  Positions own_;
  Positions neighbor_;
  bool feeds_ = false;
  bool fed_ = false;
  bool paired_ = false;
};

/// The air outside as equations of this scalar read it.
template <class S>
const losses::OutsideOf<S>& outside_of(const Network& network) {
  if constexpr (is_packed<S>) {
    return *network.outside_of_several;
  } else {
    return network.outside;
  }
}

/// Calls the law of a kind for either scalar. The law for several operating points stands with the scalar.
template <class S>
void apply_law(const losses::Kind& kind, const losses::Input<S>& in, losses::Terms<S>& out) {
  if constexpr (std::is_same_v<S, double>) {
    kind.law->value(in, out);
  } else if constexpr (std::is_same_v<S, Dual>) {
    kind.law->dual(in, out);
  } else {
    apply_packed_law(kind, in, out);
  }
}

template <class S>
losses::Input<S> ElementStates::fill(const Positions& at, const S* x, const S* p) const {
  const losses::OutsideOf<S>& outside = outside_of<S>(*network_);
  const S outside_temperature(outside.total_temperature);
  const S before = at.temperature_from == none ? outside_temperature : x[at.temperature_from];
  const S behind = at.temperature_to == none ? outside_temperature : x[at.temperature_to];
  const S& flow = x[at.flow];
  losses::Input<S> in{.mass_flow = flow,
                      .pressure_from = at.pressure_from == none ? S(0.0) : x[at.pressure_from],
                      .pressure_to = at.pressure_to == none ? S(0.0) : x[at.pressure_to],
                      .temperature_from = before,
                      .temperature_to = behind,
                      .temperature_out = at.leaving == none
                                             ? select<S>(at_least<S>(flow, S(0.0)), before, behind)
                                             : x[at.leaving],
                      .tube_loss = at.tube_loss == none ? S(0.0) : x[at.tube_loss],
                      .value = p + at.numbers,
                      .outside = &outside,
                      .liquid = at.liquid,
                      .viscosity_factor = at.viscosity == none ? S(1.0) : p[at.viscosity]};
  in.given = at.given;
  in.from_plenum = at.from_plenum;
  in.to_plenum = at.to_plenum;
  in.fan_state = at.fan_state;
  in.leg = at.leg;
  in.curves = at.curves;
  return in;
}

template <class S>
losses::Input<S> ElementStates::input(const S* x, const S* p,
                                      std::optional<losses::Input<S>>& neighbor) const {
  losses::Input<S> in = own_input<S>(x, p);
  if (feeds_ || fed_ || paired_) neighbor.emplace(fill<S>(neighbor_, x, p));
  if (feeds_) in.feeds = &*neighbor;
  if (fed_) in.fed_by = &*neighbor;
  if (paired_) in.sibling = &*neighbor;
  return in;
}

}  // namespace corefeed::network
