// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/prepared.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <new>

#include "tests/cooling/case_parts.hpp"

namespace {
std::atomic<long> allocations = 0;
}  // namespace

// Counted for the whole program: a solution nearby must not ask for memory.
[[gnu::noinline]] void* operator new(std::size_t size) {
  ++allocations;
  if (void* memory = std::malloc(size > 0 ? size : 1)) return memory;
  throw std::bad_alloc();
}
[[gnu::noinline]] void operator delete(void* memory) noexcept { std::free(memory); }
[[gnu::noinline]] void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace corefeed::cooling {
namespace {

using network::testing::dry_air;
using testing::small_car;
using testing::value;

TEST(Prepared, FirstSolutionIsThatOfSolve) {
  Prepared prepared(small_car());
  const std::size_t temperature = prepared.output("coolant.temperature").value();
  ASSERT_TRUE(prepared.solve().converged);
  const Solution solution = solve(small_car());
  ASSERT_TRUE(solution.converged) << solution.explanation;
  EXPECT_EQ(prepared.value(temperature), value(solution, "coolant.temperature"));
}

TEST(Prepared, IsSameAsTheCaseThatItsNumbersMake) {
  const auto changed = [](const char* element, const char* key, double number) {
    Case problem = small_car();
    network::Element& one = problem.network.elements[testing::place_of(problem, element)];
    one.numbers[losses::find_key(*one.kind, key)] = number;
    return problem;
  };
  Prepared prepared(small_car());
  Prepared wider(changed("outlet", "area", 0.09));
  ASSERT_TRUE(wider.solve().converged);
  EXPECT_FALSE(prepared.is_same_as(wider));
  prepared.set(prepared.input("outlet.area").value(), 0.09);
  EXPECT_TRUE(prepared.is_same_as(wider));
  Case faster = changed("outlet", "area", 0.09);
  faster.network.outside = dry_air(42.0);
  Prepared other(faster);
  ASSERT_TRUE(other.solve().converged);
  EXPECT_FALSE(prepared.is_same_as(other));
  prepared.set(prepared.input("speed").value(), 42.0);
  EXPECT_TRUE(prepared.is_same_as(other));
}

/// The quantity knows what the case was set up with, and no number of the equations tells.
TEST(Prepared, IsNotSameWhereAnOutputIsNot) {
  Case small = small_car();
  small.frontal_area = 1.0;
  Case large = small;
  large.frontal_area = 2.0;
  Prepared one(small);
  Prepared two(large);
  ASSERT_TRUE(two.solve().converged);
  EXPECT_TRUE(one.is_same_as(two));
  one.output("car.cooling_drag_coefficient").value();
  two.output("car.cooling_drag_coefficient").value();
  EXPECT_FALSE(one.is_same_as(two));
}

TEST(Prepared, SolvesAgainAfterEachChangeAsIfSetUpAnew) {
  Prepared prepared(small_car());
  const std::size_t area = prepared.input("outlet.area").value();
  const std::size_t load = prepared.input("coolant.heat_load").value();
  const std::size_t speed = prepared.input("speed").value();
  const std::size_t flow = prepared.output("radiator.flow").value();
  const std::size_t temperature = prepared.output("coolant.temperature").value();
  const std::size_t drag = prepared.output("car.cooling_drag").value();
  ASSERT_TRUE(prepared.solve().converged);
  prepared.set(area, 0.09);
  prepared.set(load, 35e3);
  prepared.set(speed, 42.0);
  ASSERT_TRUE(prepared.solve().converged);
  Case problem = small_car();
  problem.network.outside = dry_air(42.0);
  problem.loops[0].heat_load = 35e3;
  problem.network.elements[testing::place_of(problem, "outlet")]
      .numbers[losses::find_key(*losses::find_kind("vent"), "area")] = 0.09;
  const Solution anew = solve(problem);
  ASSERT_TRUE(anew.converged);
  EXPECT_NEAR(prepared.value(flow), value(anew, "radiator.flow"), 1e-10);
  EXPECT_NEAR(prepared.value(temperature), value(anew, "coolant.temperature"), 1e-8);
  EXPECT_NEAR(prepared.value(drag), value(anew, "car.cooling_drag"), 1e-8);
}

TEST(Prepared, SolutionsNearbyAllocateNothing) {
  Prepared prepared(small_car());
  const std::size_t area = prepared.input("outlet.area").value();
  const std::size_t cp = prepared.input("nose.cp").value();
  const std::size_t speed = prepared.input("speed").value();
  const std::size_t temperature = prepared.output("coolant.temperature").value();
  ASSERT_TRUE(prepared.solve().converged);
  prepared.value(temperature);
  const long before = allocations;
  double sum = 0.0;
  bool converged = true;
  for (int i = 0; i < 200; ++i) {
    prepared.set(area, 0.08 + 1e-4 * (i % 20));
    prepared.set(cp, 0.9 - 0.002 * (i % 30));
    prepared.set(speed, 40.0 + 0.1 * (i % 50));
    converged = prepared.solve().converged && converged;
    sum += prepared.value(temperature);
  }
  EXPECT_EQ(allocations - before, 0);
  EXPECT_TRUE(converged);
  EXPECT_TRUE(std::isfinite(sum));
}

/// Against central differences of solutions, whose own error is that of their step squared.
TEST(Prepared, GradientIsThatOfDifferences) {
  Prepared prepared(small_car());
  const std::size_t temperature = prepared.output("coolant.temperature").value();
  ASSERT_TRUE(prepared.solve().converged);
  const std::vector<double> slopes = prepared.gradient(temperature);
  const std::pair<const char*, double> numbers[] = {
      {"outlet.area", 0.08}, {"radiator.face_area", 0.15}, {"coolant.heat_load", 30e3}, {"nose.cp", 0.9}};
  for (const auto& [name, number] : numbers) {
    const std::size_t input = prepared.input(name).value();
    const double step = 1e-4 * number;
    double sides[2];
    for (const int side : {0, 1}) {
      prepared.set(input, number + (side == 0 ? -step : step));
      ASSERT_TRUE(prepared.solve().converged);
      sides[side] = prepared.value(temperature);
    }
    prepared.set(input, number);
    const double difference = (sides[1] - sides[0]) / (2.0 * step);
    EXPECT_NEAR(slopes.at(input), difference, 1e-5 * std::abs(difference)) << name;
  }
}

TEST(Prepared, GoesBackToTheMarkedState) {
  Prepared prepared(small_car());
  const std::size_t area = prepared.input("outlet.area").value();
  const std::size_t flow = prepared.output("radiator.flow").value();
  ASSERT_TRUE(prepared.solve().converged);
  prepared.mark();
  const auto after_going_back = [&] {
    prepared.go_back();
    prepared.set(area, 0.1);
    prepared.solve();
    return prepared.value(flow);
  };
  const double first = after_going_back();
  prepared.set(area, 0.02);
  prepared.solve();
  EXPECT_EQ(after_going_back(), first);
}

TEST(Prepared, KnowsItsNames) {
  Prepared prepared(small_car());
  EXPECT_TRUE(prepared.input("radiator.air_loss.linear").has_value());
  for (const char* name :
       {"nobody.area", "outlet.nothing", "outlet", "radiator.arrangement", "coolant.fluid", ""}) {
    EXPECT_FALSE(prepared.input(name).has_value()) << name;
  }
  EXPECT_FALSE(prepared.output("radiator.nothing").has_value());
}

}  // namespace
}  // namespace corefeed::cooling
