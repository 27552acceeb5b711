// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/power.hpp"

#include <gtest/gtest.h>

#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::golden_result;
using corefeed::testing::read_text;

Power golden_power() {
  const model::Model model = read_text(golden_document().dump());
  return power_of(solve_point(model, model.points.front(), {}));
}

/// 77.35 N (77.81 N with all momentum lost) at 50 m/s by an independent solution, printed with four digits.
TEST(Power, DragTimesSpeedOfTheGoldenCar) {
  const Power power = golden_power();
  EXPECT_NEAR(power.drag, 77.35 * 50.0, 0.3);
  EXPECT_NEAR(power.drag_upper, 77.81 * 50.0, 0.3);
  EXPECT_DOUBLE_EQ(power.fans_drawn, 0.0);  // the fan turns in the wind
  EXPECT_DOUBLE_EQ(power.engine, power.drag);
}

/// m dp / rho of the golden car's radiator: 1.317063 kg/s, 627.145 Pa, air at 31.231 degC and 1342.475 Pa
/// above 100 kPa with R 288.909 J/(kg K).
TEST(Power, ALossIsItsPressureTimesTheVolume) {
  const double density = (1e5 + 1342.475) / (288.909 * (273.15 + 31.231));
  const double expected = 1.317063 * 627.145 / density;
  const Power power = golden_power();
  double found = 0.0;
  for (const PowerLine& line : power.losses) {
    if (line.element == "radiator") found = line.power;
  }
  EXPECT_NEAR(found, expected, 1e-5 * expected);
}

TEST(Power, WithoutHeatWhatIsLostIsWhatTheRamGives) {
  nlohmann::ordered_json document = golden_document();
  for (const char* loop : {"coolant", "oil"}) document["loops"][loop]["heat_load"] = "0 kW";
  const model::Model model = read_text(document.dump());
  const Power power = power_of(solve_point(model, model.points.front(), {}));
  EXPECT_GT(power.lost, 1000.0);
  EXPECT_DOUBLE_EQ(power.fans, 0.0);
  // Air gains 2 % of volume from 1400 Pa above ambient to the vents' suction; the mean of it counts.
  EXPECT_LT(std::abs(power.expansion), 0.01 * power.lost);
}

TEST(Power, ARunningFanGivesItsRiseTimesItsVolume) {
  nlohmann::ordered_json document = golden_document();
  document["points"][0]["fans"]["fan"] = "on";
  document["points"][0]["speed"] = "10 km/h";
  for (const char* loop : {"coolant", "oil"}) document["loops"][loop]["heat_load"] = "0 kW";
  const model::Model model = read_text(document.dump());
  const PointResult result = solve_point(model, model.points.front(), {});
  const Power power = power_of(result);
  EXPECT_GT(power.fans, 0.0);
  const double rise = -*result.solution.value("fan.pressure_loss");
  const double density = result.built.problem.network.outside.density;
  // Ambient density is within half a percent of that before the fan.
  EXPECT_NEAR(power.fans, rise * *result.solution.value("fan.flow") / density, 0.01 * power.fans);
  EXPECT_NEAR(power.engine, power.drag + power.fans_drawn / 0.55, 1e-9);
  EXPECT_GT(power.fans_drawn, power.fans);  // an efficiency below one
}

}  // namespace
}  // namespace corefeed::studies
