// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/certificate.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::Outcome;
using testing::solved_network;

/// A nose that feeds two ways to a bay with a vent, and a warm box that leaks into it.
Network car() {
  Builder builder(dry_air(40.0));
  builder.fixed("box", 100.0, 340.0).plenum("bay");
  builder.add("nose", "inlet", "", "face", {{"area", 0.04}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("straight", "loss", "face", "bay", {{"area", 0.02}, {"loss", 3.0}});
  builder.add("round", "loss", "face", "corner", {{"area", 0.02}, {"loss", 1.0}});
  builder.add("corner_grid", "loss", "corner", "bay", {{"area", 0.03}, {"loss", 2.0}});
  builder.add("crack", "leak", "box", "bay", {{"area", 0.001}});
  builder.add("hole", "vent", "bay", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  return builder.network();
}

struct Case {
  Network network;
  FlowState state;
};

Case solved_car() {
  const Outcome outcome = solved_network(car());
  Case made{*outcome.assembly.network, {}};
  for (const Element& element : made.network.elements) made.state.flow.push_back(outcome.flow(element.name));
  for (const Node& node : made.network.nodes) {
    made.state.pressure.push_back(outcome.pressure(node.name));
    made.state.temperature.push_back(outcome.temperature(node.name));
  }
  made.state.leaving.assign(made.network.elements.size(), 0.0);
  return made;
}

std::size_t node_of(const Network& network, std::string_view name) {
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    if (network.nodes[n].name == name) return n;
  }
  ADD_FAILURE() << name;
  return 0;
}

TEST(Certificate, SolvedCarIsCertified) {
  const Case one = solved_car();
  const Certificate certificate = certify(one.network, one.state);
  EXPECT_TRUE(certificate.met()) << certificate.words();
  EXPECT_NE(certificate.words().find("all balances close"), std::string::npos) << certificate.words();
  // The largest flow: what comes in by the nose; some of it leaves through the crack.
  EXPECT_NEAR(certificate.mass.scale, one.state.flow[0], 1e-12);
}

TEST(Certificate, LostAirIsNamedAtItsNode) {
  Case one = solved_car();
  one.state.flow[2] +=
      1e-6;  // what goes round is a milligram a second more than what comes out of the corner
  one.state.flow[0] += 1e-6;
  const Certificate certificate = certify(one.network, one.state);
  EXPECT_FALSE(certificate.met());
  EXPECT_EQ(certificate.mass.place, "corner");
  EXPECT_NEAR(certificate.mass.worst * certificate.mass.scale, 1e-6, 1e-12);
}

TEST(Certificate, FlowsOfTheWrongSplitDoNotClosePressure) {
  Case one = solved_car();
  // Mass balances keep, but straight and round no longer lose the same.
  one.state.flow[1] += 1e-4;
  one.state.flow[2] -= 1e-4;
  one.state.flow[3] -= 1e-4;
  const Certificate certificate = certify(one.network, one.state);
  EXPECT_LE(certificate.mass.worst, 1e-12);
  EXPECT_GT(certificate.pressure.worst, 1e-6);
  EXPECT_NE(certificate.pressure.place.find("straight"), std::string::npos) << certificate.pressure.place;
  EXPECT_NE(certificate.words().find("a balance closes only to"), std::string::npos) << certificate.words();
}

TEST(Certificate, PressureOfOneNodeIsHeldAgainstThePathToIt) {
  Case one = solved_car();
  one.state.pressure[node_of(one.network, "corner")] += 0.01;
  EXPECT_GT(certify(one.network, one.state).pressure.worst, 1e-6);
}

TEST(Certificate, HeatThatComesFromNowhereIsNamed) {
  Case one = solved_car();
  one.state.temperature[node_of(one.network, "bay")] += 0.01;
  const Certificate certificate = certify(one.network, one.state);
  EXPECT_GT(certificate.energy.worst, 1e-6);
  EXPECT_EQ(certificate.energy.place, "bay");
}

TEST(Certificate, NotANumberIsNeverMet) {
  Case one = solved_car();
  one.state.pressure[node_of(one.network, "bay")] = std::nan("");
  EXPECT_FALSE(certify(one.network, one.state).met());
}

TEST(Balance, ResidualWithoutANumberIsTheWorst) {
  Balance balance;
  balance.scale = 1.0;
  balance.note(1e-12, "small");
  balance.note(std::nan(""), "lost");
  EXPECT_EQ(balance.worst, std::numeric_limits<double>::infinity());
  EXPECT_EQ(balance.place, "lost");
}

// A core that nothing heats passes on what comes: by another temperature of its stream heat comes from
// nowhere, and the core is named before the node behind it.
TEST(Certificate, AStreamKeepsItsTemperatureWhereNothingHeatsIt) {
  Builder builder(dry_air(40.0));
  builder.add("nose", "inlet", "", "front", {{"area", 0.04}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("radiator", "core", "front", "bay",
              {{"face_area", 0.12}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("hole", "vent", "bay", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  const Outcome outcome = solved_network(builder.network());
  const Network& network = *outcome.assembly.network;
  FlowState state;
  for (const Element& element : network.elements) state.flow.push_back(outcome.flow(element.name));
  for (const Node& node : network.nodes) {
    state.pressure.push_back(outcome.pressure(node.name));
    state.temperature.push_back(outcome.temperature(node.name));
  }
  state.leaving.assign(3, network.outside.total_temperature);
  state.tube_loss.assign(3, 0.0);
  EXPECT_TRUE(certify(network, state).met()) << certify(network, state).words();
  state.leaving[1] += 5.0;
  const Certificate certificate = certify(network, state);
  EXPECT_FALSE(certificate.met());
  EXPECT_EQ(certificate.energy.place, "radiator");
}

// A leg's loss follows the flow of the other leg: nothing is proved of it by itself.
TEST(Certificate, ALegOfAJunctionIsNotCalledMonotone) {
  Element leg;
  leg.kind = losses::find_kind("loss");
  EXPECT_TRUE(is_monotone(leg));
  leg.sibling = 1;
  EXPECT_FALSE(is_monotone(leg));
}

TEST(Certificate, SaysWhatIsProvedOfUniqueness) {
  const Case warm = solved_car();
  EXPECT_EQ(certify(warm.network, warm.state).uniqueness, Uniqueness::proved_at_temperatures);
  Case cold = solved_car();
  cold.network.nodes[node_of(cold.network, "box")].temperature = cold.network.outside.total_temperature;
  EXPECT_EQ(certify(cold.network, cold.state).uniqueness, Uniqueness::proved);
  EXPECT_EQ(certify(cold.network, cold.state).uniqueness_words(), "unique");
}

TEST(Certificate, DiffuserThatReadsItsCoreTakesTheProofAway) {
  Builder builder(dry_air(40.0));
  builder.add("nose", "inlet", "", "face", {{"area", 0.04}, {"cp", 0.9}, {"recovery", 0.95}});
  builder.add("widening", "diffuser", "face", "front",
              {{"inlet_area", 0.04}, {"outlet_area", 0.12}, {"expansion_loss", 0.8}});
  builder.add("radiator", "core", "front", "bay",
              {{"face_area", 0.12}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}});
  builder.add("hole", "vent", "bay", "", {{"area", 0.05}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  Network network = builder.network();
  connect_neighbors(network);
  const FlowState state{std::vector<double>(4, 0.1), std::vector<double>(3, 0.0),
                        std::vector<double>(3, 300.0), std::vector<double>(4, 300.0),
                        std::vector<double>(4, 0.0)};
  const Certificate certificate = certify(network, state);
  EXPECT_EQ(certificate.uniqueness, Uniqueness::not_proved);
  EXPECT_EQ(certificate.in_doubt, std::vector<std::string>{"widening"});
  EXPECT_NE(certificate.uniqueness_words().find("uniqueness not proved"), std::string::npos);
}

}  // namespace
}  // namespace corefeed::network
