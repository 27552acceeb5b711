// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <initializer_list>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/losses/kind.hpp"
#include "corefeed/network/assembly.hpp"
#include "corefeed/network/network.hpp"
#include "corefeed/network/solver.hpp"

/// Networks made in code from key names, as a model file would make them.
namespace corefeed::network::testing {

using Given = std::initializer_list<std::pair<std::string_view, double>>;

/// Dry air at 1 bar and 300 K around a car of this speed.
inline losses::Surroundings dry_air(double speed) {
  return losses::surroundings_of({.gas_constant = 287.055, .heat_capacity = 1006.0}, 1e5, 300.0, speed, 0.0);
}

/// Air of the given density that pressure cannot squeeze: 1e9 Pa of ambient pressure and a gas constant to
/// match. A kilopascal then moves the density by one part in a million, so sums done by hand with a constant
/// density hold to the digits they are printed with.
inline losses::Surroundings stiff_air(double density, double speed) {
  constexpr double pressure = 1e9;
  constexpr double temperature = 300.0;
  const double constant = pressure / (density * temperature);
  return losses::surroundings_of({.gas_constant = constant, .heat_capacity = 3.5 * constant}, pressure,
                                 temperature, speed, 0.0);
}

class Builder {
 public:
  explicit Builder(const losses::Surroundings& outside) { network_.outside = outside; }

  Builder& fixed(std::string name, double gauge_pressure, double temperature = 300.0) {
    network_.nodes.push_back({std::move(name), NodeKind::fixed_pressure, gauge_pressure, temperature});
    return *this;
  }

  Builder& plenum(std::string name) {
    network_.nodes.push_back({std::move(name), NodeKind::plenum});
    return *this;
  }

  /// An end that is not known yet becomes a duct node; "" is the outside.
  Builder& add(std::string name, std::string_view kind, const std::string& from, const std::string& to,
               Given given) {
    Element element;
    element.name = std::move(name);
    element.kind = losses::find_kind(kind);
    EXPECT_NE(element.kind, nullptr) << kind;
    element.from = node(from);
    element.to = node(to);
    for (const losses::Key& key : element.kind->keys) element.numbers.push_back(key.standard);
    for (const auto& [key, number] : given) {
      const std::size_t place = losses::find_key(*element.kind, key);
      EXPECT_NE(place, losses::npos) << key;
      element.numbers.at(place) = number;
      element.given |= std::uint64_t{1} << place;
    }
    network_.elements.push_back(std::move(element));
    return *this;
  }

  Network& network() { return network_; }

 private:
  int node(const std::string& name) {
    if (name.empty()) return none;
    auto& nodes = network_.nodes;
    const auto found =
        std::find_if(nodes.begin(), nodes.end(), [&](const Node& one) { return one.name == name; });
    if (found != nodes.end()) return static_cast<int>(found - nodes.begin());
    nodes.push_back({name});
    return static_cast<int>(nodes.size()) - 1;
  }

  Network network_;
};

/// A network, its equations and where Newton ended, read by name.
struct Outcome {
  Assembly assembly;
  Solved solved;

  const System& system() const { return assembly.system; }
  double unknown(std::string_view name) const {
    const auto& unknowns = assembly.system.unknowns();
    for (std::size_t j = 0; j < unknowns.size(); ++j) {
      if (unknowns[j].name == name) return solved.x[j];
    }
    ADD_FAILURE() << "no unknown " << name;
    return 0.0;
  }
  double flow(const std::string& element) const { return unknown(element + ".flow"); }
  double pressure(const std::string& node) const { return unknown(node + ".total_pressure"); }
  double temperature(const std::string& node) const { return unknown(node + ".temperature"); }
};

inline std::vector<double> starts(const System& system) {
  std::vector<double> x;
  for (const Unknown& unknown : system.unknowns()) x.push_back(unknown.start);
  return x;
}

inline Outcome solve_network(Network network, const SolveOptions& options = {}) {
  connect_neighbors(network);
  Outcome outcome{assemble(std::make_shared<const Network>(std::move(network))), {}};
  outcome.solved = solve(outcome.assembly.system, starts(outcome.assembly.system), options);
  return outcome;
}

/// The same, for networks that have to converge.
inline Outcome solved_network(Network network) {
  Outcome outcome = solve_network(std::move(network));
  EXPECT_TRUE(outcome.solved.converged()) << explain(outcome.solved);
  return outcome;
}

}  // namespace corefeed::network::testing
