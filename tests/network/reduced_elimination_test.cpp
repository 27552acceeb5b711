// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/reduced_elimination.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "corefeed/network/workspace.hpp"
#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::starts;

/// A lattice of losses over six decades between two fixed pressures.
Network lattice(int side) {
  Builder builder(dry_air(40.0));
  builder.fixed("source", 800.0).fixed("sink", 0.0);
  const auto at = [](int x, int y) { return "n" + std::to_string(x) + "_" + std::to_string(y); };
  int count = 0;
  const auto join = [&](const std::string& from, const std::string& to) {
    const double loss = std::pow(10.0, (7 * count % 13) / 2.0 - 3.0);
    builder.add("e" + std::to_string(count++), "loss", from, to, {{"area", 0.01}, {"loss", loss}});
  };
  for (int x = 0; x < side; ++x) {
    join("source", at(x, 0));
    join(at(x, side - 1), "sink");
    for (int y = 1; y < side; ++y) join(at(x, y - 1), at(x, y));
    for (int y = 0; x > 0 && y < side; ++y) join(at(x - 1, y), at(x, y));
  }
  return builder.network();
}

double largest_rest(const Workspace& work, const std::vector<double>& x, std::vector<double> b,
                    bool transposed) {
  for (std::size_t e = 0; e < work.pattern().size(); ++e) {
    const auto row = static_cast<std::size_t>(work.pattern()[e].row);
    const auto column = static_cast<std::size_t>(work.pattern()[e].column);
    (transposed ? b[column] : b[row]) -= work.jacobian()[e] * (transposed ? x[row] : x[column]);
  }
  double largest = 0.0;
  for (const double one : b) largest = std::max(largest, std::abs(one));
  return largest;
}

TEST(ReducedElimination, SolvesAFlowNetworkBothWaysAndAgain) {
  const Assembly assembly = assemble(std::make_shared<const Network>(lattice(12)));
  Workspace work(assembly.system, {.flow = true, .heat = false});
  ReducedElimination elimination(work.size(), work.pattern());
  std::vector<double> x = starts(assembly.system);
  std::vector<double> rest(work.size());
  for (int round = 0; round < 3; ++round) {
    work.linearize(x, rest);
    ASSERT_TRUE(elimination.factor(work.jacobian()));
    for (const bool transposed : {false, true}) {
      std::vector<double> b(work.size());
      for (std::size_t i = 0; i < b.size(); ++i) b[i] = std::sin(static_cast<double>(i));
      std::vector<double> solution = b;
      transposed ? elimination.solve_transposed(solution) : elimination.solve(solution);
      double size = 1.0;
      for (const double one : solution) size = std::max(size, std::abs(one));
      EXPECT_LT(largest_rest(work, solution, b, transposed) / size, 1e-10) << round << transposed;
    }
    for (double& one : x) one *= 1.3;
  }
}

/// Temperatures go downstream only: nothing symmetric is left of their equations.
TEST(ReducedElimination, SolvesFlowAndHeatToo) {
  const Assembly assembly = assemble(std::make_shared<const Network>(lattice(6)));
  Workspace work(assembly.system);
  ReducedElimination elimination(work.size(), work.pattern());
  std::vector<double> rest(work.size());
  work.linearize(starts(assembly.system), rest);
  ASSERT_TRUE(elimination.factor(work.jacobian()));
  for (const bool transposed : {false, true}) {
    const std::vector<double> b(work.size(), 1.0);
    std::vector<double> solution = b;
    transposed ? elimination.solve_transposed(solution) : elimination.solve(solution);
    double size = 1.0;
    for (const double one : solution) size = std::max(size, std::abs(one));
    EXPECT_LT(largest_rest(work, solution, b, transposed) / size, 1e-9) << transposed;
  }
}

TEST(ReducedElimination, SingularIsSaid) {
  const std::vector<Entry> full{{0, 0}, {0, 1}, {1, 0}, {1, 1}};
  ReducedElimination elimination(2, full);
  EXPECT_FALSE(elimination.factor(std::vector<double>{0.0, 0.0, 0.0, 0.0}));
}

/// Beyond 4,000 equations the solver takes this way: equal branches carry equal flows.
TEST(ReducedElimination, LargeNetworkIsSolved) {
  Builder builder(dry_air(40.0));
  builder.fixed("before", 800.0).fixed("behind", 0.0);
  for (int i = 0; i < 1500; ++i) {
    const std::string name = std::to_string(i);
    builder.add("a" + name, "loss", "before", "m" + name, {{"area", 0.01}, {"loss", 1.0}});
    builder.add("b" + name, "loss", "m" + name, "behind", {{"area", 0.01}, {"loss", 3.0}});
  }
  const testing::Outcome outcome = testing::solved_network(builder.network());
  const double first = outcome.flow("a0");
  EXPECT_GT(first, 0.0);
  for (const int i : {1, 700, 1499}) {
    EXPECT_NEAR(outcome.flow("a" + std::to_string(i)), first, 1e-10 * first);
    EXPECT_NEAR(outcome.flow("b" + std::to_string(i)), first, 1e-10 * first);
  }
}

}  // namespace
}  // namespace corefeed::network
