// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/network/assembly.hpp"

/// The equations of a network that may be evaluated at several operating points at once. Private to the
/// library's sources.
namespace corefeed::network {

/// p_from - p_to - loss, with what stands outside an opening in place of the missing node.
struct LawResidual {
  std::string_view packed_name() const { return "law"; }
  ElementStates states;
  const losses::Kind* kind;
  bool has_from;
  bool has_to;

  template <class S>
  S operator()(const S* x, const S* p) const {
    std::optional<losses::Input<S>> neighbor;
    const losses::Input<S> in = states.input<S>(x, p, neighbor);
    losses::Terms<S> terms(true);
    apply_law<S>(*kind, in, terms);
    const S before = has_from ? in.pressure_from : terms.boundary;
    const S behind = has_to ? in.pressure_to : terms.boundary;
    const S rest = before - behind - terms.pressure_loss();
    return rest;
  }
};

/// An unknown with a given value.
struct GivenResidual {
  std::string_view packed_name() const { return "given"; }
  double value;

  template <class S>
  S operator()(const S* x, const S*) const {
    const S rest = x[0] - value;
    return rest;
  }
};

/// Sum of what flows to a node.
struct MassResidual {
  std::string_view packed_name() const { return "mass"; }
  std::vector<double> signs;

  template <class S>
  S operator()(const S* x, const S*) const {
    S sum(0.0);
    for (std::size_t i = 0; i < signs.size(); ++i) sum += signs[i] * x[i];
    return sum;
  }
};

/// What a flow brings to a node, by the places in the equation's list of unknowns.
struct Stream {
  int flow, temperature;
  double sign;
};

/// Sum of arriving |m| (T_arriving - T_node). Some outside air keeps a temperature defined that nothing else
/// defines: a 1e-12th of what arrives, for rings of air that nothing enters, and up to p[0] kg/s in a node
/// where nothing arrives.
struct EnergyResidual {
  std::string_view packed_name() const { return "energy"; }
  std::vector<Stream> streams;
  std::shared_ptr<const Network> network;

  template <class S>
  S operator()(const S* x, const S* p) const {
    const S outside(outside_of<S>(*network).total_temperature);
    constexpr double share = 1e-12;
    const double still = common_value(value_of(p[0]));
    S sum(0.0);
    S inflows(0.0);
    for (const Stream& stream : streams) {
      const S inflow = larger<S>(S(stream.sign * x[stream.flow]), S(0.0));
      const S arriving = stream.temperature == none ? outside : x[stream.temperature];
      sum += inflow * (arriving - x[0]);
      inflows += inflow;
    }
    const S calm = still / (still + inflows);
    const S trace = share * inflows + still * calm * calm * calm;
    sum += trace * (outside - x[0]);
    return sum;
  }
};

}  // namespace corefeed::network
