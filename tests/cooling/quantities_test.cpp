// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "tests/cooling/case_parts.hpp"

namespace corefeed::cooling {
namespace {

using network::testing::Builder;
using network::testing::dry_air;
using testing::case_of;
using testing::cool;
using testing::place_of;
using testing::plain_liquid;
using testing::value;

/// A car with a duct of three pieces, a radiator with a leak, a core without loop, two vents.
Case car() {
  Builder builder(dry_air(50.0));
  builder.plenum("bay");
  builder.add("nose", "inlet", "", "mouth",
              {{"area", 0.042}, {"cp", 0.88}, {"recovery", 0.97}, {"lip_loss", 0.3}});
  builder.add("snout_1", "duct", "mouth", "snout_a",
              {{"length", 0.3}, {"area", 0.042}, {"hydraulic_diameter", 0.2}});
  builder.add("snout_2", "loss", "snout_a", "snout_b", {{"area", 0.042}, {"loss", 0.1}});
  builder.add("snout_3", "diffuser", "snout_b", "face",
              {{"inlet_area", 0.042}, {"outlet_area", 0.15}, {"expansion_loss", 0.9}});
  builder.add("radiator", "core", "face", "bay",
              {{"face_area", 0.15},
               {"air_loss.linear", 24.0},
               {"air_loss.quadratic", 6.0},
               {"air_conductance.value", 3600.0},
               {"air_conductance.flow", 1.2},
               {"liquid_conductance.value", 9000.0},
               {"liquid_conductance.flow", 2.0}});
  builder.add("gap", "leak", "face", "bay", {{"area", 0.003}});
  builder.add("screen", "core", "mouth", "bay",
              {{"face_area", 0.02}, {"air_loss.linear", 30.0}, {"air_loss.quadratic", 8.0}});
  builder.add("fender", "vent", "bay", "",
              {{"area", 0.04}, {"cp", -0.42}, {"jet_angle", 0.52}, {"open_fraction", 0.72}});
  builder.add("floor", "vent", "bay", "", {{"area", 0.016}, {"cp", -0.12}, {"discharge_coefficient", 0.64}});
  Case problem = case_of(builder.network());
  problem.paths.push_back({"snout", {1, 2, 3}});
  problem.frontal_area = 1.9;
  cool(problem, {"coolant", plain_liquid(3630.0), 2.0, 68e3}, {"radiator"});
  return problem;
}

Solution solved(const Case& problem) {
  Solution solution = solve(problem);
  EXPECT_TRUE(solution.converged) << solution.explanation;
  return solution;
}

TEST(Quantities, EveryNameHasAValueAndAGradient) {
  const Case problem = car();
  const Solution solution = solved(problem);
  std::size_t numbers = 2 * problem.loops.size();
  for (const network::Element& element : problem.network.elements) numbers += element.numbers.size();
  const std::vector<NamedQuantity> names = quantity_names(problem);
  EXPECT_GT(names.size(), 50u);
  for (const NamedQuantity& name : names) {
    const auto found = solution.value(name.name);
    ASSERT_TRUE(found.has_value()) << name.name;
    EXPECT_TRUE(std::isfinite(*found)) << name.name;
    const std::vector<Parameter> slopes = solution.gradient(name.name);
    EXPECT_EQ(slopes.size(), numbers) << name.name;
    for (const Parameter& slope : slopes) EXPECT_TRUE(std::isfinite(slope.derivative)) << name.name;
  }
}

TEST(Quantities, NamesAreUnique) {
  std::set<std::string> seen;
  for (const NamedQuantity& name : quantity_names(car()))
    EXPECT_TRUE(seen.insert(name.name).second) << name.name;
}

TEST(Quantities, UnknownNamesGiveNothing) {
  const Solution solution = solved(car());
  for (const char* name :
       {"", ".", "radiator", "radiator.", ".flow", "radiator.color", "nobody.flow", "car.weight",
        "screen.heat", "snout.velocity", "bay.flow", "coolant.pressure", "radiator.flow.x"}) {
    EXPECT_EQ(solution.value(name), std::nullopt) << name;
    EXPECT_TRUE(solution.gradient(name).empty()) << name;
  }
}

TEST(Quantities, PathSumsItsPieces) {
  const Case problem = car();
  const Solution solution = solved(problem);
  const double sum = value(solution, "snout_1.pressure_loss") + value(solution, "snout_2.pressure_loss") +
                     value(solution, "snout_3.pressure_loss");
  EXPECT_NEAR(value(solution, "snout.pressure_loss"), sum, 1e-9);
  EXPECT_EQ(value(solution, "snout.flow"), value(solution, "snout_1.flow"));
  const double drop = value(solution, "mouth.total_pressure") - value(solution, "face.total_pressure");
  EXPECT_NEAR(value(solution, "snout.pressure_loss"), drop, 1e-6);
}

TEST(Quantities, ItemsSumToThePressureLoss) {
  const Case problem = car();
  const Solution solution = solved(problem);
  for (std::size_t e = 0; e < solution.elements.size(); ++e) {
    const ElementState& state = solution.elements[e];
    double sum = 0.0;
    for (const Item& item : state.items) sum += item.loss;
    EXPECT_NEAR(sum, state.pressure_loss, 1e-9) << problem.network.elements[e].name;
    EXPECT_EQ(state.flow, value(solution, problem.network.elements[e].name + ".flow"));
  }
}

TEST(Quantities, StatesAndNamesTellTheSame) {
  const Case problem = car();
  const Solution solution = solved(problem);
  for (std::size_t e = 0; e < solution.elements.size(); ++e) {
    for (const Number& number : solution.elements[e].numbers) {
      const std::string name = problem.network.elements[e].name + "." + std::string(number.name);
      EXPECT_EQ(value(solution, name), number.value) << name;
    }
  }
  for (const Number& number : solution.car)
    EXPECT_EQ(value(solution, "car." + std::string(number.name)), number.value);
  EXPECT_EQ(value(solution, "coolant.temperature"), solution.loops[0].temperature);
  EXPECT_EQ(value(solution, "coolant.temperature_cold"), solution.loops[0].temperature_cold);
  for (std::size_t n = 0; n < solution.nodes.size(); ++n) {
    EXPECT_EQ(value(solution, problem.network.nodes[n].name + ".total_pressure"),
              solution.nodes[n].total_pressure);
    EXPECT_EQ(value(solution, problem.network.nodes[n].name + ".temperature"), solution.nodes[n].temperature);
  }
}

TEST(Quantities, WakeDragStaysBelowTheUpperLimit) {
  const Case problem = car();
  const Solution solution = solved(problem);
  const double drag = value(solution, "car.cooling_drag");
  const double upper = value(solution, "car.cooling_drag_upper");
  EXPECT_GT(drag, 0.0);
  EXPECT_LE(drag, upper);
  const double flow = value(solution, "fender.flow") + value(solution, "floor.flow");
  EXPECT_NEAR(upper, flow * 50.0, 1e-9 * upper);
  const double head = problem.network.outside.dynamic_head;
  EXPECT_NEAR(value(solution, "car.cooling_drag_coefficient"), drag / (head * 1.9), 1e-12);
}

// Speed of sound of a perfect gas, sqrt(1.4 R T), in the air that comes: hot behind the core.
TEST(Quantities, MachNumbersAreThoseOfTheAirThatComes) {
  const Case problem = car();
  const Solution solution = solved(problem);
  const double constant = problem.network.outside.air.gas_constant;
  const double bay = value(solution, "bay.temperature");
  EXPECT_GT(bay, 310.0);
  EXPECT_NEAR(value(solution, "floor.mach"),
              value(solution, "floor.velocity") / std::sqrt(1.4 * constant * bay), 1e-12);
  EXPECT_NEAR(
      value(solution, "snout_1.mach"),
      value(solution, "snout_1.velocity") / std::sqrt(1.4 * constant * value(solution, "mouth.temperature")),
      1e-12);
}

TEST(Quantities, TheMarginToBoilingIsWhatIsLeft) {
  Case problem = car();
  problem.loops[0].boiling_temperature = 390.0;
  const Solution solution = solved(problem);
  EXPECT_DOUBLE_EQ(value(solution, "coolant.boiling_margin"), 390.0 - value(solution, "coolant.temperature"));
}

// By continuity the velocity on a split core's face is the mean of its zones', each by its share of the face.
TEST(Quantities, ASplitCoreHasTheMeanVelocityOfItsZones) {
  Builder builder(dry_air(40.0));
  builder.plenum("bay");
  builder.add("nose", "inlet", "", "face", {{"area", 0.05}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("left", "core", "face", "bay",
              {{"face_area", 0.15}, {"share", 0.3}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("shroud", "loss", "face", "behind", {{"area", 0.05}, {"loss", 3.0}});
  builder.add("right", "core", "behind", "bay",
              {{"face_area", 0.15}, {"share", 0.7}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("outlet", "vent", "bay", "", {{"area", 0.08}, {"cp", -0.3}, {"discharge_coefficient", 0.65}});
  Case problem = case_of(builder.network());
  problem.paths.push_back({"radiator", {1, 3}, true});
  const Solution solution = solved(problem);
  const double left = value(solution, "left.face_velocity");
  const double right = value(solution, "right.face_velocity");
  EXPECT_GT(left, 1.1 * right);
  EXPECT_NEAR(value(solution, "radiator.face_velocity"), 0.3 * left + 0.7 * right, 1e-12);
}

// Rogallo 1941, NACA Rep. 713 (from memory): each jet expands from the skin's pressure to that of the
// surroundings and keeps w = sqrt(2 (p_s + rho V^2/2)/rho) of speed, of which the part along the car is not
// lost.
TEST(Quantities, WakeDragIsTheMomentumThatJetsDoNotBringBack) {
  const Case problem = car();
  const Solution solution = solved(problem);
  struct Vent {
    std::string name;
    double area, cp, angle;
  };
  double drag = 0.0;
  for (const Vent& vent : {Vent{"fender", 0.04, -0.42, 0.52}, Vent{"floor", 0.016, -0.12, std::acos(0.0)}}) {
    const double flow = value(solution, vent.name + ".flow");
    const double speed = value(solution, vent.name + ".velocity");
    const double density = flow / (speed * vent.area);
    const double left = vent.cp * problem.network.outside.dynamic_head + 0.5 * density * speed * speed;
    drag += flow * (50.0 - std::sqrt(2.0 * std::max(left, 0.0) / density) * std::cos(vent.angle));
  }
  // A vent's reported velocity is that of its own temperature and pressure to 1e-4.
  EXPECT_NEAR(value(solution, "car.cooling_drag") / drag, 1.0, 1e-4);
}

TEST(Quantities, DragCoefficientNeedsAnArea) {
  Case problem = car();
  problem.frontal_area = 0.0;
  const Solution solution = solved(problem);
  EXPECT_EQ(solution.value("car.cooling_drag_coefficient"), std::nullopt);
  EXPECT_EQ(solution.car.size(), 2u);
}

/// d(quantity) by a relative change of one number, from the gradient and by solving again.
void expect_elasticity(std::string_view quantity, std::string_view element, std::string_view key) {
  const Case problem = car();
  const Solution solution = solved(problem);
  const std::size_t e = place_of(problem, element);
  const std::size_t place = losses::find_key(*problem.network.elements[e].kind, key);
  ASSERT_NE(place, losses::npos) << key;
  double exact = std::nan("");
  for (const Parameter& slope : solution.gradient(quantity)) {
    if (slope.owner == Parameter::Owner::element && slope.index == static_cast<int>(e) &&
        slope.key == place) {
      exact = slope.derivative * problem.network.elements[e].numbers[place];
    }
  }
  const auto with = [&](double share) {
    Case changed = problem;
    changed.network.elements[e].numbers[place] *= share;
    return value(solved(changed), quantity);
  };
  const double difference = (with(1.0 + 1e-4) - with(1.0 - 1e-4)) / 2e-4;
  EXPECT_NEAR(exact, difference, 1e-5 * std::abs(difference) + 1e-7)
      << quantity << " by " << element << '.' << key;
}

TEST(Quantities, CoupledGradientsMatchResolvedDifferences) {
  expect_elasticity("coolant.temperature", "radiator", "air_loss.quadratic");
  expect_elasticity("coolant.temperature", "radiator", "heat_transfer");
  expect_elasticity("coolant.temperature", "fender", "area");
  expect_elasticity("radiator.flow", "fender", "open_fraction");
  expect_elasticity("radiator.flow", "snout_3", "expansion_loss");
  expect_elasticity("snout.pressure_loss", "gap", "area");
  expect_elasticity("car.cooling_drag", "fender", "cp");
  expect_elasticity("radiator.effectiveness", "nose", "area");
}

TEST(Quantities, LoopGradientsMatchResolvedDifferences) {
  const Case problem = car();
  const Solution solution = solved(problem);
  for (const char* quantity :
       {"coolant.temperature", "coolant.temperature_cold", "radiator.flow", "radiator.heat"}) {
    const std::vector<Parameter> slopes = solution.gradient(quantity);
    ASSERT_GE(slopes.size(), 2u);
    const Parameter& by_flow = slopes[slopes.size() - 2];
    const Parameter& by_load = slopes.back();
    ASSERT_EQ(by_load.owner, Parameter::Owner::loop);
    ASSERT_EQ(by_load.key, 1u);
    const auto with = [&](double flow, double load) {
      Case changed = problem;
      changed.loops[0].flow *= flow;
      changed.loops[0].heat_load *= load;
      return value(solved(changed), quantity);
    };
    const double flow = (with(1.0001, 1.0) - with(0.9999, 1.0)) / 2e-4;
    const double load = (with(1.0, 1.0001) - with(1.0, 0.9999)) / 2e-4;
    // 68 kW differ by rounding of 1e-11 over 2e-4.
    EXPECT_NEAR(by_flow.derivative * 2.0, flow, 1e-5 * std::abs(flow) + 2e-6) << quantity;
    EXPECT_NEAR(by_load.derivative * 68e3, load, 1e-5 * std::abs(load) + 2e-6) << quantity;
  }
}

}  // namespace
}  // namespace corefeed::cooling
