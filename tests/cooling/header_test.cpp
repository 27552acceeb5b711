// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/header.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "corefeed/losses/friction.hpp"
#include "tests/support/check.hpp"

namespace corefeed::cooling {
namespace {

using corefeed::testing::expect_relative;

/// Radiator tank of `area` over 40 tubes of 30 mm2 (1200 mm2 together), 11 mm apart; water of 0.35 mPa s.
HeaderLadder ladder(HeaderFlow flow, double area) {
  HeaderLadder ladder;
  ladder.flow = flow;
  ladder.tubes = 40;
  ladder.dividing = {area, std::sqrt(area), 0.011, 0.0, dividing_momentum};
  ladder.combining = {area, std::sqrt(area), 0.011, 0.0, combining_momentum};
  ladder.tube_linear = 1000;
  // K about 6 on a tube's dynamic head.
  ladder.tube_quadratic = 6 / (2 * 970 * 30e-6 * 30e-6);
  ladder.density = 970;
  ladder.viscosity = 3.5e-4;
  return ladder;
}

constexpr double flow = 2.0;

/// Static pressures from junction to junction, written down once more as a walk: at each tube half of the
/// momentum step before its mouth and half behind it.
struct Walk {
  std::vector<double> dividing;   ///< at the mouths, over the inlet's
  std::vector<double> combining;  ///< at the mouths, over the outlet's
};

double head(const HeaderLadder& all, const Header& header, double carried) {
  const double velocity = carried / (all.density * header.area);
  return 0.5 * all.density * velocity * velocity;
}

double friction(const HeaderLadder& all, const Header& header, double carried) {
  const double reynolds = carried * header.hydraulic_diameter / (header.area * all.viscosity);
  return losses::darcy_friction<double>(reynolds, 0.0) * header.tube_distance / header.hydraulic_diameter *
         head(all, header, carried);
}

Walk walk(const HeaderLadder& all, const std::vector<double>& tubes) {
  Walk result;
  double carried = std::accumulate(tubes.begin(), tubes.end(), 0.0);
  double pressure = 0;
  for (const double tube : tubes) {
    const double step =
        all.dividing.momentum * (head(all, all.dividing, carried) - head(all, all.dividing, carried - tube));
    result.dividing.push_back(pressure + 0.5 * step);
    carried -= tube;
    pressure += step;
    if (carried > 1e-9) pressure -= friction(all, all.dividing, carried);
  }
  // The combining header is walked against its flow, from the outlet.
  std::vector<double> order = tubes;
  if (all.flow == HeaderFlow::i_flow) std::reverse(order.begin(), order.end());
  carried = std::accumulate(tubes.begin(), tubes.end(), 0.0);
  pressure = 0;
  for (const double tube : order) {
    const double step = all.combining.momentum *
                        (head(all, all.combining, carried) - head(all, all.combining, carried - tube));
    result.combining.push_back(pressure + 0.5 * step);
    carried -= tube;
    pressure += step;
    if (carried > 1e-9) pressure += friction(all, all.combining, carried);
  }
  if (all.flow == HeaderFlow::i_flow) std::reverse(result.combining.begin(), result.combining.end());
  return result;
}

TEST(Headers, EveryWayFromInletToOutletLosesTheSame) {
  for (const HeaderFlow how : {HeaderFlow::u_flow, HeaderFlow::i_flow}) {
    for (const double area : {600e-6, 1200e-6, 5000e-6}) {
      const HeaderLadder all = ladder(how, area);
      const TubeShares shares = tube_shares(all, flow).value();
      ASSERT_EQ(shares.flows.size(), 40U);
      EXPECT_NEAR(std::accumulate(shares.flows.begin(), shares.flows.end(), 0.0), flow, 1e-12);
      const Walk pressures = walk(all, shares.flows);
      for (std::size_t i = 0; i < shares.flows.size(); ++i) {
        const double tube = shares.flows[i];
        const double lost = (all.tube_linear + all.tube_quadratic * std::abs(tube)) * tube;
        const double whole = lost - pressures.dividing[i] + pressures.combining[i];
        expect_relative(whole, shares.loss, 1e-8, "tube " + std::to_string(i));
      }
    }
  }
}

TEST(Headers, WideHeadersShareEvenly) {
  for (const HeaderFlow how : {HeaderFlow::u_flow, HeaderFlow::i_flow}) {
    const HeaderLadder all = ladder(how, 1.0);
    const TubeShares shares = tube_shares(all, flow).value();
    EXPECT_NEAR(shares.most_over_least, 1, 1e-6);
    EXPECT_NEAR(shares.unevenness, 0, 1e-6);
    const double tube = flow / 40;
    expect_relative(shares.loss, (all.tube_linear + all.tube_quadratic * tube) * tube, 1e-6);
  }
}

// With stronger momentum in the second header than in the first, U-flow starves the far tubes; in I-flow both
// headers' momentum favors them.
TEST(Headers, FavorTheirSideOfTheCore) {
  const TubeShares back = tube_shares(ladder(HeaderFlow::u_flow, 1200e-6), flow).value();
  const TubeShares through = tube_shares(ladder(HeaderFlow::i_flow, 1200e-6), flow).value();
  EXPECT_GT(back.flows.front(), back.flows.back());
  EXPECT_LT(through.flows.front(), through.flows.back());
  EXPECT_GT(through.unevenness, back.unevenness);
}

TEST(Headers, AreEvenerTheWiderTheyAre) {
  for (const HeaderFlow how : {HeaderFlow::u_flow, HeaderFlow::i_flow}) {
    double before = 10;
    for (const double area : {600e-6, 900e-6, 1200e-6, 2400e-6, 5000e-6}) {
      const double now = tube_shares(ladder(how, area), flow).value().unevenness;
      EXPECT_LT(now, before) << area;
      before = now;
    }
  }
}

// Header velocity at most 0.7 of the tubes' keeps the unevenness below 0.1 (common practice, no source).
TEST(Headers, TheRuleOfThumbHolds) {
  const double area = 1200e-6 / 0.7;
  EXPECT_LT(tube_shares(ladder(HeaderFlow::u_flow, area), flow).value().unevenness, 0.1);
  EXPECT_LT(tube_shares(ladder(HeaderFlow::i_flow, area), flow).value().unevenness, 0.1);
}

// Headers far too narrow for tubes that lose next to nothing suck some of them backward; the shares still
// balance.
TEST(Headers, ATubeMayRunBackward) {
  HeaderLadder all = ladder(HeaderFlow::i_flow, 240e-6);
  all.tube_quadratic /= 20;
  const TubeShares shares = tube_shares(all, flow).value();
  EXPECT_LT(*std::min_element(shares.flows.begin(), shares.flows.end()), 0);
  EXPECT_TRUE(std::isinf(shares.most_over_least));
  EXPECT_NEAR(std::accumulate(shares.flows.begin(), shares.flows.end(), 0.0), flow, 1e-12);
}

// Far beyond any real core the slopes must be right for a solution to be found at all.
TEST(Headers, AreSolvedWhereTheyRuleTheTubes) {
  for (const HeaderFlow how : {HeaderFlow::u_flow, HeaderFlow::i_flow}) {
    for (const double area : {120e-6, 240e-6, 600e-6}) {
      for (const double lighter : {20.0, 100.0, 1000.0}) {
        HeaderLadder all = ladder(how, area);
        all.tube_quadratic /= lighter;
        EXPECT_TRUE(tube_shares(all, flow)) << area << ' ' << lighter;
      }
    }
  }
}

TEST(Headers, OneTubeTakesAll) {
  HeaderLadder all = ladder(HeaderFlow::u_flow, 1200e-6);
  all.tubes = 1;
  const TubeShares shares = tube_shares(all, 0.05).value();
  ASSERT_EQ(shares.flows.size(), 1U);
  EXPECT_NEAR(shares.flows[0], 0.05, 1e-15);
  EXPECT_EQ(shares.most_over_least, 1);
}

// Friction alone, no momentum: in U-flow the near tubes have the short way.
TEST(Headers, FrictionAloneStarvesTheFarTubesOfUFlow) {
  HeaderLadder all = ladder(HeaderFlow::u_flow, 1200e-6);
  all.dividing.momentum = all.combining.momentum = 0;
  const TubeShares shares = tube_shares(all, flow).value();
  EXPECT_TRUE(std::is_sorted(shares.flows.rbegin(), shares.flows.rend()));
  // In I-flow with equal headers every way has the same length: symmetric shares.
  all.flow = HeaderFlow::i_flow;
  const TubeShares through = tube_shares(all, flow).value();
  for (std::size_t i = 0; i < 20; ++i) EXPECT_NEAR(through.flows[i], through.flows[39 - i], 1e-9);
}

}  // namespace
}  // namespace corefeed::cooling
