// SPDX-License-Identifier: Apache-2.0
#include <vector>

#include "tests/losses/law_fixture.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::expect_relative;
using testing::LawCase;

const std::vector<double> test_flows{0.05, 0.1, 0.2, 0.4};
const std::vector<double> test_losses{8.0, 22.0, 80.0, 300.0};

double density_of(const LawCase& law, double temperature) {
  return law.outside.air.density(law.outside.pressure, temperature);
}

/// A part tested in air of the test's own density.
LawCase filter() {
  LawCase law("tested_loss");
  law.set_curve("curve.points", test_flows, test_losses);
  return law.set("curve.density", density_of(law, 293.15));
}

double loss_at(LawCase law, double volume_flow) {
  const double temperature = volume_flow < 0.0 ? law.state.temperature_to : law.state.temperature_from;
  law.state.mass_flow = density_of(law, temperature) * volume_flow;
  return law.loss();
}

TEST(TestedLoss, PassesThroughItsPoints) {
  for (std::size_t i = 0; i < test_flows.size(); ++i) {
    expect_relative(loss_at(filter(), test_flows[i]), test_losses[i], 1e-12);
    expect_relative(loss_at(filter(), -test_flows[i]), -test_losses[i], 1e-12);
  }
  EXPECT_EQ(loss_at(filter(), 0.0), 0.0);
}

// The same loss coefficient at the same volume flow: the loss goes with the density, whichever side the air
// comes from.
TEST(TestedLoss, GoesWithTheDensity) {
  LawCase law = filter();
  law.state.temperature_from = 273.15;
  law.state.temperature_to = 353.15;
  // An ideal gas: densities as the inverse temperatures.
  expect_relative(loss_at(law, 0.2), 80.0 * 293.15 / 273.15, 1e-12);
  expect_relative(loss_at(law, -0.2), -80.0 * 293.15 / 353.15, 1e-12);
  law = filter();
  law.state.pressure_from = -5066.25;
  law.state.mass_flow = 0.95 * density_of(law, 293.15) * 0.1;
  expect_relative(law.loss(), 0.95 * 22.0, 1e-9);
}

/// A channel with known laminar and turbulent shares: dp = a rho Q^2 + b mu Q.
constexpr double square = 1500.0;
constexpr double linear = 4e6;
double channel(double density, double viscosity, double flow) {
  return square * density * flow * flow + linear * viscosity * flow;
}

// Tested in one air and used in another at equal Reynolds number, the channel's own law comes back for every
// density and viscosity; its coefficient, a + b/Re, is a function of Re alone.
TEST(TestedLoss, ScalesAtEqualReynoldsNumber) {
  constexpr double tested_density = 1.1;
  constexpr double tested_viscosity = 1.9e-5;
  std::vector<double> losses;
  for (const double flow : test_flows) losses.push_back(channel(tested_density, tested_viscosity, flow));
  LawCase law("tested_loss");
  law.set_curve("curve.points", test_flows, losses);
  law.set("curve.density", tested_density).set("curve.viscosity", tested_viscosity);
  for (const double temperature : {253.15, 293.15, 363.15}) {
    law.state.temperature_from = temperature;
    const double density = density_of(law, temperature);
    const double viscosity = law.outside.air.viscosity(temperature);
    for (const double flow : {0.003, 0.02, 0.07, 0.15, 0.25}) {
      const double same = flow * density / viscosity * tested_viscosity / tested_density;
      ASSERT_LT(same, 0.4);
      expect_relative(loss_at(law, flow), channel(density, viscosity, flow), 1e-10, "loss");
    }
  }
  // Without the viscosity the coefficient is taken at the same flow, and hot air's laminar share is missed.
  law.given &= ~(std::uint64_t{1} << find_key(law.kind(), "curve.viscosity"));
  const double hot = channel(density_of(law, 363.15), law.outside.air.viscosity(363.15), 0.02);
  EXPECT_LT(loss_at(law, 0.02), 0.95 * hot);
}

// Beyond the last point its coefficient holds: twice the flow, four times the loss; slope without a kink of
// the value.
TEST(TestedLoss, GoesOnAsASquareLaw) {
  expect_relative(loss_at(filter(), 0.8), 4.0 * 300.0, 1e-12);
  expect_relative(loss_at(filter(), 4.0), 100.0 * 300.0, 1e-12);
  expect_relative(loss_at(filter(), -0.8), -4.0 * 300.0, 1e-12);
  expect_relative(loss_at(filter(), 0.4 + 1e-9), 300.0, 1e-7);
}

TEST(TestedLoss, SaysHowFarBeyondTheTestItIs) {
  LawCase law = filter();
  for (const double share : {-1.5, -0.5, 0.25, 1.0, 2.0}) {
    law.state.mass_flow = law.numbers[1] * 0.4 * share;
    expect_relative(law.reported("share_of_tested_flow"), share, 1e-12);
    expect_relative(law.reported("volume_flow"), 0.4 * share, 1e-12);
  }
}

// A curve over velocity stands on an area of its own.
TEST(TestedLoss, TakesACurveOverVelocity) {
  LawCase law("tested_loss");
  law.set_curve("curve.points", {5.0, 10.0, 20.0}, {10.0, 40.0, 160.0}, 1);
  law.set("curve.density", density_of(law, 293.15));
  EXPECT_NE(law.kind().contradiction(law.values()).find("needs the area"), std::string::npos);
  law.set("area", 0.03);
  EXPECT_EQ(law.kind().contradiction(law.values()), "");
  expect_relative(loss_at(law, 0.3), 40.0, 1e-12);
  expect_relative(loss_at(law, 1.2), 640.0, 1e-12);
}

TEST(TestedLoss, SaysWhereTheTestBeginsLate) {
  EXPECT_EQ(filter().kind().mended(filter().values()), "");
  LawCase late("tested_loss");
  late.set_curve("curve.points", {0.2, 0.4}, {80.0, 300.0});
  EXPECT_NE(late.kind().mended(late.values()).find("more than a third"), std::string::npos);
}

}  // namespace
}  // namespace corefeed::losses
