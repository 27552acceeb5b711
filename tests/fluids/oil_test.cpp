// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "corefeed/fluids/liquid.hpp"

namespace corefeed::fluids {
namespace {

const double unknown = std::nan("");

double kinematic(const Liquid& liquid, double celsius) {
  return liquid.viscosity(celsius + 273.15) / liquid.density(celsius + 273.15);
}

TEST(Oil, PassesThroughItsTwoViscosities) {
  const Liquid liquid = oil(85e-6, 313.15, 14e-6, 373.15, unknown).value();
  EXPECT_NEAR(kinematic(liquid, 40), 85e-6, 1e-14);
  EXPECT_NEAR(kinematic(liquid, 100), 14e-6, 1e-15);
  const Liquid exchanged = oil(14e-6, 373.15, 85e-6, 313.15, unknown).value();
  EXPECT_NEAR(kinematic(exchanged, 70), kinematic(liquid, 70), 1e-14);
}

// The same equation evaluated by hand for 85 and 14 mm2/s: 22.6237 at 80 degC, 11.3724 at 110 degC.
TEST(Oil, FollowsTheViscosityChart) {
  const Liquid liquid = oil(85e-6, 313.15, 14e-6, 373.15, unknown).value();
  EXPECT_NEAR(kinematic(liquid, 80), 22.6237e-6, 1e-10);
  EXPECT_NEAR(kinematic(liquid, 110), 11.3724e-6, 1e-10);
}

TEST(Oil, HasTheCommonPropertiesOfMineralOil) {
  const Liquid liquid = oil(85e-6, 313.15, 14e-6, 373.15, unknown).value();
  EXPECT_DOUBLE_EQ(liquid.density(288.15), 870);
  EXPECT_DOUBLE_EQ(liquid.density(388.15), 870 - 62);
  EXPECT_DOUBLE_EQ(liquid.heat_capacity(373.15), 1830 + 390);
  EXPECT_DOUBLE_EQ(liquid.conductivity(373.15), 0.138 - 0.007);
  EXPECT_DOUBLE_EQ(oil(85e-6, 313.15, 14e-6, 373.15, 850).value().density(288.15), 850);
  EXPECT_EQ(liquid.vapor_pressure(400), 0);
  EXPECT_TRUE(std::isnan(liquid.boiling_temperature(1e5)));
  EXPECT_EQ(liquid.name(), "oil");
}

TEST(Oil, TakesHeatCapacityAndConductivityFromItsSheet) {
  const OilPoint cold{313.15, 85e-6, 1950, 0.14};
  const OilPoint hot{373.15, 14e-6, 2190, unknown};
  const Liquid liquid = oil(cold, hot, 880).value();
  EXPECT_NEAR(liquid.heat_capacity(313.15), 1950, 1e-9);
  EXPECT_NEAR(liquid.heat_capacity(343.15), 2070, 1e-9);  // halfway between two given values
  EXPECT_NEAR(liquid.conductivity(313.15), 0.14, 1e-12);  // one given value, common slope
  EXPECT_NEAR(liquid.conductivity(373.15), 0.14 - 60 * 7e-5, 1e-12);
}

TEST(Oil, RangeEndsWhereTheLawDoes) {
  const Liquid thin = oil(10e-6, 313.15, 2.6e-6, 373.15, unknown).value();
  EXPECT_NEAR(kinematic(thin, thin.highest_temperature() - 273.15), 2e-6, 1e-14);
  const Liquid thick = oil(220e-6, 313.15, 19e-6, 373.15, unknown).value();
  EXPECT_EQ(thick.highest_temperature(), 453.15);
  EXPECT_LT(thick.lowest_temperature(), 263.15);
}

TEST(Oil, RefusesWhatCannotBeAnOil) {
  const auto text = [](const Result<Liquid>& liquid) {
    EXPECT_FALSE(liquid.ok());
    return liquid.ok() ? std::string() : liquid.issues()[0].text;
  };
  EXPECT_EQ(text(oil(1.5e-6, 313.15, 14e-6, 373.15, unknown)),
            "the oil's viscosity is 1.5 cSt; its law holds above 2 cSt and up to 100000 cSt");
  EXPECT_NE(text(oil(14e-6, 313.15, 85e-6, 373.15, unknown)).find("exchanged"), std::string::npos);
  EXPECT_NE(text(oil(14e-6, 313.15, 14e-6, 373.15, unknown)).find("exchanged"), std::string::npos);
  EXPECT_NE(text(oil(85e-6, 313.15, 14e-6, 313.15, unknown)).find("two temperatures"), std::string::npos);
  EXPECT_NE(text(oil(85e-6, 40, 14e-6, 100, unknown)).find("between -50 degC"), std::string::npos);
  EXPECT_NE(text(oil(85e-6, 313.15, 14e-6, 373.15, 0.87)).find("density at 15 degC is 0.87 kg/m3"),
            std::string::npos);
  EXPECT_FALSE(oil(unknown, 313.15, 14e-6, 373.15, unknown).ok());
  EXPECT_FALSE(oil(85e-6, unknown, 14e-6, 373.15, unknown).ok());
  EXPECT_FALSE(oil(OilPoint{313.15, 85e-6, -5, unknown}, OilPoint{373.15, 14e-6}, unknown).ok());
}

}  // namespace
}  // namespace corefeed::fluids
