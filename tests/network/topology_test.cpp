// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/network/build.hpp"

namespace corefeed::network {
namespace {

using testing::Builder;
using testing::dry_air;
using testing::Given;

const Given plain = {{"area", 0.01}, {"loss", 1.0}};
const Given nose = {{"area", 0.02}, {"cp", 0.9}, {"recovery", 0.95}};
const Given hole = {{"area", 0.03}, {"cp", -0.2}, {"discharge_coefficient", 0.62}};

std::vector<std::string> codes(const std::vector<Issue>& issues) {
  std::vector<std::string> list;
  for (const Issue& issue : issues) list.push_back(issue.code);
  return list;
}

TEST(Topology, SoundCarHasNothingToSay) {
  Builder car(dry_air(40.0));
  car.add("nose", "inlet", "", "front", nose).add("grid", "loss", "front", "bay", plain);
  car.add("hole", "vent", "bay", "", hole);
  EXPECT_TRUE(check_topology(car.network()).empty());
}

TEST(Topology, TwoVentsMayServeAsInletAndOutlet) {
  Builder car(dry_air(40.0));
  car.add("one", "vent", "bay", "", hole).add("two", "vent", "bay", "", hole);
  EXPECT_TRUE(check_topology(car.network()).empty());
}

TEST(Topology, PartWithoutWayOutsideIsNamed) {
  Builder car(dry_air(40.0));
  car.add("nose", "inlet", "", "front", nose).add("hole", "vent", "front", "", hole);
  car.add("lost", "loss", "cellar", "attic", plain);
  const std::vector<Issue> issues = check_topology(car.network());
  ASSERT_EQ(codes(issues), std::vector<std::string>{"no_opening"});
  EXPECT_NE(issues[0].text.find("cellar"), std::string::npos) << issues[0].text;
  EXPECT_NE(issues[0].text.find("attic"), std::string::npos) << issues[0].text;
  EXPECT_EQ(issues[0].text.find("front"), std::string::npos) << issues[0].text;
}

TEST(Topology, AirThatCannotLeaveIsNamed) {
  Builder car(dry_air(40.0));
  car.add("nose", "inlet", "", "front", nose).add("grid", "loss", "front", "bay", plain);
  const std::vector<Issue> issues = check_topology(car.network());
  ASSERT_EQ(codes(issues), std::vector<std::string>{"no_outlet"});
  EXPECT_NE(issues[0].text.find("front"), std::string::npos) << issues[0].text;
  EXPECT_NE(issues[0].text.find("bay"), std::string::npos) << issues[0].text;
  EXPECT_NE(issues[0].text.find("add a vent"), std::string::npos) << issues[0].text;
}

TEST(Topology, SingleVentIsNamed) {
  Builder car(dry_air(40.0));
  car.add("grid", "loss", "front", "bay", plain).add("hole", "vent", "bay", "", hole);
  const std::vector<Issue> issues = check_topology(car.network());
  ASSERT_EQ(codes(issues), std::vector<std::string>{"no_inlet"});
  EXPECT_NE(issues[0].text.find("bay"), std::string::npos) << issues[0].text;
}

TEST(Topology, FixedPressureServesAsInletAndOutlet) {
  Builder rig(dry_air(0.0));
  rig.fixed("fan_box", 300.0)
      .add("grid", "loss", "fan_box", "room", plain)
      .add("hole", "vent", "room", "", hole);
  EXPECT_TRUE(check_topology(rig.network()).empty());
}

TEST(Topology, LoopOnOneNodeIsNamed) {
  Builder car(dry_air(40.0));
  car.add("nose", "inlet", "", "front", nose).add("hole", "vent", "front", "", hole);
  car.add("ring", "loss", "front", "front", plain);
  const std::vector<Issue> issues = check_topology(car.network());
  ASSERT_EQ(codes(issues), std::vector<std::string>{"self_loop"});
  EXPECT_NE(issues[0].text.find("\"ring\""), std::string::npos) << issues[0].text;
  EXPECT_NE(issues[0].text.find("\"front\""), std::string::npos) << issues[0].text;
}

TEST(Topology, EachFaultOfSeveralPartsIsTold) {
  Builder car(dry_air(40.0));
  car.add("nose", "inlet", "", "front", nose);
  car.add("hole", "vent", "rear", "", hole);
  car.add("lost", "loss", "cellar", "attic", plain);
  EXPECT_EQ(codes(check_topology(car.network())),
            (std::vector<std::string>{"no_outlet", "no_inlet", "no_opening"}));
}

TEST(Topology, LongListsOfNodesAreCut) {
  Builder car(dry_air(40.0));
  for (int i = 0; i < 14; ++i) {
    car.add(fmt::format("link_{}", i), "loss", fmt::format("room_{}", i), fmt::format("room_{}", i + 1),
            plain);
  }
  const std::vector<Issue> issues = check_topology(car.network());
  ASSERT_EQ(issues.size(), 1u);
  EXPECT_NE(issues[0].text.find("and 5 more"), std::string::npos) << issues[0].text;
}

TEST(Topology, DiffuserFindsTheOnlyCoreBehindIt) {
  Builder car(dry_air(40.0));
  const Given face = {{"face_area", 0.15}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}};
  car.add("cone", "diffuser", "front", "face", {{"inlet_area", 0.04}, {"outlet_area", 0.15}, {"angle", 0.3}});
  car.add("radiator", "core", "face", "bay", face);
  connect_neighbors(car.network());
  EXPECT_EQ(car.network().elements[0].feeds, 1);
  EXPECT_EQ(car.network().elements[1].fed_by, 0);
}

TEST(Topology, DiffuserBeforeTwoCoresFeedsNeither) {
  Builder car(dry_air(40.0));
  const Given face = {{"face_area", 0.15}, {"air_loss.linear", 24.0}, {"air_loss.quadratic", 6.0}};
  car.add("cone", "diffuser", "front", "face", {{"inlet_area", 0.04}, {"outlet_area", 0.15}, {"angle", 0.3}});
  car.add("radiator", "core", "face", "bay", face).add("cooler", "core", "face", "bay", face);
  connect_neighbors(car.network());
  EXPECT_EQ(car.network().elements[0].feeds, none);
  EXPECT_EQ(car.network().elements[1].fed_by, none);
}

}  // namespace
}  // namespace corefeed::network
