// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/newton.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace corefeed::network {
namespace {

System one_unknown(double start) {
  System system;
  system.add_unknown({"x", start, 1.0, Block::flow});
  system.add_parameter(5.0);
  return system;
}

template <class Callable>
System one_equation(double start, Callable callable) {
  System system = one_unknown(start);
  system.add_equation({"f", make_function({0}, {0}, callable), 1.0, Block::flow});
  return system;
}

System square() {
  return one_equation(1.0, []<class S>(const S* x, const S* p) {
    const S rest = x[0] * x[0] - p[0];
    return rest;
  });
}

TEST(Newton, GoesOnFromTheLastRootWhenAParameterMoves) {
  System system = square();
  Workspace work(system);
  Newton newton(work);
  std::vector<double> x{1.0};
  const Newton::Ended cold = newton.run(x, {});
  ASSERT_TRUE(cold.converged());
  EXPECT_NEAR(x[0], std::sqrt(5.0), 1e-12);
  system.set_parameter(0, 5.05);
  const Newton::Ended warm = newton.run(x, {});
  ASSERT_TRUE(warm.converged());
  EXPECT_NEAR(x[0], std::sqrt(5.05), 1e-12);
  EXPECT_LT(warm.iterations, cold.iterations);
  EXPECT_LE(warm.residual, SolveOptions{}.tolerance);
}

// Three steps leave a rest; half of it as the tolerance is too little, twice of it enough.
TEST(Newton, ToleranceIsThatOfTheLargestRest) {
  System system = square();
  Workspace work(system);
  const auto ended = [&work](double tolerance) {
    std::vector<double> x{1.0};
    return Newton(work).run(x, {.tolerance = tolerance, .most_iterations = 3});
  };
  const double rest = ended(1e-12).residual;
  ASSERT_GT(rest, 1e-12);
  EXPECT_EQ(ended(0.5 * rest).termination, Termination::iteration_limit);
  EXPECT_EQ(ended(2.0 * rest).termination, Termination::converged);
}

TEST(Newton, OffsetCountsAsZero) {
  System system = square();
  Workspace work(system);
  std::vector<double> x{1.0};
  const std::vector<double> offset{4.0};
  ASSERT_TRUE(Newton(work).run(x, {}, offset).converged());
  EXPECT_NEAR(x[0], 3.0, 1e-12);
}

/// The hyperbolic tangent's full step from 1.5 leads further away each time.
TEST(Newton, ShortensStepsThatLeadAway) {
  System system = one_equation(1.5, []<class S>(const S* x, const S*) {
    using std::exp;
    const S ratio = exp(S(2.0 * x[0]));
    const S rest = (ratio - 1.0) / (ratio + 1.0);
    return rest;
  });
  Workspace work(system);
  std::vector<double> x{1.5};
  ASSERT_TRUE(Newton(work).run(x, {}).converged());
  EXPECT_NEAR(x[0], 0.0, 1e-10);
}

TEST(Newton, WaysToEnd) {
  System system = square();
  Workspace work(system);
  std::vector<double> x{0.0};
  EXPECT_EQ(Newton(work).run(x, {}).termination, Termination::singular);
  x = {1.0};
  EXPECT_EQ(Newton(work).run(x, {.most_iterations = 1}).termination, Termination::iteration_limit);
  x = {std::nan("")};
  EXPECT_EQ(Newton(work).run(x, {}).termination, Termination::not_finite);
  system.set_parameter(0, -1.0);
  x = {1.5};
  const Termination rootless = Newton(work).run(x, {.most_iterations = 500}).termination;
  EXPECT_TRUE(rootless == Termination::no_descent || rootless == Termination::singular);
}

}  // namespace
}  // namespace corefeed::network
