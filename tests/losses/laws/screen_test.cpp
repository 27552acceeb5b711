// SPDX-License-Identifier: Apache-2.0
#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

namespace corefeed::losses {
namespace {

using testing::degree;
using testing::expect_relative;
using testing::LawCase;
using testing::part_coefficient;

enum Style { mesh, plate, bars };

LawCase screen(double open_fraction, Style style = mesh) {
  LawCase law = published::incompressible("screen", 1.2);
  return law.set("area", 0.04).set("open_fraction", open_fraction).set("style", style);
}

double loss_of(const LawCase& law) { return part_coefficient(law, "screen", 0.04); }

// 1.3 (1 - f) + (1/f - 1)^2 at f = 0.7 by hand: 0.39 + 0.183673 = 0.573673 (Idelchik, Diagram 8-6).
TEST(Screen, MeshInFastAirByHand) { EXPECT_NEAR(loss_of(screen(0.7)), 0.573673, 1e-6); }

// Dirt closes holes: 15 % of the open 0.7 leave 0.595, and 1.3 * 0.405 + (1/0.595 - 1)^2 = 0.989814.
TEST(Screen, CloggedIsAScreenOfLessOpenArea) {
  LawCase dirty = screen(0.7);
  dirty.set("clogging", 0.15);
  EXPECT_NEAR(loss_of(dirty), 0.5265 + 0.463314, 1e-6);
  for (const Style style : {mesh, plate, bars}) {
    LawCase half = screen(0.8, style);
    half.set("clogging", 0.5);
    expect_relative(loss_of(half), loss_of(screen(0.4, style)), 1e-9);
  }
}

// What slow wires lose more fades with the last wires, or a mesh of 99.5 % would lose less at 3 m/s than
// at 1.
TEST(Screen, NearlyOpenMeshNeverLosesLessInFasterAir) {
  for (const double open : {0.97, 0.985, 0.995, 0.9999}) {
    LawCase law = screen(open);
    law.set("wire_diameter", 0.0005);
    double last = 0.0;
    for (double velocity = 0.1; velocity < 30.0; velocity *= 1.05) {
      law.state.mass_flow = 1.2 * 0.04 * velocity;
      EXPECT_GT(law.loss(), last) << open << " " << velocity;
      last = law.loss();
    }
  }
}

// Idelchik, ch. 8, from memory: rounded bars lose 0.6 of what a sharp plate loses.
TEST(Screen, BarsLoseThreeFifthsOfThePlate) {
  for (const double open : {0.3, 0.5, 0.8}) {
    expect_relative(loss_of(screen(open, bars)), 0.6 * loss_of(screen(open, plate)), 1e-9);
  }
  // The plate itself at f = 0.5 by hand: (0.707 * 0.707107 + 0.5)^2 / 0.25.
  EXPECT_NEAR(loss_of(screen(0.5, plate)), std::pow(0.707 * 0.7071068 + 0.5, 2.0) / 0.25, 1e-6);
}

/// Loss coefficient of a mesh at a Reynolds number of its wires.
double slow_loss(double open, double wire_reynolds) {
  LawCase law = screen(open);
  law.set("wire_diameter", 0.5e-3);
  law.state.mass_flow = 0.05;
  for (int i = 0; i < 4; ++i) law.state.mass_flow *= wire_reynolds / law.reported("wire_reynolds");
  EXPECT_NEAR(law.reported("wire_reynolds") / wire_reynolds, 1.0, 1e-6);
  return law.reported("loss_coefficient");
}

// Idelchik, Diagram 8-6, factors of a mesh over the Reynolds number of its wires, from memory. What fades
// out above 50 leaves 22/Re / (1 + (Re/50)^2) at most.
TEST(Screen, MeshLosesMoreInSlowAir) {
  struct Row {
    double reynolds, factor;
  };
  for (const double open : {0.3, 0.5, 0.7}) {
    const double fast = loss_of(screen(open));
    for (const Row& row : {Row{100, 1.24}, Row{150, 1.13}, Row{200, 1.08}, Row{300, 1.03}, Row{500, 1.01},
                           Row{1000, 1.0}, Row{5000, 1.0}}) {
      const double ratio = slow_loss(open, row.reynolds) / fast;
      const double faded = 22.0 / row.reynolds / (1.0 + std::pow(row.reynolds / 50.0, 2.0)) / fast;
      EXPECT_GE(ratio, row.factor - 1e-6) << open << ", Re " << row.reynolds;
      EXPECT_LE(ratio, row.factor + faded + 1e-6) << open << ", Re " << row.reynolds;
    }
  }
}

// The same diagram below Re 50: 22/Re + K. The law keeps its factor of 1.44 on K there.
TEST(Screen, CrawlingAirIsViscous) {
  const double fast = loss_of(screen(0.7));
  for (const double reynolds : {1.0, 2.0, 5.0, 10.0}) {
    expect_relative(slow_loss(0.7, reynolds), 22.0 / reynolds + fast, 0.07, "K");
  }
}

// The wires' Reynolds number is that of the air between them, which continuity makes 1/f times as fast.
TEST(Screen, WiresSeeTheSpeedBetweenThem) {
  LawCase law = screen(0.4);
  law.set("wire_diameter", 0.5e-3);
  law.state.mass_flow = 0.3;
  const double between = law.reported("velocity") / 0.4;
  expect_relative(law.reported("wire_reynolds"), 1.2 * between * 0.5e-3 / law.outside.air.viscosity(300.0),
                  1e-6);
}

// Without the wires' diameter the mesh loses as in fast air and says 0.
TEST(Screen, WithoutWiresKnowsNoReynoldsNumber) {
  LawCase law = screen(0.6);
  law.state.mass_flow = 1e-3;
  EXPECT_EQ(law.reported("wire_reynolds"), 0.0);
  const double fast = 1.3 * 0.4 + std::pow(1.0 / 0.6 - 1.0, 2.0);
  EXPECT_NEAR(law.reported("loss_coefficient"), fast, 1e-9);
}

// Only the normal part of the approach head counts: cos^2 up to 45 degrees (Blevins 1984, ch. 11).
TEST(Screen, InclinedLosesByTheNormalHead) {
  for (const Style style : {mesh, plate, bars}) {
    const double straight = loss_of(screen(0.6, style));
    for (const double angle : {15.0, 30.0, 45.0}) {
      LawCase law = screen(0.6, style);
      law.set("incidence", angle * degree);
      const double cosine = std::cos(angle * degree);
      expect_relative(loss_of(law), cosine * cosine * straight, 1e-9);
    }
    // Beyond, the loss keeps falling, but slower than that and never back above the straight screen's.
    LawCase law = screen(0.6, style);
    law.set("incidence", 70 * degree);
    EXPECT_GT(loss_of(law), std::pow(std::cos(70 * degree), 2.0) * straight);
    EXPECT_LT(loss_of(law), straight);
  }
}

TEST(Screen, LosesTheSameBackwards) {
  LawCase law = screen(0.5);
  law.set("wire_diameter", 1e-3);
  for (const double velocity : {0.2, 3.0, 25.0}) {
    law.state.mass_flow = testing::flow_of(law, 0.04, velocity);
    const double forward = law.loss();
    law.state.mass_flow = -law.state.mass_flow;
    expect_relative(law.loss(), -forward, 1e-12);
  }
}

TEST(Screen, OpenThroughoutLosesNothing) {
  for (const Style style : {mesh, plate, bars}) EXPECT_NEAR(loss_of(screen(1.0, style)), 0.0, 1e-9);
}

}  // namespace
}  // namespace corefeed::losses
