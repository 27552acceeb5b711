// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <limits>
#include <span>
#include <vector>

#include "corefeed/cooling/passes.hpp"
#include "corefeed/result.hpp"

/// Coefficients of a core from its test: pressure loss a v + b v^2, and the two conductances behind measured
/// heat. Private to the library's sources.
namespace corefeed::cooling {

/// One point of a loss test.
struct LossPoint {
  double velocity = 0;  ///< m/s on the face
  double loss = 0;      ///< Pa
  double sigma = 0.04;  ///< relative; weighs the points against each other (own rig 4 %, supplier 8 %)
};

struct LossFit {
  double linear = 0;     ///< a, Pa s/m
  double quadratic = 0;  ///< b, Pa s2/m2
  double sigma_linear = 0;
  double sigma_quadratic = 0;
  double scatter = 0;        ///< rms of the relative departures, over the degrees of freedom
  double r_squared = 0;      ///< with the points' weights
  double exponent = 0;       ///< n of the best loss ~ v^n
  std::vector<Issue> notes;  ///< what to look at; places are the caller's
};

/// Usual exponents of a cold core; outside, the test or its units deserve a look (common practice, no
/// source).
inline constexpr double smallest_loss_exponent = 1.4;
inline constexpr double largest_loss_exponent = 1.85;

/// dp = a v + b v^2 by least squares on the relative departures, a and b not negative; four points or more.
Result<LossFit> fit_loss(std::span<const LossPoint> points);

/// One point of a heat test.
struct HeatPoint {
  double air_flow = 0;              ///< kg/s
  double liquid_flow = 0;           ///< kg/s
  double air_heat_capacity = 0;     ///< J/(kg K)
  double liquid_heat_capacity = 0;  ///< J/(kg K)
  double inlet_difference = 0;      ///< K, liquid in over air in
  double heat = 0;                  ///< W
};

/// UA, W/K, from eps = Q/(C_min ITD) and the arrangement's inverse.
Result<double> conductance_of(const HeatPoint& point, const Layout& layout);

struct ConductancePoint {
  double air_flow = 0;     ///< kg/s
  double liquid_flow = 0;  ///< kg/s
  double conductance = 0;  ///< UA, W/K
};

/// What is taken as known.
struct ConductanceOptions {
  double air_exponent = 0.5;     ///< n_a where the data do not give it; louvered fins
  double liquid_exponent = 0.8;  ///< n_l, 0.8 turbulent, 0.33 laminar
  double wall_resistance = 0;    ///< K/W
  double air_share = 0.8;  ///< of the resistance, where one point cannot tell; radiator 0.8, oil cooler 0.5
};

/// 1/UA = 1/(ha (m_a/m_a0)^n_a) + 1/(hl (m_l/m_l0)^n_l) + R_w. An infinite conductance has no resistance.
struct ConductanceFit {
  double air_value = 0;     ///< ha, W/K
  double air_flow = 0;      ///< m_a0, kg/s, geometric mean of the test
  double air_exponent = 0;  ///< n_a
  double liquid_value = 0;  ///< hl, W/K
  double liquid_flow = 0;   ///< m_l0
  double liquid_exponent = 0;
  double wall_resistance = 0;
  double sigma_air = 0;     ///< relative, of ha; NaN where nothing tells
  double sigma_liquid = 0;  ///< relative, of hl
  double scatter = 0;       ///< relative, of UA; what one point is worth where the split is assumed
  double r_squared = 0;     ///< of 1/UA; NaN where every point is met by construction
  bool air_exponent_fitted = false;
  bool split_assumed = false;
  std::vector<Issue> notes;

  double conductance(double air, double liquid) const {
    return 1 / (std::pow(air / air_flow, -air_exponent) / air_value +
                std::pow(liquid / liquid_flow, -liquid_exponent) / liquid_value + wall_resistance);
  }
};

/// Where a free air exponent may lie.
inline constexpr double smallest_air_exponent = 0.35;
inline constexpr double largest_air_exponent = 0.65;
/// Worth of a core known by one point and an assumed split, relative 1-sigma (common practice, no source).
inline constexpr double one_point_sigma = 0.12;

/// The air exponent is free from two air flows, two liquid flows and four points on; with flows of one side
/// only the exponents are the options'; where no flow differs the split is the options' too.
Result<ConductanceFit> fit_conductance(std::span<const ConductancePoint> points,
                                       const ConductanceOptions& options);

}  // namespace corefeed::cooling
