// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "corefeed/cooling/solution.hpp"
#include "tests/network/build.hpp"
#include "tests/network/random_networks.hpp"
#include "tests/network/solved_case.hpp"
#include "tests/support/golden.hpp"

/// What must not change, or change in a known way, when a network is written down differently. Random
/// networks are of the monotone family: they have one solution only, so that two answers can be compared.
namespace corefeed::network {
namespace {

using testing::Builder;
using testing::largest_flow;
using testing::random_monotone_case;
using testing::solved_case;
using testing::stiff_air;

constexpr std::uint64_t networks = 40;
/// Solved to 1e-10 of typical flows; the flows of a coefficient of 1e-6 may be a thousand times as large.
constexpr double close = 1e-7;

std::vector<std::size_t> shuffled(std::size_t count, std::uint64_t seed) {
  testing::Random random(seed);
  std::vector<std::size_t> order(count);
  std::iota(order.begin(), order.end(), std::size_t{0});
  for (std::size_t i = count; i > 1; --i) {
    std::swap(order[i - 1], order[static_cast<std::size_t>(random.next() % i)]);
  }
  return order;
}

/// Elements and nodes in another order under other names; `place` gives each element's new place.
cooling::Case rewritten(const cooling::Case& problem, std::uint64_t seed, std::vector<std::size_t>& place) {
  const Network& net = problem.network;
  const std::vector<std::size_t> order = shuffled(net.elements.size(), seed);
  const std::vector<std::size_t> nodes = shuffled(net.nodes.size(), seed + 1);
  place.resize(order.size());
  std::vector<int> node_place(nodes.size());
  cooling::Case other = problem;
  for (std::size_t i = 0; i < order.size(); ++i) place[order[i]] = i;
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    node_place[nodes[i]] = static_cast<int>(i);
    other.network.nodes[i] = net.nodes[nodes[i]];
    other.network.nodes[i].name = "place" + std::to_string(i);
  }
  const auto moved = [&place](int e) {
    return e == none ? none : static_cast<int>(place[static_cast<std::size_t>(e)]);
  };
  for (std::size_t i = 0; i < order.size(); ++i) {
    Element& element = other.network.elements[i];
    element = net.elements[order[i]];
    element.name = "part" + std::to_string(i);
    if (element.from != none) element.from = node_place[static_cast<std::size_t>(element.from)];
    if (element.to != none) element.to = node_place[static_cast<std::size_t>(element.to)];
    element.feeds = moved(element.feeds);
    element.fed_by = moved(element.fed_by);
    element.sibling = moved(element.sibling);
  }
  return other;
}

TEST(Metamorphic, OrderAndNamesDoNotMatter) {
  for (std::uint64_t seed = 1; seed <= networks; ++seed) {
    const cooling::Case problem = random_monotone_case(seed);
    std::vector<std::size_t> place;
    const cooling::Solution before = solved_case(problem);
    const cooling::Solution behind = solved_case(rewritten(problem, seed, place));
    for (std::size_t e = 0; e < place.size(); ++e) {
      EXPECT_NEAR(before.elements[e].flow, behind.elements[place[e]].flow, close * largest_flow(before))
          << seed;
    }
  }
}

Network two_ducts_before_a_core(bool wide_first) {
  Builder builder(stiff_air(1.2, 50.0));
  builder.add("nose", "inlet", "", "nose_mouth", {{"area", 0.02}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("flank", "inlet", "", "flank_mouth", {{"area", 0.01}, {"cp", 0.1}, {"recovery", 0.7}});
  const auto wide = [&builder] {
    builder.add("wide", "diffuser", "nose_mouth", "face",
                {{"inlet_area", 0.02}, {"outlet_area", 0.1}, {"expansion_loss", 0.8}});
  };
  const auto narrow = [&builder] {
    builder.add("narrow", "diffuser", "flank_mouth", "face",
                {{"inlet_area", 0.01}, {"outlet_area", 0.02}, {"expansion_loss", 0.4}});
  };
  if (wide_first) wide();
  narrow();
  if (!wide_first) wide();
  builder.add("core", "core", "face", "bay",
              {{"face_area", 0.12}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("hole", "vent", "bay", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  return builder.network();
}

TEST(Metamorphic, OfTwoDuctsBeforeACoreTheWideOneMakesItsUnevenness) {
  const testing::Outcome one = testing::solved_network(two_ducts_before_a_core(true));
  const testing::Outcome other = testing::solved_network(two_ducts_before_a_core(false));
  for (const char* name : {"nose", "flank", "wide", "narrow", "core", "hole"})
    EXPECT_NEAR(one.flow(name), other.flow(name), 1e-9) << name;
  for (const bool wide_first : {true, false}) {
    Network network = two_ducts_before_a_core(wide_first);
    connect_neighbors(network);
    EXPECT_EQ(network.elements[static_cast<std::size_t>(network.elements[4].fed_by)].name, "wide");
  }
}

TEST(Metamorphic, ElementWrittenTheOtherWayCarriesTheSameAir) {
  int turned = 0;
  for (std::uint64_t seed = 1; seed <= networks; ++seed) {
    const cooling::Case problem = random_monotone_case(seed);
    cooling::Case other = problem;
    for (Element& element : other.network.elements) {
      if (element.kind->name != "loss") continue;
      std::swap(element.from, element.to);
      ++turned;
    }
    const cooling::Solution before = solved_case(problem);
    const cooling::Solution behind = solved_case(other);
    for (std::size_t e = 0; e < problem.network.elements.size(); ++e) {
      const bool same = problem.network.elements[e].from == other.network.elements[e].from;
      EXPECT_NEAR(before.elements[e].flow, (same ? 1.0 : -1.0) * behind.elements[e].flow,
                  close * largest_flow(before))
          << seed << ' ' << problem.network.elements[e].name;
    }
  }
  EXPECT_GT(turned, 100);
}

TEST(Metamorphic, TwoHalvesSideBySideAreTheWhole) {
  int split = 0;
  for (std::uint64_t seed = 1; seed <= networks; ++seed) {
    const cooling::Case problem = random_monotone_case(seed);
    cooling::Case other = problem;
    const auto& elements = problem.network.elements;
    const auto found = std::find_if(elements.begin(), elements.end(),
                                    [](const Element& element) { return element.kind->name == "loss"; });
    if (found == elements.end()) continue;
    ++split;
    const auto e = static_cast<std::size_t>(found - elements.begin());
    Element& half = other.network.elements[e];
    half.numbers[losses::find_key(*half.kind, "area")] *= 0.5;
    Element twin = half;
    twin.name += "_twin";
    other.network.elements.push_back(twin);
    other.loop_of.push_back(none);
    const cooling::Solution before = solved_case(problem);
    const cooling::Solution behind = solved_case(other);
    const double limit = close * largest_flow(before);
    EXPECT_NEAR(behind.elements.back().flow, behind.elements[e].flow, limit) << seed;
    EXPECT_NEAR(behind.elements.back().flow + behind.elements[e].flow, before.elements[e].flow, limit)
        << seed;
  }
  EXPECT_GT(split, 10);
}

/// Ram through a grid and two ways to a vent, all of constant coefficient.
Network constant_car(double speed, double second_loss) {
  Builder builder(stiff_air(1.2, speed));
  builder.add("nose", "inlet", "", "face", {{"area", 0.04}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("grid", "loss", "face", "middle", {{"area", 0.03}, {"loss", 1.5}});
  builder.add("left", "loss", "middle", "bay", {{"area", 0.02}, {"loss", 3.0}});
  builder.add("right", "loss", "middle", "bay", {{"area", 0.02}, {"loss", second_loss}});
  builder.add("hole", "vent", "bay", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  return builder.network();
}

TEST(Metamorphic, TwiceTheSpeedIsTwiceTheFlow) {
  const testing::Outcome slow = testing::solved_network(constant_car(20.0, 5.0));
  const testing::Outcome fast = testing::solved_network(constant_car(40.0, 5.0));
  for (const char* name : {"nose", "grid", "left", "right", "hole"}) {
    // Velocities are rounded off over 1 mm/s, which at 5 m/s is 2e-8.
    EXPECT_NEAR(fast.flow(name) / slow.flow(name), 2.0, 1e-6) << name;
  }
  EXPECT_NEAR(fast.pressure("bay") / slow.pressure("bay"), 4.0, 1e-5);
}

TEST(Metamorphic, LeftAndRightCarryTheSame) {
  const testing::Outcome car = testing::solved_network(constant_car(30.0, 3.0));
  EXPECT_NEAR(car.flow("left"), car.flow("right"), 1e-12 * car.flow("left"));
}

TEST(Metamorphic, TwoInARowAreOneOfTheirSum) {
  Network joined = constant_car(30.0, 5.0);
  joined.elements[1].numbers[losses::find_key(*joined.elements[1].kind, "loss")] = 4.0;
  Network apart = constant_car(30.0, 5.0);
  apart.nodes.push_back({"between"});
  Element second = apart.elements[1];
  second.name = "second_grid";
  second.numbers[losses::find_key(*second.kind, "loss")] = 2.5;
  second.from = static_cast<int>(apart.nodes.size()) - 1;
  apart.elements[1].to = second.from;
  apart.elements.push_back(second);
  const testing::Outcome one = testing::solved_network(joined);
  const testing::Outcome two = testing::solved_network(apart);
  for (const char* name : {"nose", "grid", "left", "right", "hole"}) {
    EXPECT_NEAR(two.flow(name), one.flow(name), 1e-6 * one.flow(name)) << name;
  }
}

TEST(Metamorphic, ReferenceOfPressureDoesNotMatter) {
  const auto rig = [](double shift) {
    losses::Surroundings air = testing::dry_air(0.0);
    air.pressure -= shift;
    Builder builder(air);
    builder.fixed("a", 900.0 + shift).fixed("b", 300.0 + shift).fixed("c", shift);
    builder.add("one", "loss", "a", "middle", {{"area", 0.01}, {"loss", 2.0}});
    builder.add("two", "leak", "b", "middle", {{"area", 0.004}});
    builder.add("three", "duct", "middle", "c",
                {{"length", 2.0}, {"area", 0.01}, {"hydraulic_diameter", 0.1}});
    return testing::solved_network(builder.network());
  };
  const testing::Outcome here = rig(0.0);
  const testing::Outcome there = rig(5000.0);
  for (const char* name : {"one", "two", "three"}) {
    EXPECT_NEAR(there.flow(name), here.flow(name), 1e-10 * std::abs(here.flow("three"))) << name;
  }
  EXPECT_NEAR(there.pressure("middle") - here.pressure("middle"), 5000.0, 1e-6);
}

TEST(Metamorphic, GoldenCarWithHeatBearsAnotherOrderAndOtherNames) {
  const model::Model model = corefeed::testing::read_text(corefeed::testing::golden_document().dump());
  const studies::PointResult result = studies::solve_point(model, model.points.front(), {});
  const cooling::Case& problem = result.built.problem;
  std::vector<std::size_t> place;
  cooling::Case other = rewritten(problem, 5, place);
  for (std::size_t e = 0; e < place.size(); ++e) other.loop_of[place[e]] = problem.loop_of[e];
  const cooling::Solution behind = solved_case(other);
  for (std::size_t e = 0; e < place.size(); ++e) {
    const double flow = result.solution.elements[e].flow;
    EXPECT_NEAR(behind.elements[place[e]].flow, flow, 1e-9 * std::abs(flow));
  }
  for (std::size_t l = 0; l < problem.loops.size(); ++l) {
    EXPECT_NEAR(behind.loops[l].temperature, result.solution.loops[l].temperature, 1e-6);
  }
}

}  // namespace
}  // namespace corefeed::network
