// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/assembly.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "corefeed/network/adjoint.hpp"
#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::Outcome;
using testing::solved_network;
using testing::starts;

/// A car with one element of every kind these tests know, all nodes kinds, a leak and a core without loop.
Network car() {
  Builder builder(dry_air(50.0));
  builder.plenum("bay").fixed("box", 350.0, 340.0);
  builder.add("nose", "inlet", "", "throat",
              {{"area", 0.042}, {"cp", 0.88}, {"recovery", 0.97}, {"lip_loss", 0.3}});
  builder.add("cone", "diffuser", "throat", "face",
              {{"inlet_area", 0.042}, {"outlet_area", 0.15}, {"angle", 0.35}});
  builder.add("radiator", "core", "face", "shroud",
              {{"face_area", 0.15}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("seal", "leak", "face", "bay", {{"area", 0.003}});
  builder.add("fan", "fan", "shroud", "bay",
              {{"area", 0.058}, {"curve.shutoff_pressure", 180.0}, {"curve.free_flow", 0.75}});
  builder.add("flaps", "flap", "shroud", "bay", {{"area", 0.055}});
  builder.add("hose", "duct", "box", "bay", {{"length", 0.8}, {"area", 0.004}, {"hydraulic_diameter", 0.07}});
  builder.add("grid", "loss", "bay", "arch", {{"area", 0.05}, {"loss", 1.2}});
  builder.add("side", "vent", "arch", "",
              {{"area", 0.04}, {"cp", -0.42}, {"jet_angle", 0.52}, {"open_fraction", 0.72}});
  builder.add("floor", "vent", "bay", "", {{"area", 0.016}, {"cp", -0.12}, {"discharge_coefficient", 0.64}});
  connect_neighbors(builder.network());
  return builder.network();
}

double sum_at(const Network& network, const Outcome& outcome, int node, double* throughput) {
  double sum = 0.0;
  *throughput = 0.0;
  for (const Element& element : network.elements) {
    const double flow = outcome.flow(element.name);
    if (element.to == node) sum += flow;
    if (element.from == node) sum -= flow;
    if (element.to == node || element.from == node) *throughput += std::abs(flow);
  }
  return sum;
}

TEST(Assembly, MassBalancesAtEveryNodeRecomputedFromTheFlows) {
  const Network network = car();
  const Outcome outcome = solved_network(network);
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    if (network.nodes[n].kind == NodeKind::fixed_pressure) continue;
    double throughput = 0.0;
    const double sum = sum_at(network, outcome, static_cast<int>(n), &throughput);
    EXPECT_LT(std::abs(sum), 1e-10 * throughput) << network.nodes[n].name;
  }
}

TEST(Assembly, EnthalpyBalancesAtEveryNodeRecomputedFromTheStates) {
  const Network network = car();
  const Outcome outcome = solved_network(network);
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    if (network.nodes[n].kind == NodeKind::fixed_pressure) continue;
    double in = 0.0;
    double out = 0.0;
    for (const Element& element : network.elements) {
      const double flow = outcome.flow(element.name);
      const double own = outcome.temperature(network.nodes[n].name);
      const auto other = [&](int node) {
        return node == none ? network.outside.total_temperature
                            : outcome.temperature(network.nodes[static_cast<std::size_t>(node)].name);
      };
      // No core here is heated: every element carries the temperature of where its air comes from.
      if (element.to == static_cast<int>(n))
        flow > 0.0 ? in += flow * other(element.from) : out -= flow * own;
      if (element.from == static_cast<int>(n)) flow > 0.0 ? out += flow* own : in -= flow * other(element.to);
    }
    EXPECT_LT(std::abs(in - out), 1e-10 * in) << network.nodes[n].name;
  }
}

TEST(Assembly, HotAirFromABoxMixesByEnthalpy) {
  const Outcome outcome = solved_network(car());
  const double hot = outcome.flow("hose");
  const double cold = outcome.flow("seal") + outcome.flow("fan") + outcome.flow("flaps");
  const double outside = dry_air(50.0).total_temperature;
  ASSERT_LT(hot, 0.0) << "the bay stands above the box here: the box takes air out of it";
  EXPECT_NEAR(outcome.temperature("bay"), outside, 1e-7);
  Network reversed = car();
  for (Node& node : reversed.nodes) {
    if (node.name == "box") node.total_pressure = 3000.0;
  }
  const Outcome blown = solved_network(reversed);
  const double fed = blown.flow("hose");
  const double ram = blown.flow("seal") + blown.flow("fan") + blown.flow("flaps");
  ASSERT_GT(fed, 0.0);
  ASSERT_GT(cold, 0.0);
  EXPECT_NEAR(blown.temperature("bay"), (fed * 340.0 + ram * outside) / (fed + ram), 1e-7);
}

