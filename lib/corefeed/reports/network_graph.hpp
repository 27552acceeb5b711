// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/studies/study.hpp"

/// What a picture of the network shows: the user's elements and nodes and how the streams run. Private to the
/// room.
namespace corefeed::reports {

struct NetworkBox {
  std::string name;
  std::string flow;  ///< as text
  std::string kind;  ///< class: "core", "opening", "fan", "element"
  bool reversed = false;
  bool last = false;  ///< where the stream leaves
};

struct NetworkDot {
  std::string name;
  network::NodeKind kind = network::NodeKind::duct;
  bool joint = false;  ///< only joins two elements, as a flange does
};

/// From one to another as the picture runs from left to right.
struct NetworkStream {
  std::size_t box = 0;
  std::size_t dot = 0;
  bool into_box = true;   ///< from the dot to the box
  double flow = 0;        ///< kg/s, in the picture's direction
  bool backward = false;  ///< leads back to where the stream came from, so that it runs from right to left
  bool reversed = false;  ///< against the box' `from` and `to`
};

struct NetworkGraph {
  std::vector<NetworkBox> boxes;
  std::vector<NetworkDot> dots;
  std::vector<NetworkStream> streams;
};

/// `loop` as in `network_picture`. Elements that lead back to where their stream came from are turned round,
/// so that the graph has no cycle.
NetworkGraph network_graph(const model::Model& model, const studies::PointResult& point,
                           std::string_view loop);

}  // namespace corefeed::reports
