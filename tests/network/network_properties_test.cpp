// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

#include "corefeed/network/certificate.hpp"
#include "tests/network/build.hpp"
#include "tests/network/solved_case.hpp"
#include "tests/support/any_law.hpp"

/// What must not change, or change in a known way, when a network of any losses is changed. All losses rise
/// with their own flow and all air is equally warm, so that there is one state to compare. What fails shrinks
/// to a short chain of plain losses.
namespace corefeed::network {
namespace {

using corefeed::testing::any_between;
using losses::Kind;

/// Of the largest flow. Solved to 1e-13 of typical flows and heads, where a crack's flow may have lost three
/// digits and a leak between equal pressures follows the root of what is left over.
constexpr double same_share = 1e-8;
constexpr cooling::SolveOptions tightly{.tolerance = 1e-13, .look_for_others = false};

/// Kinds between two nodes of air that drive nothing, whose loss always rises with the flow and reads no
/// other's; "loss" first.
const std::vector<const Kind*>& rising_kinds() {
  static const std::vector<const Kind*> list = [] {
    std::vector<const Kind*> found{losses::find_kind("loss")};
    for (const Kind* kind : losses::kinds()) {
      const bool reads_others = std::any_of(kind->keys.begin(), kind->keys.end(), [](const losses::Key& key) {
        return key.refers == losses::Refers::core;
      });
      const bool for_air = kind->law != nullptr && kind->carries != losses::Carries::liquid;
      const bool drives = kind->name == "fan" || kind->name == "supply";
      if (for_air && !drives && kind->ends == losses::Ends::both && kind->monotone && !reads_others &&
          kind != found.front()) {
        found.push_back(kind);
      }
    }
    return found;
  }();
  return list;
}

Element any_element(const Kind& kind, std::string name, int from, int to) {
  const corefeed::testing::LawCase law = corefeed::testing::any_law(kind);
  Element element;
  element.name = std::move(name);
  element.kind = &kind;
  element.from = from;
  element.to = to;
  element.numbers = law.numbers;
  element.given = law.given;
  element.curves = law.curves;
  // All open it would have no loss, which leaves a network without one state.
  const std::size_t open = losses::find_key(kind, "open_fraction");
  if (open != losses::npos) element.numbers[open] = std::min(element.numbers[open], 0.95);
  return element;
}

int add_node(Network& net, NodeKind kind) {
  Node node;
  node.name = fmt::format("n{}", net.nodes.size());
  node.kind = kind;
  net.nodes.push_back(node);
  return static_cast<int>(net.nodes.size()) - 1;
}

int any_node(const Network& net) { return *rc::gen::inRange(0, static_cast<int>(net.nodes.size())); }

/// A node that is not this one.
int another_node(const Network& net, int than) {
  const int count = static_cast<int>(net.nodes.size());
  return (than + *rc::gen::inRange(1, count)) % count;
}

/// An element of any of these kinds between two nodes; none between a node and itself.
void add_branch(Network& net, int from, int to, const std::vector<const Kind*>& kinds) {
  if (from == to) return;
  const Kind& kind = *kinds[*rc::gen::inRange<std::size_t>(0, kinds.size())];
  net.elements.push_back(any_element(kind, fmt::format("e{}", net.elements.size()), from, to));
}

/// A chain between two given pressures and branches between any two of its nodes. The first node is at the
/// higher pressure, the second at that of the surroundings.
Network any_network(const losses::Surroundings& air, const std::vector<const Kind*>& kinds = rising_kinds()) {
  Network net;
  net.outside = air;
  const int high = add_node(net, NodeKind::fixed_pressure);
  const int low = add_node(net, NodeKind::fixed_pressure);
  net.nodes[0].total_pressure = any_between(1000.0, 10.0, 3000.0);
  for (Node& node : net.nodes) node.temperature = air.total_temperature;
  int before = high;
  for (int more = *rc::gen::inRange(1, 7); more > 0; --more) {
    const int next = add_node(net, *rc::gen::arbitrary<bool>() ? NodeKind::plenum : NodeKind::duct);
    add_branch(net, before, next, kinds);
    before = next;
  }
  add_branch(net, before, low, kinds);
  for (int more = *rc::gen::inRange(0, 6); more > 0; --more) {
    const int from = any_node(net);
    add_branch(net, from, any_node(net), kinds);
  }
  return net;
}

losses::Surroundings air_of_a_car() { return testing::dry_air(40.0); }

/// The certified solution of a network that has exactly one.
cooling::Solution state_of(const Network& network) {
  cooling::Case problem;
  problem.network = network;
  problem.loop_of.assign(network.elements.size(), none);
  cooling::Solution solution = cooling::solve(problem, tightly);
  RC_LOG() << solution.explanation << "; " << solution.certificate.uniqueness_words() << "\n";
  RC_ASSERT(solution.certificate.met());
  RC_ASSERT(solution.certificate.uniqueness == Uniqueness::proved);
  return solution;
}

/// The first elements and nodes of both carry the same.
void assert_same(const cooling::Solution& one, const cooling::Solution& other, std::size_t elements,
                 std::size_t nodes, double share = same_share) {
  const double limit = share * testing::largest_flow(one);
  double largest = 1.0;
  for (const cooling::NodeState& node : one.nodes) largest = std::max(largest, std::abs(node.total_pressure));
  for (std::size_t e = 0; e < elements; ++e) {
    RC_LOG() << "element " << e << ": " << one.elements[e].flow << " and " << other.elements[e].flow << "\n";
    RC_ASSERT(std::abs(one.elements[e].flow - other.elements[e].flow) <= limit);
  }
  for (std::size_t n = 0; n < nodes; ++n) {
    RC_LOG() << "node " << n << ": " << one.nodes[n].total_pressure << " and "
             << other.nodes[n].total_pressure << "\n";
    RC_ASSERT(std::abs(one.nodes[n].total_pressure - other.nodes[n].total_pressure) <= share * largest);
  }
}

RC_GTEST_PROP(NetworkProperties, DeadEndChangesNothing, ()) {
  const Network plain = any_network(air_of_a_car());
  Network other = plain;
  const int at = any_node(plain);
  add_branch(other, at, add_node(other, NodeKind::plenum), rising_kinds());
  const cooling::Solution with = state_of(other);
  assert_same(state_of(plain), with, plain.elements.size(), plain.nodes.size());
  RC_ASSERT(std::abs(with.elements.back().flow) <= same_share * testing::largest_flow(with));
}

RC_GTEST_PROP(NetworkProperties, ElementWithoutLossChangesNothing, ()) {
  const Network plain = any_network(air_of_a_car());
  Network other = plain;
  Element& cut = other.elements[*rc::gen::inRange<std::size_t>(0, plain.elements.size())];
  const bool to_plenum = other.nodes[static_cast<std::size_t>(cut.to)].kind == NodeKind::plenum;
  Element open;
  open.name = "open";
  open.kind = losses::find_kind("screen");
  for (const losses::Key& key : open.kind->keys) open.numbers.push_back(key.standard);
  const auto give = [&open](std::string_view key, double value) {
    const std::size_t place = losses::find_key(*open.kind, key);
    open.numbers[place] = value;
    open.given |= std::uint64_t{1} << place;
  };
  give("area", 0.02);
  give("open_fraction", 1.0);
  // The leaving head is lost where the element itself ends, so the screen joins two nodes of one kind.
  open.from = add_node(other, to_plenum ? NodeKind::plenum : NodeKind::duct);
  open.to = cut.to;
  cut.to = open.from;
  other.elements.push_back(open);
  const std::size_t place = plain.elements.size();
  const cooling::Solution with = state_of(other);
  assert_same(state_of(plain), with, place, plain.nodes.size());
}

// Friction of a developed profile is proportional to the length, up to the density, which the stiff air of
// these tests changes by a part in a million for a kilopascal; here are up to three.
RC_GTEST_PROP(NetworkProperties, DuctInTwoPiecesIsTheDuct, ()) {
  Network plain = any_network(testing::stiff_air(1.2, 40.0));
  const Kind& duct = *losses::find_kind("duct");
  const int from = any_node(plain);
  const int to = another_node(plain, from);
  plain.elements.push_back(any_element(duct, "duct", from, to));
  plain.elements.back().numbers[losses::find_key(duct, "profile")] = 0.0;
  Network other = plain;
  const std::size_t length = losses::find_key(duct, "length");
  const double share = any_between(0.5, 0.05, 0.95);
  Element second = other.elements.back();
  second.name = "second";
  second.from = add_node(other, NodeKind::duct);
  other.elements.back().to = second.from;
  other.elements.back().numbers[length] *= share;
  second.numbers[length] *= 1.0 - share;
  other.elements.push_back(second);
  assert_same(state_of(plain), state_of(other), plain.elements.size(), plain.nodes.size(), 3e-6);
}

/// Both side by side, the second one's nodes and elements behind those of the first.
Network side_by_side(const Network& one, const Network& other) {
  Network both = one;
  const int shift = static_cast<int>(one.nodes.size());
  for (Node node : other.nodes) {
    node.name += "_other";
    both.nodes.push_back(node);
  }
  for (Element element : other.elements) {
    element.name += "_other";
    element.from += shift;
    element.to += shift;
    both.elements.push_back(element);
  }
  return both;
}

// Whatever joins two equal pressures carries nothing, and taking it away changes nothing.
RC_GTEST_PROP(NetworkProperties, BridgeBetweenTwinsCarriesNothing, ()) {
  const Network plain = any_network(air_of_a_car());
  Network both = side_by_side(plain, plain);
  const int at = any_node(plain);
  add_branch(both, at, at + static_cast<int>(plain.nodes.size()), rising_kinds());
  const cooling::Solution one = state_of(plain);
  const cooling::Solution two = state_of(both);
  assert_same(one, two, plain.elements.size(), plain.nodes.size());
  for (std::size_t e = 0; e < plain.elements.size(); ++e) {
    const double twin = two.elements[plain.elements.size() + e].flow;
    RC_ASSERT(std::abs(twin - one.elements[e].flow) <= same_share * testing::largest_flow(one));
  }
}

RC_GTEST_PROP(NetworkProperties, NetworksAtOneGivenPressureDoNotFeelEachOther, ()) {
  const Network plain = any_network(air_of_a_car());
  const Network second = any_network(air_of_a_car());
  Network both = side_by_side(plain, second);
  // What left the second one at its own node of pressure 0 leaves at the first one's.
  const int own = static_cast<int>(plain.nodes.size()) + 1;
  for (Element& element : both.elements) {
    if (element.from == own) element.from = 1;
    if (element.to == own) element.to = 1;
  }
  assert_same(state_of(plain), state_of(both), plain.elements.size(), plain.nodes.size());
}

RC_GTEST_PROP(NetworkProperties, NodeHeldAtItsPressureChangesNothing, ()) {
  const Network plain = any_network(air_of_a_car());
  const cooling::Solution before = state_of(plain);
  Network other = plain;
  Node& node = other.nodes[*rc::gen::inRange<std::size_t>(2, plain.nodes.size())];
  node.holds_pressure = true;
  node.total_pressure = before.nodes[static_cast<std::size_t>(&node - other.nodes.data())].total_pressure;
  assert_same(before, state_of(other), plain.elements.size(), plain.nodes.size());
}

RC_GTEST_PROP(NetworkProperties, MorePressureAtOneEndLowersNone, ()) {
  const Network plain = any_network(air_of_a_car());
  Network other = plain;
  other.nodes[0].total_pressure += any_between(100.0, 1.0, 2000.0);
  const cooling::Solution before = state_of(plain);
  const cooling::Solution behind = state_of(other);
  const double limit = same_share * behind.nodes[0].total_pressure;
  for (std::size_t n = 0; n < plain.nodes.size(); ++n) {
    RC_LOG() << plain.nodes[n].name << ": " << before.nodes[n].total_pressure << " and "
             << behind.nodes[n].total_pressure << "\n";
    RC_ASSERT(behind.nodes[n].total_pressure >= before.nodes[n].total_pressure - limit);
  }
}

/// What a node gives to its elements, kg/s.
double flow_from(const Network& net, const cooling::Solution& solution, int node) {
  double sum = 0.0;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    if (net.elements[e].from == node) sum += solution.elements[e].flow;
    if (net.elements[e].to == node) sum -= solution.elements[e].flow;
  }
  return sum;
}

// Squares in air that pressure cannot squeeze: where laws of several powers stand together, more resistance
// in a bridge may give a trace more flow (Calvert & Keady 1993, J. Austral. Math. Soc. B 35:1, from memory).
RC_GTEST_PROP(NetworkProperties, MoreResistanceNeverGivesMoreFlow, ()) {
  Network plain = any_network(testing::stiff_air(1.2, 40.0), {losses::find_kind("loss")});
  const int from = any_node(plain);
  const int to = another_node(plain, from);
  const Kind& loss = *losses::find_kind("loss");
  plain.elements.push_back(any_element(loss, "loss", from, to));
  Network other = plain;
  other.elements.back().numbers[losses::find_key(loss, "loss")] *= any_between(2.0, 1.0, 100.0);
  const double before = flow_from(plain, state_of(plain), 0);
  const double behind = flow_from(other, state_of(other), 0);
  RC_LOG() << before << " and " << behind << " kg/s\n";
  RC_ASSERT(behind <= before + same_share * before);
}

// The linearized network is symmetric: flow at one end by pressure at another, and the other way round. In
// air that pressure cannot squeeze, by central differences of solved states.
RC_GTEST_PROP(NetworkProperties, InfluencesAreMutual, ()) {
  Network plain = any_network(testing::stiff_air(1.2, 40.0));
  const int third = add_node(plain, NodeKind::fixed_pressure);
  plain.nodes.back().temperature = plain.outside.total_temperature;
  plain.nodes.back().total_pressure = any_between(400.0, -1000.0, 4000.0);
  add_branch(plain, third, another_node(plain, third), rising_kinds());
  const double step = 1e-5 * plain.nodes[0].total_pressure;
  const auto influence = [&](int on, int of) {
    Network moved = plain;
    double& pressure = moved.nodes[static_cast<std::size_t>(of)].total_pressure;
    pressure += step;
    const double above = flow_from(moved, state_of(moved), on);
    pressure -= 2.0 * step;
    return (above - flow_from(moved, state_of(moved), on)) / (2.0 * step);
  };
  const double one = influence(0, third);
  const double other = influence(third, 0);
  RC_LOG() << one << " and " << other << "\n";
  RC_ASSERT(std::abs(one - other) <= 1e-3 * std::max(std::abs(one), std::abs(other)) + 1e-12);
}

RC_GTEST_PROP(NetworkProperties, PowerOfTheEndsIsSpentInTheBranches, ()) {
  const Network plain = any_network(air_of_a_car());
  const cooling::Solution solution = state_of(plain);
  double spent = 0.0;
  for (const cooling::ElementState& element : solution.elements) {
    spent += element.flow * element.pressure_loss;
    RC_ASSERT(element.flow * element.pressure_loss >= 0.0);
  }
  const double given = flow_from(plain, solution, 0) * solution.nodes[0].total_pressure +
                       flow_from(plain, solution, 1) * solution.nodes[1].total_pressure;
  RC_LOG() << spent << " and " << given << "\n";
  RC_ASSERT(std::abs(spent - given) <= 1e-9 * std::abs(given));
}

// Squares in air that pressure cannot squeeze: c^2 times the pressures is c times the flow, up to the
// rounding of velocities over 1 mm/s.
RC_GTEST_PROP(NetworkProperties, SquareLawsScale, ()) {
  const Network plain = any_network(testing::stiff_air(1.2, 40.0), {losses::find_kind("loss")});
  Network other = plain;
  const double factor = any_between(2.0, 1.0, 3.0);
  for (Node& node : other.nodes) node.total_pressure *= factor * factor;
  const cooling::Solution before = state_of(plain);
  const cooling::Solution behind = state_of(other);
  for (std::size_t e = 0; e < plain.elements.size(); ++e) {
    RC_LOG() << before.elements[e].flow << " and " << behind.elements[e].flow << "\n";
    RC_ASSERT(std::abs(behind.elements[e].flow - factor * before.elements[e].flow) <=
              2.7e-5 * testing::largest_flow(behind));
  }
}

}  // namespace
}  // namespace corefeed::network