TEST(Assembly, EveryLawHoldsWhenCalledDirectly) {
  const Network network = car();
  const Outcome outcome = solved_network(network);
  for (const Element& element : network.elements) {
    if (element.feeds != none || element.fed_by != none) continue;
    losses::Input<double> in;
    in.outside = &network.outside;
    in.mass_flow = outcome.flow(element.name);
    const auto node = [&](int index) { return network.nodes[static_cast<std::size_t>(index)]; };
    in.temperature_from = in.temperature_to = network.outside.total_temperature;
    if (element.from != none) {
      in.pressure_from = outcome.pressure(node(element.from).name);
      in.temperature_from = outcome.temperature(node(element.from).name);
      in.from_plenum = node(element.from).kind == NodeKind::plenum;
    }
    if (element.to != none) {
      in.pressure_to = outcome.pressure(node(element.to).name);
      in.temperature_to = outcome.temperature(node(element.to).name);
      in.to_plenum = node(element.to).kind == NodeKind::plenum;
    }
    in.temperature_out = in.forward() ? in.temperature_from : in.temperature_to;
    in.value = element.numbers.data();
    in.given = element.given;
    losses::Terms<double> terms;
    element.kind->law->value(in, terms);
    const double before = element.from == none ? terms.boundary : in.pressure_from;
    const double behind = element.to == none ? terms.boundary : in.pressure_to;
    // The solver's tolerance of 1e-10 on the freestream head of 1.5 kPa.
    EXPECT_NEAR(before - behind, terms.pressure_loss(), 2e-7) << element.name;
  }
}

TEST(Assembly, OrderAndNamesChangeNothing) {
  const Network straight = car();
  const Outcome expected = solved_network(straight);
  Network mixed = straight;
  std::reverse(mixed.elements.begin(), mixed.elements.end());
  std::rotate(mixed.nodes.begin(), mixed.nodes.begin() + 2, mixed.nodes.end());
  const int count = static_cast<int>(mixed.nodes.size());
  for (Element& element : mixed.elements) {
    if (element.from != none) element.from = (element.from + count - 2) % count;
    if (element.to != none) element.to = (element.to + count - 2) % count;
    element.name = "Z_" + element.name;
    element.feeds = element.fed_by = none;
  }
  const Outcome found = solved_network(mixed);
  for (const Element& element : straight.elements) {
    EXPECT_NEAR(found.flow("Z_" + element.name), expected.flow(element.name), 1e-12) << element.name;
  }
}

TEST(Assembly, ElementTurnedRoundFlowsBackwards) {
  const Network straight = car();
  const Outcome expected = solved_network(straight);
  for (const char* name : {"seal", "hose", "grid"}) {
    Network turned = straight;
    for (Element& element : turned.elements) {
      if (element.name == name) std::swap(element.from, element.to);
    }
    const Outcome found = solved_network(turned);
    EXPECT_NEAR(found.flow(name), -expected.flow(name), 1e-10) << name;
    EXPECT_NEAR(found.flow("nose"), expected.flow("nose"), 1e-10) << name;
  }
}

/// Compares the exact derivative of every equation with differences at x.
void expect_slopes(const System& system, const std::vector<double>& x) {
  for (const Equation& equation : system.equations()) {
    std::vector<Slope> slopes;
    const double value = differentiate_unknowns(equation.residual, x, system.parameters(), slopes);
    EXPECT_EQ(value, evaluate(equation.residual, x, system.parameters())) << equation.name;
    ASSERT_EQ(slopes.size(), equation.residual.unknowns.size());
    // An equation may list an unknown twice (two elements from one node): its slopes add.
    std::map<int, double> by_unknown;
    for (const Slope& slope : slopes) by_unknown[slope.index] += slope.value;
    for (const auto& [unknown, exact] : by_unknown) {
      const auto column = static_cast<std::size_t>(unknown);
      const double step = 1e-5 * system.unknowns()[column].scale;
      std::vector<double> up = x;
      std::vector<double> down = x;
      up[column] += step;
      down[column] -= step;
      const double difference = (evaluate(equation.residual, up, system.parameters()) -
                                 evaluate(equation.residual, down, system.parameters())) /
                                (2.0 * step);
      const double to_scale = system.unknowns()[column].scale / equation.scale;
      // Rounding of a 1e5 Pa density over the step and the step's square stay below 1e-6 of the scales.
      EXPECT_NEAR(exact * to_scale, difference * to_scale, 1e-6 * (1.0 + std::abs(difference * to_scale)))
          << equation.name << " by " << system.unknowns()[column].name;
    }
  }
}

