// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "tests/published/incompressible.hpp"
#include "tests/support/check.hpp"

// What no table prints: energy, continuity, symmetry and rest of the three-port law. Printed values stand
// with the published checks.
namespace corefeed::losses {
namespace {

using testing::degree;
using testing::LawCase;

constexpr double density = 1.2;
constexpr double run_area = 0.02;
/// 1e-9 of the dynamic head at 30 m/s, Pa.
constexpr double smallest_jump = 1e-9 * 0.5 * density * 30.0 * 30.0;

struct Shape {
  double straight, branch;  ///< areas over the common port's
  double angle;             ///< degrees
  double corner = 0.0;      ///< m
};

std::string name_of(const Shape& shape) {
  return "straight " + std::to_string(shape.straight) + " branch " + std::to_string(shape.branch) +
         " angle " + std::to_string(shape.angle) + " corner " + std::to_string(shape.corner);
}

constexpr std::array<Shape, 9> shapes{{{1.0, 1.0, 90},
                                       {1.0, 0.5, 90},
                                       {1.0, 0.2, 90},
                                       {1.0, 1.0, 45},
                                       {1.0, 0.3, 30},
                                       {0.7, 0.5, 60},
                                       {0.5, 0.5, 45},
                                       {1.0, 1.0, 90, 0.02},
                                       {1.0, 0.4, 45, 0.01}}};

/// A junction whose flows are given as velocities that they would have in the common port.
class Junction {
 public:
  explicit Junction(const Shape& shape) : law_(published::incompressible("junction", density)) {
    law_.set("areas.common", run_area).set("areas.straight", run_area * shape.straight);
    law_.set("areas.branch", run_area * shape.branch).set("angle", shape.angle * degree);
    if (shape.corner > 0.0) law_.set("corner_radius", shape.corner);
  }

  LawCase leg(Leg leg, double straight, double branch) const {
    LawCase law = law_;
    law.leg = leg;
    law.state.mass_flow = density * run_area * (leg == Leg::straight ? straight : branch);
    law.sibling_flow = density * run_area * (leg == Leg::straight ? branch : straight);
    return law;
  }
  double loss(Leg which, double straight, double branch) const { return leg(which, straight, branch).loss(); }

  /// Total pressure times flow that goes in less what comes out, over the largest flow, Pa.
  double lost_power(double straight, double branch) const {
    const double lost =
        straight * loss(Leg::straight, straight, branch) + branch * loss(Leg::branch, straight, branch);
    return lost / std::max({std::abs(straight), std::abs(branch), std::abs(straight + branch)});
  }

  /// Velocity in the port where it is smallest, m/s.
  double slowest(double straight, double branch) const {
    return std::min({std::abs(straight + branch), std::abs(straight) * run_area / law_.numbers[1],
                     std::abs(branch) * run_area / law_.numbers[2]});
  }

