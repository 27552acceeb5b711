// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/homotopy.hpp"

#include <gtest/gtest.h>

#include "corefeed/network/newton.hpp"

namespace corefeed::network {
namespace {

/// A pressure against a loss that rises to 5, falls to 0.6 and rises again, with kinks where it turns: at the
/// pressure 6 the only state is the flow of 3.9.
System stalling_law() {
  System system;
  system.add_unknown({"fan.flow", 0.0, 1.0, Block::flow});
  auto law = []<class S>(const S* x, const S*) {
    const S rise = 5.0 * x[0];
    const S fall = 5.0 - 4.0 * (x[0] - 1.0);
    const S again = 0.6 + 3.0 * (x[0] - 2.1);
    const S loss = larger<S>(smaller<S>(rise, fall), again);
    const S rest = 6.0 - loss;
    return rest;
  };
  system.add_equation({"fan", make_function({0}, {}, law), 1.0, Block::flow});
  return system;
}

Laws own_flow() { return {.own_flow = {0}, .own_temperature = {}, .own_pressure = {}}; }

constexpr int many = 1000;

TEST(Homotopy, GoesOnBehindKinksThatTurnTheCurveBack) {
  const System system = stalling_law();
  Workspace work(system);
  // Newton's method is caught between the kinks.
  std::vector<double> plain{0.0};
  EXPECT_FALSE(Newton(work).run(plain, {}).converged());
  for (std::uint64_t draw = 1; draw <= 20; ++draw) {
    std::vector<double> x{0.0};
    const Homotopy::Ended ended = Homotopy(work, own_flow()).follow(x, draw, many);
    ASSERT_EQ(ended.termination, Termination::converged) << draw;
    ASSERT_TRUE(Newton(work).run(x, {}).converged()) << draw;
    EXPECT_NEAR(x[0], 3.9, 1e-9) << draw;
  }
}

/// x^2 + 1 has no root: the curve goes on without end, and the steps are used up.
TEST(Homotopy, EndsWhereThereIsNoState) {
  System system;
  system.add_unknown({"branch.flow", 0.0, 1.0, Block::flow});
  auto law = []<class S>(const S* x, const S*) {
    const S rest = -x[0] * x[0] - 1.0;
    return rest;
  };
  system.add_equation({"branch", make_function({0}, {}, law), 1.0, Block::flow});
  Workspace work(system);
  std::vector<double> x{0.5};
  const Homotopy::Ended ended = Homotopy(work, own_flow()).follow(x, 1, many);
  EXPECT_NE(ended.termination, Termination::converged);
  EXPECT_LE(ended.iterations, many + 30);
  EXPECT_EQ(x, std::vector<double>{0.5});
}

TEST(Homotopy, NeedsLawsAndFewUnknowns) {
  const System system = stalling_law();
  Workspace work(system);
  EXPECT_TRUE(Homotopy(work, own_flow()).is_possible());
  EXPECT_FALSE(Homotopy(work, {}).is_possible());
}

}  // namespace
}  // namespace corefeed::network
