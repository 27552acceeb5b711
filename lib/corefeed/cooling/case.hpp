// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/network/network.hpp"

/// A network of air paths with the liquid loops that its cores cool: one operating point, ready to be solved.
namespace corefeed::cooling {

/// A loop that takes up a heat load: of fixed flow, or a network of its own whose elements and nodes stand in
/// the case's network. Its numbers are parameters like an element's.
struct Loop {
  std::string name;
  fluids::Liquid fluid;
  double flow = 0;             ///< kg/s; not used by a network
  double heat_load = 0;        ///< W
  double heat_load_sigma = 0;  ///< W
  /// K, at which the liquid boils under the pressure of its cap; NaN where that is not known.
  double boiling_temperature = std::numeric_limits<double>::quiet_NaN();
  /// K, of the hottest liquid, where it is known and the heat is asked for; `heat_load` is then a first
  /// guess. Of a loop of fixed flow alone.
  std::optional<double> held_temperature = std::nullopt;
  int liquid = network::none;       ///< place among the network's liquids; none for a loop of fixed flow
  int first = network::none;        ///< the element whose flow is the loop's: a pump or supply
  int heated_node = network::none;  ///< where the heat load enters; none without any
  bool is_network() const { return liquid != network::none; }
};

/// The two sides of a cooler between two liquids.
struct LiquidPair {
  int named_by = network::none;  ///< the element that names the other and says how the two run
  int named = network::none;
};

/// Elements that are one thing to the user: the pieces of a duct in series, the two legs of a junction that
/// share its common port, or the zones of a split core.
struct Path {
  std::string name;
  std::vector<int> elements;  ///< in path order; legs: straight, branch; zones: what they leave, then they
  bool parallel = false;
};

struct Case {
  network::Network network;
  std::vector<Path> paths;
  std::vector<Loop> loops;
  std::vector<int> loop_of;  ///< by element: the loop a core cools, network::none for all else
  /// By element, where the loop is a network: for a core its liquid side, for a liquid side its core.
  std::vector<int> other_side;
  std::vector<LiquidPair> pairs;
  double frontal_area = 0;  ///< m2, of the drag coefficient; 0: not known
};

/// A quantity "NAME.what" that results, requirements, sizes and sweeps share.
struct NamedQuantity {
  std::string name;
  units::Quantity quantity;
};

/// All quantities of a case, in the order of the results; no solution needed.
std::vector<NamedQuantity> quantity_names(const Case& problem);

/// A number the solution knows under a name of the public list ("flow", "temperature", ...).
struct Number {
  std::string_view name;
  units::Quantity quantity;
  double value;
};

/// One part of an element's pressure loss.
struct Item {
  std::string_view name;
  double loss;  ///< Pa
};

struct ElementState {
  double flow = 0;              ///< kg/s, positive from -> to
  double pressure_loss = 0;     ///< Pa, total in minus total out
  std::vector<Item> items;      ///< sum to pressure_loss
  std::vector<Number> numbers;  ///< what else the kind reports
};

struct NodeState {
  double total_pressure = 0;  ///< Pa above ambient
  double temperature = 0;     ///< K, total
};

struct LoopState {
  double temperature = 0;       ///< K, hottest liquid
  double temperature_cold = 0;  ///< K, mixed behind the cores; of a network the coldest liquid
  double flow = 0;              ///< kg/s
  double heat = 0;              ///< W given off in cores and coolers
};

/// A number of an element or loop that the user gave or that stands in a law, as the gradient names it.
struct Parameter {
  enum class Owner { element, loop } owner;
  int index;  ///< element or loop
  /// Place in the kind's keys; loop: 0 flow, 1 heat load or held temperature, 2 factor on the viscosity.
  std::size_t key;
  double derivative;  ///< of the asked quantity, SI
};

}  // namespace corefeed::cooling
