// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/loss_free.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <vector>

#include "corefeed/losses/law.hpp"

namespace corefeed::network {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

bool gives_pressure(const Node& node) { return node.kind == NodeKind::fixed_pressure || node.holds_pressure; }

/// Area of the first key that is one, or of a small duct.
double area_of(const Element& element) {
  for (const char* name : {"area", "face_area", "inlet_area"}) {
    const std::size_t key = losses::find_key(*element.kind, name);
    if (key != losses::npos && (element.given >> key & 1U) != 0) return element.numbers[key];
  }
  return 0.01;
}

/// Loss at this flow, between nodes at ambient pressure.
double loss_at(const Network& network, const Element& element, double flow) {
  losses::Input<double> in;
  in.outside = &network.outside;
  in.mass_flow = flow;
  in.temperature_from = in.temperature_to = in.temperature_out = network.outside.total_temperature;
  in.from_plenum = network.nodes[at(element.from)].kind == NodeKind::plenum;
  in.to_plenum = network.nodes[at(element.to)].kind == NodeKind::plenum;
  if (element.liquid != none) in.liquid = &network.liquids[at(element.liquid)];
  in.value = element.numbers.data();
  in.given = element.given;
  in.fan_state = element.fan_state;
  in.curves = element.curves.empty() ? nullptr : element.curves.data();
  losses::Terms<double> terms(true);
  element.kind->law->value(in, terms);
  return terms.pressure_loss();
}

/// The loss-free elements as a forest over the nodes.
class Forest {
 public:
  explicit Forest(std::size_t nodes) : to_(nodes), root_(nodes) {
    std::iota(root_.begin(), root_.end(), std::size_t{0});
  }

  bool joined(std::size_t a, std::size_t b) const { return root_[a] == root_[b]; }

  void join(const Element& element) {
    const std::size_t a = at(element.from);
    const std::size_t b = at(element.to);
    to_[a].push_back({b, element.name});
    to_[b].push_back({a, element.name});
    const std::size_t old = root_[b];
    std::replace(root_.begin(), root_.end(), old, root_[a]);
  }

  /// The elements from one joined node to the other.
  std::vector<std::string> path(std::size_t from, std::size_t to) const {
    std::vector<std::string> names;
    find(from, to, from, names);
    return names;
  }

 private:
  struct Way {
    std::size_t node;
    std::string name;
  };

  bool find(std::size_t here, std::size_t wanted, std::size_t came, std::vector<std::string>& names) const {
    if (here == wanted) return true;
    for (const Way& way : to_[here]) {
      if (way.node == came) continue;
      names.push_back(way.name);
      if (find(way.node, wanted, here, names)) return true;
      names.pop_back();
    }
    return false;
  }

  std::vector<std::vector<Way>> to_;
  std::vector<std::size_t> root_;
};

std::string words_of(const std::vector<std::string>& elements) {
  return fmt::format("{} {} no loss", fmt::join(elements, ", "), elements.size() == 1 ? "has" : "have");
}

/// What a path without loss between two given pressures means.
std::string between(const Node& one, const Node& other, const std::vector<std::string>& elements) {
  const std::string held =
      fmt::format("{} between {}, held at {:.6g} Pa, and {}, held at {:.6g} Pa", words_of(elements), one.name,
                  one.total_pressure, other.name, other.total_pressure);
  if (one.total_pressure != other.total_pressure) {
    return fmt::format("no steady state: {}, so no flow has these pressures", held);
  }
  return fmt::format("the flow is not determined: {}, so any flow has these pressures", held);
}

}  // namespace

bool is_loss_free(const Network& network, const Element& element) {
  constexpr double next_to_nothing = 1e-9;
  const bool alone = element.feeds == none && element.sibling == none && !element.tubes;
  if (element.from == none || element.to == none || !alone) return false;
  const double density = element.liquid == none
                             ? network.outside.density
                             : network.liquids[at(element.liquid)].density(network.outside.total_temperature);
  constexpr std::array<double, 4> velocities{1.0, 10.0, -1.0, -10.0};
  return std::all_of(velocities.begin(), velocities.end(), [&](double velocity) {
    const double loss = loss_at(network, element, density * area_of(element) * velocity);
    return std::abs(loss) < next_to_nothing * 0.5 * density * velocity * velocity;
  });
}

std::string loss_free_fault(const Network& network) {
  Forest forest(network.nodes.size());
  for (const Element& element : network.elements) {
    if (!is_loss_free(network, element)) continue;
    const std::size_t from = at(element.from);
    const std::size_t to = at(element.to);
    if (forest.joined(from, to)) {
      std::vector<std::string> ring = forest.path(from, to);
      ring.push_back(element.name);
      return fmt::format("the flow is not determined: {} and form a ring, around which any flow may go",
                         words_of(ring));
    }
    forest.join(element);
  }
  for (std::size_t a = 0; a < network.nodes.size(); ++a) {
    for (std::size_t b = a + 1; b < network.nodes.size(); ++b) {
      const bool both = gives_pressure(network.nodes[a]) && gives_pressure(network.nodes[b]);
      if (both && forest.joined(a, b)) {
        return between(network.nodes[a], network.nodes[b], forest.path(a, b));
      }
    }
  }
  return "";
}

}  // namespace corefeed::network
