// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/losses/curve.hpp"
#include "corefeed/losses/kind.hpp"
#include "corefeed/losses/surroundings.hpp"
#include "corefeed/result.hpp"

/// The graph of nodes and elements as plain data. It knows laws but no file format, and it does not know what
/// a core is: that an element's air leaves heated is an equation which another room adds
/// (`Element::coupled`).
namespace corefeed::network {

enum class NodeKind {
  duct,           ///< total pressure carries through
  plenum,         ///< still air: what arrives loses its head, as each law says
  fixed_pressure  ///< a given total pressure and temperature
};

inline constexpr int none = -1;

struct Node {
  std::string name;
  NodeKind kind = NodeKind::duct;
  double total_pressure = 0;    ///< fixed_pressure: Pa above ambient
  double temperature = 0;       ///< fixed_pressure: K
  int liquid = none;            ///< what it holds, among the network's liquids; none for air
  double heat = 0;              ///< W that enters the liquid here
  bool holds_pressure = false;  ///< at `total_pressure`, whatever its kind; as hot as what arrives
};

struct Element {
  std::string name;
  const losses::Kind* kind = nullptr;
  int from = none;              ///< node; none for an inlet
  int to = none;                ///< node; none for a vent
  std::vector<double> numbers;  ///< SI, by place of the key in `kind->keys`
  std::uint64_t given = 0;      ///< bit i: key i was given
  losses::FanState fan_state = losses::FanState::on;
  int feeds = none;    ///< the core behind this diffuser
  int fed_by = none;   ///< the diffuser before this core, of several the widest
  int sibling = none;  ///< the other leg of this junction
  losses::Leg leg = losses::Leg::straight;
  std::vector<std::shared_ptr<const losses::Curve>> curves;  ///< by place of the key; empty without any
  losses::Values values() const { return {numbers, given, curves}; }
  bool coupled = false;  ///< another room gives the equation of its leaving temperature
  int liquid = none;     ///< what it carries, among the network's liquids; none for air
  bool tubes = false;    ///< another room gives the equation of the loss inside its tubes
};

struct Network {
  std::vector<Node> nodes;
  std::vector<Element> elements;
  losses::Surroundings outside;
  /// The same for several operating points that are solved at once (cooling/batch.hpp); null where there are
  /// none.
  std::shared_ptr<const losses::SeveralSurroundings> outside_of_several;
  std::vector<fluids::Liquid> liquids;  ///< one for each loop
};

/// Finds each diffuser's core where the model does not name it: the only heated element that leaves the
/// diffuser's `to` node; and each such core's diffuser, of several the one with the largest `outlet_area`.
void connect_neighbors(Network& network);

/// What makes the network unsolvable, by names: parts without a way in or out, a part that no fixed pressure
/// or opening holds. Empty when sound. Codes: no_opening, no_outlet, no_inlet, self_loop.
std::vector<Issue> check_topology(const Network& network);

}  // namespace corefeed::network
