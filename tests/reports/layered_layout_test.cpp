// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/layered_layout.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace corefeed::reports {
namespace {

struct Graph {
  std::vector<LayoutVertex> vertices;
  std::vector<LayoutLink> links;
};

/// Links run from lower to higher numbers, so that there is no cycle.
Graph random_graph(unsigned seed) {
  std::mt19937 random(seed);
  const auto up_to = [&random](unsigned most) { return static_cast<std::size_t>(random() % most); };
  Graph graph;
  const std::size_t count = 3 + up_to(15);
  for (std::size_t v = 0; v < count; ++v) {
    graph.vertices.push_back(
        {10.0 + static_cast<double>(up_to(90)), 10.0 + static_cast<double>(up_to(40)), false});
  }
  for (std::size_t v = 1; v < count; ++v) {
    for (std::size_t i = up_to(3) + 1; i > 0; --i) {
      const LayoutLink link{up_to(static_cast<unsigned>(v)), v, 1.0 + static_cast<double>(up_to(14))};
      const bool known = std::any_of(graph.links.begin(), graph.links.end(), [&link](const LayoutLink& one) {
        return one.from == link.from && one.to == link.to;
      });
      if (!known) graph.links.push_back(link);
    }
  }
  return graph;
}

bool overlap(const PlanePoint& a, const LayoutVertex& a_size, const PlanePoint& b,
             const LayoutVertex& b_size) {
  return std::abs(a.first - b.first) < 0.5 * (a_size.width + b_size.width) - 1e-9 &&
         std::abs(a.second - b.second) < 0.5 * (a_size.height + b_size.height) - 1e-9;
}

TEST(LayeredLayout, VerticesNeverOverlapAndStandInThePicture) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    const Graph graph = random_graph(seed);
    const Layout layout = layered_layout(graph.vertices, graph.links);
    for (std::size_t a = 0; a < graph.vertices.size(); ++a) {
      const auto& [x, y] = layout.centers[a];
      EXPECT_GE(x - 0.5 * graph.vertices[a].width, -1e-9) << seed;
      EXPECT_LE(x + 0.5 * graph.vertices[a].width, layout.width + 1e-9) << seed;
      EXPECT_GE(y - 0.5 * graph.vertices[a].height, -1e-9) << seed;
      EXPECT_LE(y + 0.5 * graph.vertices[a].height, layout.height + 1e-9) << seed;
      for (std::size_t b = a + 1; b < graph.vertices.size(); ++b)
        EXPECT_FALSE(overlap(layout.centers[a], graph.vertices[a], layout.centers[b], graph.vertices[b]))
            << seed << ": " << a << " and " << b;
    }
  }
}

/// From the right edge of one to the left edge of the other, never turning back.
TEST(LayeredLayout, LinksRunFromLeftToRightBetweenTheirVertices) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    const Graph graph = random_graph(seed);
    const Layout layout = layered_layout(graph.vertices, graph.links);
    for (std::size_t i = 0; i < graph.links.size(); ++i) {
      const auto& route = layout.routes[i];
      const LayoutLink& link = graph.links[i];
      EXPECT_NEAR(route.front().first,
                  layout.centers[link.from].first + 0.5 * graph.vertices[link.from].width, 1e-9);
      EXPECT_NEAR(route.back().first, layout.centers[link.to].first - 0.5 * graph.vertices[link.to].width,
                  1e-9);
      for (std::size_t k = 1; k < route.size(); ++k)
        EXPECT_GE(route[k].first, route[k - 1].first - 1e-9) << seed << " link " << i;
    }
  }
}

/// Where a long link passes a layer it runs level, at the height of a lane that no vertex there covers.
TEST(LayeredLayout, LongLinksPassBesideVertices) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    const Graph graph = random_graph(seed);
    const Layout layout = layered_layout(graph.vertices, graph.links);
    for (const auto& route : layout.routes) {
      // Its own vertices' layers lie before the second and behind the last but one point.
      for (std::size_t k = 3; k + 2 < route.size(); k += 2) {
        for (std::size_t v = 0; v < graph.vertices.size(); ++v) {
          const auto& [x, y] = layout.centers[v];
          const bool in_layer = x > route[k - 1].first && x < route[k].first;
          EXPECT_FALSE(in_layer && std::abs(route[k].second - y) < 0.5 * graph.vertices[v].height - 1e-9)
              << seed << ": a link runs through " << v;
        }
      }
    }
  }
}

TEST(LayeredLayout, WhatLeavesStandsAtTheRightEdge) {
  // A short and a long way; the end of the short one is to stand beside that of the long one.
  const std::vector<LayoutVertex> vertices{{20, 10, false}, {20, 10, false}, {20, 10, true}, {20, 10, true}};
  const Layout layout = layered_layout(vertices, {{0, 1}, {1, 2}, {0, 3}});
  EXPECT_EQ(layout.centers[3].first, layout.centers[2].first);
}

TEST(LayeredLayout, CrossingsAreSortedOut) {
  // 0 -> 3 and 1 -> 2 cross where each layer keeps its numbers' order.
  const std::vector<LayoutVertex> vertices(4, {20, 10, false});
  const Layout layout = layered_layout(vertices, {{0, 3}, {1, 2}});
  const double first = layout.centers[0].second - layout.centers[1].second;
  const double second = layout.centers[3].second - layout.centers[2].second;
  EXPECT_GT(first * second, 0.0);
}

TEST(LayeredLayout, NothingIsNoPicture) { EXPECT_EQ(layered_layout({}, {}).width, 0.0); }

}  // namespace
}  // namespace corefeed::reports