TEST(Assembly, JacobianMatchesDifferences) {
  const Outcome outcome = solved_network(car());
  expect_slopes(outcome.system(), outcome.solved.x);
  std::vector<double> x = outcome.solved.x;
  for (std::size_t j = 0; j < x.size(); ++j) {
    x[j] += 0.1 * std::sin(1.0 + 3.0 * static_cast<double>(j)) * outcome.system().unknowns()[j].scale;
  }
  expect_slopes(outcome.system(), x);
}

TEST(Assembly, ParametersBeyondOneGroupOfDualsAreDifferentiated) {
  const Outcome outcome = solved_network(car());
  std::size_t longest = 0;
  for (const Equation& equation : outcome.system().equations()) {
    std::vector<Slope> slopes;
    differentiate_parameters(equation.residual, outcome.solved.x, outcome.system().parameters(), slopes);
    ASSERT_EQ(slopes.size(), equation.residual.parameters.size());
    longest = std::max(longest, slopes.size());
    for (const Slope& slope : slopes) {
      std::vector<double> up = outcome.system().parameters();
      std::vector<double> down = up;
      const auto place = static_cast<std::size_t>(slope.index);
      const double step = 1e-5 * std::max(std::abs(up[place]), 1e-3);
      up[place] += step;
      down[place] -= step;
      const double difference = (evaluate(equation.residual, outcome.solved.x, up) -
                                 evaluate(equation.residual, outcome.solved.x, down)) /
                                (2.0 * step);
      // 1e-9 Pa of rounding stands beside a step of 1e-5 of the number.
      EXPECT_NEAR(slope.value * step, difference * step, 1e-6 * std::abs(difference * step) + 1e-9)
          << equation.name << " by parameter " << slope.index;
    }
  }
  EXPECT_GT(longest, static_cast<std::size_t>(dual_width));
}

TEST(Assembly, GroupsOfDualsDoNotMix) {
  for (const int count : {1, 15, 16, 17, 32, 33, 50}) {
    System system;
    std::vector<int> places;
    for (int i = 0; i < count; ++i) places.push_back(system.add_parameter(1.0 + i));
    const Function squares = make_function({}, places, [count]<class S>(const S*, const S* p) {
      S sum(0.0);
      for (int i = 0; i < count; ++i) sum += (i + 1.0) * p[i] * p[i];
      return sum;
    });
    std::vector<Slope> slopes;
    differentiate_parameters(squares, {}, system.parameters(), slopes);
    ASSERT_EQ(slopes.size(), static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
      EXPECT_EQ(slopes[static_cast<std::size_t>(i)].index, i);
      EXPECT_EQ(slopes[static_cast<std::size_t>(i)].value, 2.0 * (i + 1.0) * (i + 1.0));
    }
  }
}

TEST(Assembly, GradientMatchesResolvedDifferences) {
  const Network network = car();
  const Outcome outcome = solved_network(network);
  const auto radiator = static_cast<std::size_t>(outcome.assembly.places.flow[2]);
  ASSERT_EQ(outcome.system().unknowns()[radiator].name, "radiator.flow");
  const Function flow = make_function({outcome.assembly.places.flow[2]}, {},
                                      []<class S>(const S* x, const S*) { return x[0]; });
  const std::vector<double> slopes = Adjoint(outcome.system(), outcome.solved.x).gradient(flow);
  ASSERT_EQ(slopes.size(), outcome.system().parameters().size());
  int compared = 0;
  for (std::size_t e = 0; e < network.elements.size(); ++e) {
    for (std::size_t key = 0; key < network.elements[e].numbers.size(); ++key) {
      const double number = network.elements[e].numbers[key];
      if (number == 0.0 || !network.elements[e].kind->keys[key].choices.empty()) continue;
      const auto with = [&](double share) {
        Network changed = network;
        changed.elements[e].numbers[key] *= share;
        return solved_network(changed).flow("radiator");
      };
      const double difference = (with(1.0 + 1e-4) - with(1.0 - 1e-4)) / 2e-4;
      const double exact =
          number * slopes[static_cast<std::size_t>(outcome.assembly.places.parameter[e]) + key];
      EXPECT_NEAR(exact, difference, 1e-5 * std::abs(difference) + 1e-7)
          << network.elements[e].name << ' ' << network.elements[e].kind->keys[key].name;
      ++compared;
    }
  }
  EXPECT_GT(compared, 40);
}

}  // namespace
}  // namespace corefeed::network
