// SPDX-License-Identifier: Apache-2.0
#include "tests/fuzz/nested_roots.hpp"

// Boost.Math 1.74 needs the C header first.
#include <math.h>

#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cmath>

#include "corefeed/losses/law.hpp"
#include "corefeed/network/certificate.hpp"

namespace corefeed::fuzz {
namespace {

using network::Element;
using network::Network;
using network::none;

constexpr double largest_flow = 1e3;      // kg/s
constexpr double largest_pressure = 1e5;  // Pa
constexpr std::size_t most_free = 2;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Root of a function that rises (or falls) from end to end, to the last digits; nothing without a change of
/// sign.
template <class Function>
std::optional<double> root(const Function& function, double low, double high) {
  const double at_low = function(low);
  const double at_high = function(high);
  if (!std::isfinite(at_low) || !std::isfinite(at_high)) return std::nullopt;
  if (at_low == 0.0) return low;
  if (at_high == 0.0) return high;
  if ((at_low < 0.0) == (at_high < 0.0)) return std::nullopt;
  std::uintmax_t steps = 200;
  const auto close = [](double a, double b) {
    return std::abs(a - b) <= 1e-15 * std::max(std::abs(a), std::abs(b)) || std::abs(a - b) < 1e-18;
  };
  const auto [from, to] =
      boost::math::tools::toms748_solve(function, low, high, at_low, at_high, close, steps);
  return 0.5 * (from + to);
}

/// What is left of the pressures at the ends when the law has taken its loss at this flow.
double rest(const Network& network, const std::vector<double>& pressures, const Element& element,
            double flow) {
  losses::Input<double> in;
  const double warm = network.outside.total_temperature;
  in.outside = &network.outside;
  in.mass_flow = flow;
  in.temperature_from = in.temperature_to = in.temperature_out = warm;
  if (element.from != none) {
    in.pressure_from = pressures[at(element.from)];
    in.from_plenum = network.nodes[at(element.from)].kind == network::NodeKind::plenum;
  }
  if (element.to != none) {
    in.pressure_to = pressures[at(element.to)];
    in.to_plenum = network.nodes[at(element.to)].kind == network::NodeKind::plenum;
  }
  in.value = element.numbers.data();
  in.given = element.given;
  in.fan_state = element.fan_state;
  in.curves = element.curves.empty() ? nullptr : element.curves.data();
  losses::Terms<double> terms;
  element.kind->law->value(in, terms);
  const double before = element.from == none ? terms.boundary : in.pressure_from;
  const double behind = element.to == none ? terms.boundary : in.pressure_to;
  return before - behind - terms.pressure_loss();
}

class Nested {
 public:
  explicit Nested(const Network& network) : net_(network), pressure_(network.nodes.size()) {
    for (std::size_t n = 0; n < net_.nodes.size(); ++n) {
      const network::Node& node = net_.nodes[n];
      pressure_[n] = node.total_pressure;
      if (node.kind != network::NodeKind::fixed_pressure && !node.holds_pressure) free_.push_back(n);
    }
  }

  std::optional<SecondWay> solve() {
    if (free_.size() > most_free || !fits()) return std::nullopt;
    if (!balance(0)) return std::nullopt;
    std::vector<double> flows;
    for (const Element& element : net_.elements) flows.push_back(flow_of(element).value_or(0.0));
    if (failed_) return std::nullopt;
    return SecondWay{std::move(flows), pressure_};
  }

 private:
  bool fits() const {
    const double warm = net_.outside.total_temperature;
    for (const network::Node& node : net_.nodes)
      if (node.kind == network::NodeKind::fixed_pressure && node.temperature != warm) return false;
    return std::all_of(net_.elements.begin(), net_.elements.end(), [](const Element& element) {
      return network::is_monotone(element) && element.fed_by == none && !element.coupled &&
             element.liquid == none;
    });
  }

  std::optional<double> flow_of(const Element& element) {
    const auto left = [&](double flow) { return rest(net_, pressure_, element, flow); };
    // Most flows are small beside the bound: grow into the bracket.
    for (double bound = 1e-2; bound <= largest_flow; bound *= 100.0) {
      if (const auto flow = root(left, -bound, bound)) return flow;
    }
    failed_ = true;
    return std::nullopt;
  }

  /// Mass that gathers at a node with the pressures as they are.
  double gathered(std::size_t node) {
    double sum = 0.0;
    for (const Element& element : net_.elements) {
      if (element.from != static_cast<int>(node) && element.to != static_cast<int>(node)) continue;
      const double flow = flow_of(element).value_or(0.0);
      sum += element.to == static_cast<int>(node) ? flow : -flow;
    }
    return sum;
  }

  /// Finds the pressures of free nodes from this one on.
  bool balance(std::size_t free) {
    if (free == free_.size()) return true;
    const auto left = [&](double pressure) {
      pressure_[free_[free]] = pressure;
      if (!balance(free + 1)) failed_ = true;
      return failed_ ? 0.0 : gathered(free_[free]);
    };
    for (double bound = 3e3; bound <= largest_pressure && !failed_; bound *= 5.0) {
      if (const auto pressure = root(left, -bound, bound)) {
        left(*pressure);
        return !failed_;
      }
    }
    return false;
  }

  const Network& net_;
  std::vector<double> pressure_;
  std::vector<std::size_t> free_;
  bool failed_ = false;
};

}  // namespace

std::optional<SecondWay> solve_by_nested_roots(const Network& network) { return Nested(network).solve(); }

double left_over(const Network& network, const SecondWay& state, std::size_t element, double flow) {
  return rest(network, state.pressure, network.elements[element], flow);
}

}  // namespace corefeed::fuzz
