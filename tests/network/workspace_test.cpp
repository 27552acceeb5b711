// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/workspace.hpp"

#include <gtest/gtest.h>

#include <map>

#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::solved_network;
using testing::starts;

/// Two branches between fixed pressures, with a diffuser that reads its core: laws of up to eleven unknowns.
Network branches() {
  Builder builder(dry_air(30.0));
  builder.fixed("before", 700.0).fixed("behind", 0.0, 330.0);
  builder.add("trunk", "loss", "before", "fork", {{"area", 0.04}, {"loss", 0.4}});
  builder.add("pipe", "duct", "fork", "behind",
              {{"length", 0.7}, {"area", 0.01}, {"hydraulic_diameter", 0.1}});
  builder.add("widening", "diffuser", "fork", "face",
              {{"inlet_area", 0.03}, {"outlet_area", 0.06}, {"length", 0.3}});
  builder.add("core", "core", "face", "behind",
              {{"face_area", 0.06}, {"air_loss.linear", 20.0}, {"air_loss.quadratic", 6.0}});
  connect_neighbors(builder.network());
  return builder.network();
}

Assembly assembled() { return assemble(std::make_shared<const Network>(branches())); }

TEST(Workspace, JacobianIsThatOfCentralDifferences) {
  const Assembly assembly = assembled();
  const System& system = assembly.system;
  Workspace work(system);
  std::vector<double> x = starts(system);
  std::vector<double> rest(work.size());
  work.linearize(x, rest);
  std::vector<double> plain(work.size());
  work.evaluate(x, plain);
  for (std::size_t i = 0; i < rest.size(); ++i) EXPECT_DOUBLE_EQ(rest[i], plain[i]);
  std::map<std::pair<int, int>, double> jacobian;
  for (std::size_t e = 0; e < work.pattern().size(); ++e) {
    jacobian[{work.pattern()[e].row, work.pattern()[e].column}] = work.jacobian()[e];
  }
  std::vector<double> high(work.size());
  std::vector<double> low(work.size());
  for (std::size_t j = 0; j < work.size(); ++j) {
    const double scale = system.unknowns()[static_cast<std::size_t>(work.unknowns()[j])].scale;
    double& moved = x[static_cast<std::size_t>(work.unknowns()[j])];
    const double kept = moved;
    moved = kept + 1e-5 * scale;
    work.evaluate(x, high);
    moved = kept - 1e-5 * scale;
    work.evaluate(x, low);
    moved = kept;
    for (std::size_t i = 0; i < work.size(); ++i) {
      const auto found = jacobian.find({static_cast<int>(i), static_cast<int>(j)});
      const double exact = found == jacobian.end() ? 0.0 : found->second;
      EXPECT_NEAR(exact, (high[i] - low[i]) / 2e-5, 1e-6 * std::abs(exact) + 1e-8)
          << system.equations()[i].name << " by "
          << system.unknowns()[static_cast<std::size_t>(work.unknowns()[j])].name;
    }
  }
}

TEST(Workspace, HoldsTheOtherBlock) {
  const Assembly assembly = assembled();
  Workspace flow(assembly.system, {.flow = true, .heat = false});
  Workspace heat(assembly.system, {.flow = false, .heat = true});
  Workspace all(assembly.system);
  EXPECT_EQ(flow.size() + heat.size(), all.size());
  for (const int unknown : flow.unknowns()) {
    EXPECT_EQ(assembly.system.unknowns()[static_cast<std::size_t>(unknown)].block, Block::flow);
  }
  for (const int equation : heat.equations()) {
    EXPECT_EQ(assembly.system.equations()[static_cast<std::size_t>(equation)].block, Block::heat);
  }
}

TEST(Workspace, NewtonStepSolvesTheLinearizedEquations) {
  const Assembly assembly = assembled();
  Workspace work(assembly.system);
  const std::vector<double> x = starts(assembly.system);
  std::vector<double> rest(work.size());
  work.linearize(x, rest);
  ASSERT_TRUE(work.factor());
  std::vector<double> step = rest;
  work.solve(step);
  for (std::size_t e = 0; e < work.pattern().size(); ++e) {
    rest[static_cast<std::size_t>(work.pattern()[e].row)] -=
        work.jacobian()[e] * step[static_cast<std::size_t>(work.pattern()[e].column)];
  }
  for (const double one : rest) EXPECT_NEAR(one, 0.0, 1e-12);
}

TEST(Workspace, NumbersChangedInTheSystemAreSeen) {
  Assembly assembly = assembled();
  Workspace work(assembly.system);
  const std::vector<double> x = starts(assembly.system);
  std::vector<double> before(work.size());
  std::vector<double> behind(work.size());
  work.evaluate(x, before);
  const int loss = assembly.places.parameter[0] + 1;
  assembly.system.set_parameter(loss, 1.4);
  work.evaluate(x, behind);
  EXPECT_NE(before[0], behind[0]);
  for (std::size_t i = 1; i < before.size(); ++i) EXPECT_EQ(before[i], behind[i]) << i;
}

}  // namespace
}  // namespace corefeed::network