 private:
  LawCase law_;
};

/// Flows in all six ways that three ports can feed each other.
std::vector<std::array<double, 2>> flows(double scale) {
  std::vector<std::array<double, 2>> list;
  for (int step = 0; step < 360; ++step) {
    const double around = (step + 0.5) * degree;
    list.push_back({scale * std::cos(around), scale * std::sin(around)});
  }
  return list;
}

// Two streams join in a square tee: the run loses 1.55 q - q^2 of the joint stream's head, q the branch's
// share (Idelchik, Handbook of Hydraulic Resistance, Diagram 7-4).
TEST(Junction, ARunThatABranchJoins) {
  const Junction tee(shapes[0]);
  constexpr double speed = 30.0;
  for (const double q : {0.2, 0.5, 0.8}) {
    const double found =
        -tee.loss(Leg::straight, -(1.0 - q) * speed, -q * speed) / (0.5 * density * speed * speed);
    EXPECT_NEAR(found, 1.55 * q - q * q, 1e-6) << q;
  }
}

// Of total pressure no junction of the range's shapes makes any, whichever way its three ports feed each
// other.
TEST(Junction, NeverMakesPower) {
  int looked_at = 0;
  for (const Shape& shape : shapes) {
    const Junction junction(shape);
    for (const double scale : {2.0, 5.0, 12.0, 40.0}) {
      for (const auto& [straight, branch] : flows(scale)) {
        if (junction.slowest(straight, branch) < 1.0) continue;
        EXPECT_GT(junction.lost_power(straight, branch), 0.0)
            << name_of(shape) << ": straight " << straight << " branch " << branch << " m/s";
        ++looked_at;
      }
    }
  }
  EXPECT_GT(looked_at, 9000);
}

// Where a port crawls the six forms are blended over 0.5 m/s, each partly outside the directions it was made
// for: what comes from nowhere stays below 0.03 Pa and half a percent of the fast ports' head.
TEST(Junction, MakesNextToNoPowerWhereAPortCrawls) {
  for (const Shape& shape : shapes) {
    const Junction junction(shape);
    const auto look = [&](double straight, double branch, double speed) {
      EXPECT_GT(junction.lost_power(straight, branch), -0.03 - 0.005 * 0.5 * density * speed * speed)
          << name_of(shape) << ": straight " << straight << " branch " << branch << " m/s";
    };
    for (const double scale : {0.02, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0, 1.5}) {
      for (const auto& [straight, branch] : flows(scale)) look(straight, branch, scale);
    }
    for (const double fast : {-40.0, -15.0, -5.0, 5.0, 15.0, 40.0}) {
      for (int i = -50; i <= 50; ++i) {
        const double slow = 0.01 * i;
        look(fast, slow, fast);
        look(slow, fast, fast);
        look(slow - fast, fast, fast);
      }
    }
  }
}

TEST(Junction, LosesNothingAtRest) {
  for (const Shape& shape : shapes) {
    for (const Leg leg : {Leg::straight, Leg::branch}) {
      const LawCase law = Junction(shape).leg(leg, 0.0, 0.0);
      EXPECT_EQ(law.loss(), 0.0) << name_of(shape);
      EXPECT_EQ(law.reported("loss_coefficient"), 0.0) << name_of(shape);
    }
  }
}

/// Jump of a leg's loss over a step of one of its flows, without what its slopes explain.
double jump(const Junction& junction, Leg which, std::array<double, 2> from, std::array<double, 2> to) {
  const LawCase before = junction.leg(which, from[0], from[1]);
  const LawCase behind = junction.leg(which, to[0], to[1]);
  const auto slope = [](const LawCase& law, std::size_t seed) {
    return law.derivative(seed).pressure_loss().derivatives()[0];
  };
  const auto explained = [&](std::size_t seed, double change) {
    return 0.5 * (slope(before, seed) + slope(behind, seed)) * change;
  };
  return behind.loss() - before.loss() - explained(0, behind.state.mass_flow - before.state.mass_flow) -
         explained(testing::sibling_seed, behind.sibling_flow - before.sibling_flow);
}

// Each port's flow through zero while the others go on at a crawl or fast, in steps of 1e-6 m/s.
TEST(Junction, TurnsRoundWithoutAJump) {
  constexpr double step = 1e-6;
  for (const Shape& shape : shapes) {
    const Junction junction(shape);
    for (const double other : {-30.0, -3.0, -0.5, -0.01, 0.0, 0.01, 0.5, 3.0, 30.0}) {
      for (int i = -10; i < 10; ++i) {
        const double at = step * i;
        // Flow of the straight port, of the branch, and of the common port while the branch's is `other`.
        const std::array<std::array<double, 4>, 3> ways{{{at, other, at + step, other},
                                                         {other, at, other, at + step},
                                                         {at - other, other, at + step - other, other}}};
        for (std::size_t way = 0; way < ways.size(); ++way) {
          const auto& w = ways[way];
          for (const Leg leg : {Leg::straight, Leg::branch}) {
            EXPECT_NEAR(jump(junction, leg, {w[0], w[1]}, {w[2], w[3]}), 0.0, smallest_jump)
                << name_of(shape) << ", way " << way << ", other " << other << " m/s, step " << i << ", leg "
                << (leg == Leg::branch ? "branch" : "straight");
          }
        }
      }
    }
  }
}

// A square tee of equal areas looks the same from both ends of its run: p_c and p_s change places.
TEST(Junction, SquareTeeIsItsOwnMirror) {
  for (const double corner : {0.0, 0.02}) {
    const Junction tee({1.0, 1.0, 90, corner});
    for (const double scale : {0.2, 2.0, 25.0}) {
      for (const auto& [straight, branch] : flows(scale)) {
        const double loss_straight = tee.loss(Leg::straight, straight, branch);
        const double loss_branch = tee.loss(Leg::branch, straight, branch);
        const double mirrored = -(straight + branch);
        // The density is that of the common port's flow: 1e-9 of it for each kPa of head in this air.
        const double allowed = 1e-9 * 0.5 * density * scale * scale;
        EXPECT_NEAR(tee.loss(Leg::straight, mirrored, branch), -loss_straight, allowed);
        EXPECT_NEAR(tee.loss(Leg::branch, mirrored, branch), loss_branch - loss_straight, allowed);
      }
    }
  }
}

// By its own flow and the sibling's, off the lines where two branches of the law meet. Central differences
// over 1e-6 of the flow leave 1e-8 of curvature and rounding, also where a port crawls and its way of flow
// is blended over 0.5 m/s.
TEST(Junction, DerivativesByBothFlowsAreExact) {
  for (const Shape& shape : shapes) {
    const Junction junction(shape);
    for (const double scale : {0.7, 13.0}) {
      for (int way = 0; way < 12; ++way) {
        const double around = (17.0 + 30.0 * way) * degree;
        for (const Leg leg : {Leg::straight, Leg::branch}) {
          const LawCase law = junction.leg(leg, scale * std::cos(around), scale * std::sin(around));
          for (const std::size_t seed : {std::size_t{0}, testing::sibling_seed}) {
            LawCase moved = law;
            const double at = moved.at(seed);
            const double step = 1e-6 * density * run_area * scale;
            moved.at(seed) = at + step;
            const double above = moved.loss();
            moved.at(seed) = at - step;
            const double difference = (above - moved.loss()) / (2.0 * step);
            const double head_over_flow = 0.5 * density * scale * scale / (density * run_area * scale);
            EXPECT_NEAR(law.derivative(seed).pressure_loss().derivatives()[0], difference,
                        1e-6 * std::abs(difference) + 1e-8 * head_over_flow)
                << name_of(shape) << ", " << scale << " m/s, way " << way;
          }
        }
      }
    }
  }
}

// All the flow through the run of a square tee: the idle branch takes nothing (Idelchik, Diagrams 7-1 to
// 7-20: both run coefficients vanish with the branch's flow). The idle leg's weight of 1/2 mixes dividing and
// combining, which agree there.
TEST(Junction, AnIdleBranchCostsTheRunNothing) {
  for (const double branch : {0.2, 0.5, 1.0}) {
    const Junction tee({1.0, branch, 90});
    for (const double velocity : {-20.0, 20.0}) {
      EXPECT_NEAR(tee.loss(Leg::straight, velocity, 0.0) / (0.5 * density * 400.0), 0.0, 1e-6) << branch;
    }
  }
}

// In ordinary air, where 70 m/s thins it by 2 %, both legs see the same velocity in the port they share.
TEST(Junction, BothLegsSeeOneDensity) {
  for (const double whole : {-70.0, 70.0}) {
    LawCase law("junction");
    law.set("areas.common", run_area).set("areas.straight", run_area).set("areas.branch", 0.5 * run_area);
    law.state.mass_flow = 0.9 * density * run_area * whole;
    law.sibling_flow = 0.1 * density * run_area * whole;
    const double by_straight = law.reported("common_velocity");
    law.leg = Leg::branch;
    std::swap(law.state.mass_flow, law.sibling_flow);
    testing::expect_relative(law.reported("common_velocity"), by_straight, 1e-12);
    EXPECT_GT(std::abs(by_straight), 70.0);
  }
}

TEST(Junction, CarriesEntranceAndExitAtPlenums) {
  const Junction tee({1.0, 0.5, 90});
  LawCase law = tee.leg(Leg::branch, 10.0, 5.0);
  const double inside = law.loss();
  law.to_plenum = true;
  // The branch's own head, 5 m/s over half the area.
  testing::expect_relative(law.loss() - inside, 0.5 * density * 100.0, 1e-7);
  law.to_plenum = false;
  law.from_plenum = true;
  // A sharp entrance at the common port, 15 m/s: 0.5 of its head.
  testing::expect_relative(law.loss() - inside, 0.5 * 0.5 * density * 225.0, 1e-7);
}

}  // namespace
}  // namespace corefeed::losses
