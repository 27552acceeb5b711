// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/solver.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "corefeed/network/adjoint.hpp"
#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::Outcome;
using testing::solve_network;
using testing::solved_network;
using testing::starts;

System two_unknowns(double x, double y) {
  System system;
  system.add_unknown({"x", x, 1.0, Block::flow});
  system.add_unknown({"y", y, 1.0, Block::flow});
  return system;
}

template <class Callable>
Equation equation(std::string name, Callable callable) {
  return {std::move(name), make_function({0, 1}, {}, callable), 1.0, Block::flow};
}

TEST(Solver, FindsTheRootsOfAHandMadeSystem) {
  System system = two_unknowns(1.0, 1.0);
  system.add_equation(equation("circle", []<class S>(const S* x, const S*) {
    const S rest = x[0] * x[0] + x[1] * x[1] - 25.0;
    return rest;
  }));
  system.add_equation(equation("line", []<class S>(const S* x, const S*) {
    const S rest = 4.0 * x[0] - 3.0 * x[1];
    return rest;
  }));
  const Solved solved = solve(system, starts(system), {});
  ASSERT_TRUE(solved.converged()) << explain(solved);
  EXPECT_NEAR(solved.x[0], 3.0, 1e-10);
  EXPECT_NEAR(solved.x[1], 4.0, 1e-10);
  EXPECT_LE(solved.residual, 1e-10);
  EXPECT_NE(explain(solved).find("converged in"), std::string::npos);
}

TEST(Solver, ContradictionEndsAsSingular) {
  System system = two_unknowns(0.0, 0.0);
  system.add_equation(equation("one", []<class S>(const S* x, const S*) {
    const S rest = x[0] + x[1] - 1.0;
    return rest;
  }));
  system.add_equation(equation("other", []<class S>(const S* x, const S*) {
    const S rest = x[0] + x[1] - 2.0;
    return rest;
  }));
  const Solved solved = solve(system, starts(system), {});
  EXPECT_FALSE(solved.converged());
  EXPECT_EQ(solved.termination, Termination::singular);
  EXPECT_LE(solved.iterations, SolveOptions{}.most_iterations);
  EXPECT_EQ(explain(solved), "not converged: the equations do not determine the flow near other");
}

TEST(Solver, EquationWithoutRootEndsBoundedAndSaysWhere) {
  System system = two_unknowns(3.0, 0.0);
  system.add_equation(equation("never", []<class S>(const S* x, const S*) {
    const S rest = x[0] * x[0] + 1.0;
    return rest;
  }));
  system.add_equation(equation("follows", []<class S>(const S* x, const S*) {
    const S rest = x[1] - x[0];
    return rest;
  }));
  const Solved solved = solve(system, starts(system), {});
  EXPECT_FALSE(solved.converged());
  EXPECT_TRUE(solved.termination == Termination::no_descent ||
              solved.termination == Termination::iteration_limit ||
              solved.termination == Termination::singular);
  EXPECT_LE(solved.iterations, SolveOptions{}.most_iterations);
  EXPECT_EQ(solved.worst, "never");
  EXPECT_NE(explain(solved).find("not converged"), std::string::npos);
  EXPECT_NE(explain(solved).find("never"), std::string::npos);
}

TEST(Solver, LawWithoutNumberAtTheStartIsNotFinite) {
  System system = two_unknowns(-1.0, 0.0);
  system.add_equation(equation("logarithm", []<class S>(const S* x, const S*) {
    using std::log;
    const S rest = log(x[0]);
    return rest;
  }));
  system.add_equation(equation("follows", []<class S>(const S* x, const S*) {
    const S rest = x[1] - 1.0;
    return rest;
  }));
  const Solved solved = solve(system, starts(system), {});
  EXPECT_EQ(solved.termination, Termination::not_finite);
  EXPECT_EQ(solved.iterations, 0);
  EXPECT_EQ(explain(solved), "not converged: the law of logarithm gives no finite number");
}

TEST(Solver, NanInANetworkIsBlamedOnItsElement) {
  Builder builder(dry_air(0.0));
  builder.fixed("before", 100.0).fixed("behind", 0.0);
  builder.add("sound", "loss", "before", "a", {{"area", 0.01}, {"loss", 1.0}});
  builder.add("broken", "loss", "a", "behind", {{"area", 0.01}, {"loss", std::nan("")}});
  const Outcome outcome = solve_network(builder.network());
  EXPECT_EQ(outcome.solved.termination, Termination::not_finite);
  EXPECT_EQ(outcome.solved.worst, "broken");
}

