// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/network_graph.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "corefeed/reports/network_picture.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using testing::changed;
using testing::solved;
using testing::Solved;

const NetworkStream& stream(const NetworkGraph& graph, const std::string& box, const std::string& dot) {
  const auto found = std::find_if(graph.streams.begin(), graph.streams.end(), [&](const NetworkStream& one) {
    return graph.boxes[one.box].name == box && graph.dots[one.dot].name == dot;
  });
  EXPECT_NE(found, graph.streams.end()) << box << " at " << dot;
  return *found;
}

NetworkGraph graph_of(const Solved& one) { return network_graph(one.model, one.study.points.front(), ""); }

TEST(NetworkGraph, RunsFromInletsToVents) {
  const Solved one = solved();
  const NetworkGraph graph = graph_of(one);
  ASSERT_EQ(graph.boxes.size(), 4u);
  EXPECT_EQ(graph.dots.size(), 3u);
  const double flow = one.study.points.front().solution.value("radiator.flow").value();
  for (const NetworkStream& each : graph.streams) {
    EXPECT_NEAR(each.flow, flow, 1e-9 * flow) << graph.boxes[each.box].name;
    EXPECT_FALSE(each.backward || each.reversed);
  }
  EXPECT_FALSE(stream(graph, "mouth", "front").into_box);
  EXPECT_TRUE(stream(graph, "radiator", "face").into_box);
  EXPECT_TRUE(graph.boxes.back().last);
  EXPECT_EQ(graph.boxes[2].kind, "core");
}

/// A hole whose `from` lies behind the core: its air runs backwards through it, from the higher pressure.
TEST(NetworkGraph, AStreamAgainstItsElementIsReversed) {
  const Solved one =
      solved(changed(R"("outlet":)",
                     R"("hole": {"kind": "orifice", "from": "bay", "to": "room", "area": "40 cm2"},
         "scoop": {"kind": "inlet", "to": "room", "area": "200 cm2", "cp": 0.9},
         "outlet":)"));
  const NetworkGraph graph = graph_of(one);
  const auto hole = std::find_if(graph.boxes.begin(), graph.boxes.end(),
                                 [](const NetworkBox& box) { return box.name == "hole"; });
  ASSERT_NE(hole, graph.boxes.end());
  EXPECT_TRUE(hole->reversed);
  EXPECT_TRUE(stream(graph, "hole", "room").reversed);
  EXPECT_NE(network_picture(one.model, one.study.points.front(), "").find(" reversed<"), std::string::npos);
}

/// A leak from the bay back to the face: both its nodes keep their sides, and it runs from right to left.
TEST(NetworkGraph, WhatLeadsBackRunsFromRightToLeft) {
  std::string text = changed(R"("outlet":)",
                             R"("back": {"kind": "orifice", "from": "bay", "to": "face", "area": "10 cm2"},
         "outlet":)");
  const std::string nodes = R"("nodes": {"bay")";
  text.replace(text.find(nodes), nodes.size(), R"("nodes": {"face": {"kind": "plenum"}, "bay")");
  const Solved one = solved(text);
  const NetworkGraph graph = graph_of(one);
  const NetworkStream& leaves = stream(graph, "back", "face");
  EXPECT_TRUE(leaves.backward);
  EXPECT_TRUE(leaves.into_box);  // the face stands on its left
  EXPECT_FALSE(stream(graph, "back", "bay").into_box);
  // The pressure at the face is the higher one: the stream is reversed too, and so runs to the right.
  EXPECT_TRUE(leaves.reversed);
  EXPECT_GT(leaves.flow, 0.0);
}

TEST(NetworkGraph, AnOpeningIsNoNode) {
  const std::string picture = network_picture(solved().model, solved().study.points.front(), "");
  EXPECT_NE(picture.find(">radiator</text>"), std::string::npos);
  EXPECT_NE(picture.find("kg/s</text>"), std::string::npos);
  EXPECT_EQ(network_picture(solved().model, solved().study.points.front(), "coolant"), "");
}

}  // namespace
}  // namespace corefeed::reports
