// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/core_drop.hpp"

#include <gtest/gtest.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using corefeed::testing::expect_relative;

Matrix<double> matrix() { return {0.72, 0.19, 0.08, 3.1}; }

// Kays & London's curves for infinite Reynolds number as read off: 0.30 and 0.25 at sigma 0.5, 0.14 and 0.04
// at 0.8 (from memory, two digits).
TEST(EndLosses, FollowTheCurves) {
  EXPECT_NEAR(entrance_coefficient<double>(0.5), 0.30, 0.005);
  EXPECT_NEAR(exit_coefficient<double>(0.5), 0.25, 0.005);
  EXPECT_NEAR(entrance_coefficient<double>(0.8), 0.14, 0.005);
  EXPECT_NEAR(exit_coefficient<double>(0.8), 0.04, 0.005);
  EXPECT_EQ(entrance_coefficient<double>(1.0), 0.0);
  EXPECT_EQ(exit_coefficient<double>(1.0), 0.0);
}

TEST(CoreDrop, ColdCoresLoseEndsAndFriction) {
  const double flux = 9;
  const double head = flux * flux / (2 * 1.15 * 0.72 * 0.72);
  expect_relative(cold_drop<double>(matrix(), flux, 1.15), head * (0.19 + 0.08 + 3.1), 1e-12);
  // At one density static and total pressure fall alike: the ducts are equal.
  expect_relative(static_drop<double>(matrix(), flux, {1.15, 1.15, 1.15}),
                  total_drop<double>(matrix(), flux, {1.15, 1.15, 1.15}), 1e-12);
}

TEST(CoreDrop, HeatingAddsItsTerm) {
  const double flux = 9;
  const Densities<double> warm{1.16, 0.98, 1.07};
  const double head = flux * flux / (2 * 0.72 * 0.72);
  const double cold = head * ((0.19 + 0.08) / 1.16 + 3.1 / 1.07);
  expect_relative(total_drop<double>(matrix(), flux, warm), cold + heating_drop<double>(matrix(), flux, warm),
                  1e-12);
  // The static pressure falls further by what the faster stream behind carries.
  expect_relative(static_drop<double>(matrix(), flux, warm) - total_drop<double>(matrix(), flux, warm),
                  0.5 * flux * flux * (1 / 0.98 - 1 / 1.16), 1e-9);
}

/// Total pressure lost by heat added in a straight duct without friction (Rayleigh), compressible and exact:
/// momentum p + G^2/rho is kept.
double rayleigh_loss(double pressure, double temperature, double mach, double rise) {
  constexpr double gamma = 1.4;
  const double total_over = 1 + 0.5 * (gamma - 1) * mach * mach;
  const double wanted = (temperature * total_over + rise) / (temperature * total_over);
  const auto total_rise = [&](double after) {
    const double a = (1 + gamma * mach * mach) / (1 + gamma * after * after) * after / mach;
    return a * a * (1 + 0.5 * (gamma - 1) * after * after) / total_over - wanted;
  };
  std::uintmax_t steps = 100;
  const auto bracket = boost::math::tools::toms748_solve(
      total_rise, mach, 0.9, boost::math::tools::eps_tolerance<double>(50), steps);
  const double after = bracket.first;
  const double behind = pressure * (1 + gamma * mach * mach) / (1 + gamma * after * after);
  const auto total = [&](double p, double m) {
    return p * std::pow(1 + 0.5 * (gamma - 1) * m * m, gamma / (gamma - 1));
  };
  return total(pressure, mach) - total(behind, after);
}

// Without walls the heating term is Rayleigh's loss; they part with the square of the Mach number.
TEST(CoreDrop, WithoutWallsHeatingIsRayleighs) {
  constexpr double gas = 287.055;
  const Matrix<double> open{1.0, 0.0, 0.0, 0.0};
  for (const double mach : {0.01, 0.03, 0.1}) {
    const double pressure = 1e5;
    const double temperature = 300;
    const double rise = 60;
    const double before = pressure / (gas * temperature);
    const double flux = before * mach * std::sqrt(1.4 * gas * temperature);
    const double behind = before * temperature / (temperature + rise);
    const double term = heating_drop<double>(open, flux, {before, behind, 0.5 * (before + behind)});
    expect_relative(term, rayleigh_loss(pressure, temperature, mach, rise), 3 * mach * mach + 1e-6);
    expect_relative(total_drop<double>(open, flux, {before, behind, 1.0}), term, 1e-9);
  }
}

TEST(CoreDrop, DerivativesAreThoseOfASquare) {
  Dual flux(9.0);
  flux.derivatives().setZero();
  flux.derivatives()[0] = 1;
  const Matrix<Dual> dual{Dual(0.72), Dual(0.19), Dual(0.08), Dual(3.1)};
  const Dual drop = total_drop<Dual>(dual, flux, {Dual(1.16), Dual(0.98), Dual(1.07)});
  expect_relative(drop.derivatives()[0], 2 * drop.value() / 9, 1e-12);
}

// 30 mm of a medium: 8e-9 m2 and 190 1/m in air of 1.2 kg/m3 and 1.8e-5 Pa s.
TEST(PorousCore, IsDarcyAndForchheimer) {
  const FaceLoss<double> loss = porous_loss<double>(8e-9, 190.0, 0.03, 1.2, 1.8e-5);
  EXPECT_NEAR(loss.linear, 1.8e-5 * 0.03 / 8e-9, 1e-12);
  EXPECT_NEAR(loss.quadratic, 190 * 1.2 * 0.03, 1e-12);
}

}  // namespace
}  // namespace corefeed::losses
