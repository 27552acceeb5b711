// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/liquid_side.hpp"

#include "tests/support/check.hpp"
#include "tests/support/law_case.hpp"

// What the numbers of a core's liquid side mean: tubes of a pass, and headers that share the liquid out.
namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;
using corefeed::testing::LawCase;

LawCase passage() {
  LawCase law("core_passage");
  law.set("bore", 0.03).set("tubes.number", 20).set("tubes.length", 0.4).set("tubes.width", 0.02);
  return law.set("tubes.height", 0.002);
}

TEST(LiquidSide, PassesShareTheTubesOut) {
  LawCase law = passage();
  EXPECT_DOUBLE_EQ(tube_side_of(law.values())->plain.tubes, 20.0);
  law.set("passes", 4);
  EXPECT_DOUBLE_EQ(tube_side_of(law.values())->plain.tubes, 5.0);
}

// A header that gives its liquid away gains 0.8 of its head along its way, one that collects loses 1.25
// (factors of header.hpp). With both ports at one end the far tubes lack the difference, but for steps of a
// twentieth of the flow at both ends and friction along less than a diameter of header: 15 %.
TEST(LiquidSide, HeadersShareByTheirMomentum) {
  LawCase law = passage();
  law.set("header_area", 4e-4).set("header_tube_pitch", 1e-3);
  const TubeSide side = *tube_side_of(law.values());
  const PassFlow pass{.flow = 1.0, .loss = 10e3, .density = 1000.0, .viscosity = 1e-4, .reynolds = 1e4};
  const auto shares = header_shares(law.values(), side, pass);
  ASSERT_TRUE(shares.has_value());
  ASSERT_EQ(shares->flows.size(), 20U);
  // Far from the port the dividing header has gained 0.8 rho V^2/2 and the combining one has still to
  // lose 1.25 of it.
  const double head = 0.5 * 1000.0 * 2.5 * 2.5;
  const double near = shares->flows.front();
  const double far = shares->flows.back();
  const auto tube = [&](double flow) { return 10e3 * std::pow(20.0 * flow, 2.0); };
  expect_relative(tube(near) - tube(far), (1.25 - 0.8) * head, 0.15);
}

}  // namespace
}  // namespace corefeed::cooling
