// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/liquid_side.hpp"

#include <cmath>
#include <numbers>

namespace corefeed::cooling {
namespace {

namespace key = losses::passage;

TubeSection section_of(const losses::Values& values) {
  const double across = values.number[key::width];
  switch (static_cast<key::Section>(values.number[key::section])) {
    case key::round:
      return round_tube(across);
    case key::flat:
      return wide_tube(across, values.number[key::height]);
    case key::rectangular:
      break;
  }
  return rectangular_tube(across, values.number[key::height]);
}

}  // namespace

std::optional<TubeSide> tube_side_of(const losses::Values& values) {
  if (!key::has_tubes(values)) return std::nullopt;
  TubeSide side;
  side.passes = static_cast<int>(values.number[key::passes]);
  side.plain.section = section_of(values);
  side.plain.length = values.number[key::length];
  side.plain.tubes = values.number[key::tubes] / side.passes;
  side.plain.relative_roughness = values.number[key::roughness] / side.plain.section.hydraulic_diameter();
  const double port = values.number[key::bore];
  side.passages = {std::numbers::pi / 4 * port * port, values.number[key::port_loss],
                   values.number[key::return_area], values.number[key::return_loss]};
  if (!values.has(key::spacing)) return side;
  TurbulatedBank bank;
  bank.strips.spacing = values.number[key::spacing];
  bank.strips.height = values.number[key::strip_height];
  bank.strips.strip_length = values.number[key::strip_length];
  bank.strips.thickness = values.number[key::thickness];
  bank.width = values.number[key::width];
  bank.length = values.number[key::length];
  bank.tubes = side.plain.tubes;
  bank.surface_efficiency = values.number[key::surface_efficiency];
  side.turbulated = bank;
  return side;
}

std::optional<TubeShares> header_shares(const losses::Values& values, const TubeSide& side,
                                        const PassFlow& pass) {
  if (!values.has(key::header_area) || !(pass.flow > 0.0)) return std::nullopt;
  HeaderLadder ladder;
  ladder.flow = values.number[key::headers] > 0.5 ? HeaderFlow::i_flow : HeaderFlow::u_flow;
  ladder.tubes = static_cast<int>(std::lround(side.plain.tubes));
  ladder.dividing.area = values.number[key::header_area];
  ladder.dividing.hydraulic_diameter = std::sqrt(4.0 / std::numbers::pi * ladder.dividing.area);
  ladder.dividing.tube_distance = values.number[key::tube_pitch];
  ladder.combining = ladder.dividing;
  ladder.dividing.momentum = dividing_momentum;
  ladder.combining.momentum = combining_momentum;
  ladder.density = pass.density;
  ladder.viscosity = pass.viscosity;
  // Strips and slow flow lose in proportion to the flow, fast flow in plain tubes to its square.
  const double one = pass.flow / ladder.tubes;
  const bool slow = side.turbulated.has_value() || pass.reynolds < laminar_end;
  if (slow) {
    ladder.tube_linear = pass.loss / one;
  } else {
    ladder.tube_quadratic = pass.loss / (one * one);
  }
  const Result<TubeShares> shares = tube_shares(ladder, pass.flow);
  if (!shares) return std::nullopt;
  return shares.value();
}

}  // namespace corefeed::cooling
