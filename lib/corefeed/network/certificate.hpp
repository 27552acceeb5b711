// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "corefeed/network/network.hpp"

/// A proof of the answer that does not trust the solver: from the flows and the states of the nodes alone, by
/// the laws themselves, it is added up again whether mass, energy and pressure close.
namespace corefeed::network {

/// A solved state as plain numbers.
struct FlowState {
  std::vector<double> flow;         ///< by element, kg/s, positive from -> to
  std::vector<double> pressure;     ///< by node, Pa above ambient
  std::vector<double> temperature;  ///< by node, K
  std::vector<double> leaving;      ///< by element, K: of what leaves it; read of heated kinds alone
  std::vector<double> tube_loss;    ///< by element, Pa: inside its tubes; read of elements with tubes alone
};

/// What is left over of one kind of balance at the place where it closes worst.
struct Balance {
  double worst = 0;   ///< largest residual over `scale`
  double scale = 0;   ///< kg/s, W or Pa
  std::string place;  ///< node, core, loop or the elements of a path; empty where there is nothing to close

  /// Keeps the larger one. `residual` in the unit of the scale; what is not a number counts as infinite.
  void note(double residual, const std::string& where);
};

/// Whether the network can have another state than this one.
enum class Uniqueness {
  proved,                  ///< every loss rises with its flow and all air is equally warm
  proved_at_temperatures,  ///< the same, but only among states with these temperatures
  not_proved               ///< some loss may fall while a flow rises: see `Certificate::in_doubt`
};

struct Certificate {
  /// Relative residual up to which a balance counts as closed.
  static constexpr double limit = 1e-10;

  Balance mass;      ///< at every node; scale: the largest flow
  Balance energy;    ///< at every node, core and loop; scale: the largest stream of heat
  Balance pressure;  ///< around every independent path; scale: the largest pressure in the network
  Uniqueness uniqueness = Uniqueness::not_proved;
  std::vector<std::string> in_doubt;  ///< elements whose loss may fall while a flow rises

  double worst() const;
  bool met() const { return worst() <= limit; }
  /// "all balances close to 3e-13 (pressure, worst along nose, core, vent)".
  std::string words() const;
  /// "unique", "unique at these temperatures" or "uniqueness not proved: fan".
  std::string uniqueness_words() const;
};

/// Whether the loss of this element rises with its own flow whatever the flow is, and reads no other's flow.
bool is_monotone(const Element& element);

/// Adds up mass at the nodes, energy at the nodes and pressure around a basis of cycles: a spanning tree from
/// the outside, and for each other element the path that it closes. Openings and nodes of fixed pressure hang
/// on one outside node. The state must have the sizes of the network; neighbors must have been connected.
Certificate certify(const Network& network, const FlowState& state);

}  // namespace corefeed::network
