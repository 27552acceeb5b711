// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/fluids/source.hpp"
#include "corefeed/result.hpp"

/// How the tubes of one pass share the liquid between two headers. Private to the library's sources.
namespace corefeed::cooling {

inline constexpr Source header_source{
    "momentum and friction steps in the form of Bajura & Jones 1976, J. Fluids Eng. 98:654; coefficients of "
    "common practice, no source",
    "headers of one area, tubes at right angles to them", 0.30, Tag::from_memory};

/// Which way the liquid leaves the second header.
enum class HeaderFlow {
  u_flow,  ///< back on the side where it entered the first
  i_flow   ///< on the far side
};

struct Header {
  double area = 0;                ///< m2
  double hydraulic_diameter = 0;  ///< m
  double tube_distance = 0;       ///< m, from tube to tube along the header
  double relative_roughness = 0;
  /// k of a step of the flow at one tube, |dp| = k rho |V1^2 - V2^2|/2. Bernoulli would give 1, a branch that
  /// takes no momentum along 2.
  double momentum = 0;
};

inline constexpr double dividing_momentum = 0.8;
inline constexpr double combining_momentum = 1.25;

/// Headers and tubes of one pass.
struct HeaderLadder {
  HeaderFlow flow = HeaderFlow::u_flow;
  int tubes = 1;
  Header dividing;
  Header combining;
  double tube_linear = 0;     ///< loss of one tube per flow, Pa s/kg
  double tube_quadratic = 0;  ///< loss of one tube per square of the flow, Pa s2/kg2
  double density = 0;
  double viscosity = 0;
};

struct TubeShares {
  std::vector<double> flows;   ///< kg/s, the first tube is next to the inlet
  double most_over_least = 1;  ///< infinite where a tube stands still or runs backward
  double unevenness = 0;       ///< rms of flow over mean, minus 1: g_l
  double loss = 0;             ///< Pa, static, from the first header's inlet to the second one's outlet
};

/// Shares of `flow` kg/s, positive. An issue when the ladder has no solution that could be found.
Result<TubeShares> tube_shares(const HeaderLadder& ladder, double flow);

}  // namespace corefeed::cooling