TEST(Solver, StepsAllowedAreNotExceeded) {
  Builder builder(dry_air(0.0));
  builder.fixed("before", 900.0).fixed("behind", 0.0);
  builder.add("gap", "loss", "before", "behind", {{"area", 0.01}, {"loss", 1.0}});
  const Outcome outcome = solve_network(builder.network(), {.most_iterations = 2});
  EXPECT_EQ(outcome.solved.termination, Termination::iteration_limit);
  EXPECT_EQ(outcome.solved.iterations, 2);
  EXPECT_NE(explain(outcome.solved).find("2 steps were used up"), std::string::npos)
      << explain(outcome.solved);
}

TEST(Solver, NotRunSaysSo) {
  EXPECT_EQ(explain(Solved{}), "not solved");
  EXPECT_FALSE(Solved{}.converged());
}

TEST(Solver, GradientOfASingularStateIsEmpty) {
  System system = two_unknowns(0.0, 0.0);
  for (const char* name : {"one", "same"}) {
    system.add_equation(equation(name, []<class S>(const S* x, const S*) {
      const S rest = x[0] + x[1];
      return rest;
    }));
  }
  const Function first = make_function({0}, {}, []<class S>(const S* x, const S*) { return x[0]; });
  EXPECT_TRUE(Adjoint(system, {0.0, 0.0}).gradient(first).empty());
}

/// `count` equal branches of five elements behind one trunk that is as many times as wide: by similarity
/// every branch carries what a single one does.
Network comb(int count) {
  Builder builder(dry_air(30.0));
  builder.fixed("before", 800.0).fixed("behind", 0.0, 320.0);
  builder.add("trunk", "loss", "before", "face", {{"area", 0.02 * count}, {"loss", 0.7}});
  for (int i = 0; i < count; ++i) {
    const auto at = [i](const char* place) { return fmt::format("{}_{}", place, i); };
    builder.add(at("in"), "loss", "face", at("a"), {{"area", 0.02}, {"loss", 0.4}});
    builder.add(at("pipe"), "duct", at("a"), at("b"),
                {{"length", 1.2}, {"area", 0.015}, {"hydraulic_diameter", 0.12}});
    builder.add(at("core"), "core", at("b"), at("c"),
                {{"face_area", 0.05}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
    builder.add(at("leak"), "leak", at("b"), at("c"), {{"area", 0.001}});
    builder.add(at("flap"), "flap", at("c"), "behind", {{"area", 0.02}});
  }
  return builder.network();
}

TEST(Solver, ManyElementsAgreeWithTheirDenseTwin) {
  const Outcome single = solved_network(comb(1));
  const Outcome many = solved_network(comb(60));
  ASSERT_EQ(many.assembly.network->elements.size(), 301u);
  for (const int i : {0, 17, 59}) {
    for (const char* name : {"in", "pipe", "core", "leak", "flap"}) {
      const double expected = single.flow(fmt::format("{}_0", name));
      EXPECT_NEAR(many.flow(fmt::format("{}_{}", name, i)), expected, 1e-9 * expected) << name << i;
    }
    EXPECT_NEAR(many.pressure(fmt::format("b_{}", i)), single.pressure("b_0"), 1e-6);
  }
  EXPECT_NEAR(many.flow("trunk"), 60.0 * single.flow("trunk"), 1e-8);
}

TEST(Solver, LongChainDividesThePressureEvenly) {
  Builder builder(testing::stiff_air(1.2, 0.0));
  builder.fixed("room_0", 600.0).fixed("room_300", 0.0);
  for (int i = 0; i < 300; ++i) {
    builder.add(fmt::format("door_{}", i), "loss", fmt::format("room_{}", i), fmt::format("room_{}", i + 1),
                {{"area", 0.01}, {"loss", 1.0}});
  }
  const Outcome chain = solved_network(builder.network());
  for (const int i : {1, 75, 150, 299}) {
    EXPECT_NEAR(chain.pressure(fmt::format("room_{}", i)), 600.0 - 2.0 * i, 2e-3) << i;
  }
}

}  // namespace
}  // namespace corefeed::network
