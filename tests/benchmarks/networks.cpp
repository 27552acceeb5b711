// SPDX-License-Identifier: Apache-2.0
#include "tests/benchmarks/networks.hpp"

#include <cassert>
#include <cmath>
#include <initializer_list>
#include <limits>
#include <map>
#include <random>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace corefeed::benchmarks {
namespace {

using Given = std::initializer_list<std::pair<std::string_view, double>>;

losses::Surroundings outside(double speed) {
  return losses::surroundings_of({.gas_constant = 287.055, .heat_capacity = 1006.0}, 98e3, 300.0, speed, 0.0);
}

class Plan {
 public:
  Plan(double speed, unsigned seed) : random_(seed) { network_.outside = outside(speed); }

  int node(const std::string& name, network::NodeKind kind = network::NodeKind::duct) {
    const auto [place, added] = places_.emplace(name, static_cast<int>(network_.nodes.size()));
    if (added) network_.nodes.push_back({name, kind});
    return place->second;
  }

  int element(std::string name, std::string_view kind, int from, int to, Given given) {
    network::Element one;
    one.name = std::move(name);
    one.kind = losses::find_kind(kind);
    assert(one.kind != nullptr);
    one.from = from;
    one.to = to;
    for (const losses::Key& key : one.kind->keys) one.numbers.push_back(key.standard);
    for (const auto& [key, number] : given) {
      const std::size_t place = losses::find_key(*one.kind, key);
      assert(place != losses::npos);
      one.numbers[place] = number;
      one.given |= std::uint64_t{1} << place;
    }
    network_.elements.push_back(std::move(one));
    return static_cast<int>(network_.elements.size()) - 1;
  }

  /// By name; "" is the outside. Numbers are moved by up to 15 %.
  void add(const std::string& name, std::string_view kind, const std::string& from, const std::string& to,
           Given given) {
    const int e = element(name, kind, from.empty() ? network::none : node(from),
                          to.empty() ? network::none : node(to), given);
    std::uniform_real_distribution<double> factor(0.85, 1.15);
    for (const auto& [key, number] : given) {
      const std::size_t place = losses::find_key(*network_.elements[static_cast<std::size_t>(e)].kind, key);
      network_.elements[static_cast<std::size_t>(e)].numbers[place] = number * factor(random_);
    }
  }

  double decades(double count) {
    return std::pow(10.0, count * (std::uniform_real_distribution<double>(-0.5, 0.5)(random_)));
  }
  std::mt19937& random() { return random_; }
  network::Network& network() { return network_; }

 private:
  std::mt19937 random_;
  std::map<std::string, int> places_;
  network::Network network_;
};

void add_core(Plan& plan, const std::string& name, const std::string& from, const std::string& to,
              double area) {
  plan.add(name, "core", from, to,
           {{"face_area", area},
            {"air_loss.linear", 24.0},
            {"air_loss.quadratic", 6.0},
            {"air_conductance.value", 24e3 * area},
            {"air_conductance.flow", 8.0 * area},
            {"liquid_conductance.value", 50e3 * area},
            {"liquid_conductance.flow", 10.0 * area}});
}

void add_nose(Plan& plan) {
  plan.add("nose_inlet", "inlet", "", "nose_1", {{"area", 0.06}, {"cp", 0.8}, {"recovery", 0.85}});
  plan.add("nose_duct", "duct", "nose_1", "nose_2",
           {{"length", 0.4}, {"area", 0.06}, {"hydraulic_diameter", 0.22}});
  plan.add("nose_bend", "bend", "nose_2", "nose_3",
           {{"angle", 0.5}, {"radius", 0.4}, {"area", 0.06}, {"hydraulic_diameter", 0.22}});
  plan.add("nose_diffuser", "diffuser", "nose_3", "face",
           {{"inlet_area", 0.05}, {"outlet_area", 0.16}, {"length", 0.4}});
  for (int zone = 1; zone <= 6; ++zone) {
    add_core(plan, "radiator_" + std::to_string(zone), "face", "shroud", 0.025);
  }
  for (const char* name : {"seal_left", "seal_right"})
    plan.add(name, "leak", "face", "bay", {{"area", 0.002}});
  for (const char* name : {"fan_left", "fan_right"}) {
    plan.add(name, "fan", "shroud", "bay",
             {{"area", 0.05}, {"curve.shutoff_pressure", 200.0}, {"curve.free_flow", 0.7}});
  }
  plan.add("flaps", "flap", "shroud", "bay", {{"area", 0.04}});
}

void add_side(Plan& plan) {
  plan.add("side_inlet", "inlet", "", "side_1", {{"area", 0.02}, {"cp", 0.1}, {"recovery", 0.8}});
  plan.add("side_duct", "duct", "side_1", "side_2",
           {{"length", 0.5}, {"area", 0.02}, {"hydraulic_diameter", 0.14}});
  plan.add("side_bend", "bend", "side_2", "side_3",
           {{"angle", 0.8}, {"radius", 0.2}, {"area", 0.02}, {"hydraulic_diameter", 0.14}});
  plan.add("side_diffuser", "diffuser", "side_3", "cooler_face",
           {{"inlet_area", 0.017}, {"outlet_area", 0.05}, {"length", 0.2}});
  for (int zone = 1; zone <= 3; ++zone) {
    add_core(plan, "oil_cooler_" + std::to_string(zone), "cooler_face", "cooler_back", 0.015);
  }
  plan.add("side_seal", "leak", "cooler_face", "bay", {{"area", 0.001}});
  plan.add("side_exit", "duct", "cooler_back", "tunnel",
           {{"length", 0.3}, {"area", 0.03}, {"hydraulic_diameter", 0.17}});
}

void add_rest(Plan& plan) {
  plan.add("brake_inlet", "inlet", "", "brake_1", {{"area", 0.004}, {"cp", 0.6}, {"recovery", 0.8}});
  plan.add("brake_hose", "duct", "brake_1", "brake_2",
           {{"length", 1.1}, {"area", 0.004}, {"hydraulic_diameter", 0.07}});
  plan.add("brake_disc", "loss", "brake_2", "tunnel", {{"area", 0.004}, {"loss", 1.5}});
  plan.add("bulkhead", "leak", "bay", "tunnel", {{"area", 0.006}});
  plan.add("mesh", "screen", "bay", "rear", {{"area", 0.05}, {"open_fraction", 0.6}});
  plan.add("fender_vent", "vent", "bay", "", {{"area", 0.06}, {"cp", -0.4}, {"discharge_coefficient", 0.65}});
  plan.add("floor_gap", "vent", "tunnel", "",
           {{"area", 0.03}, {"cp", -0.2}, {"discharge_coefficient", 0.62}});
  plan.add("rear_vent", "vent", "rear", "", {{"area", 0.03}, {"cp", -0.15}, {"discharge_coefficient", 0.62}});
  plan.add("tunnel_end", "loss", "tunnel", "rear", {{"area", 0.02}, {"loss", 1.2}});
}

fluids::Liquid liquid(double heat_capacity) {
  constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
  return fluids::constant_liquid(heat_capacity, unknown, unknown, unknown).value();
}

}  // namespace

cooling::Case car(unsigned seed) {
  Plan plan(45.0, seed);
  for (const char* name : {"bay", "tunnel", "rear", "shroud"}) plan.node(name, network::NodeKind::plenum);
  add_nose(plan);
  add_side(plan);
  add_rest(plan);
  cooling::Case problem;
  problem.loops.push_back({.name = "coolant", .fluid = liquid(3600.0), .flow = 2.0, .heat_load = 50e3});
  problem.loops.push_back({.name = "oil", .fluid = liquid(2100.0), .flow = 0.6, .heat_load = 8e3});
  for (const network::Element& element : plan.network().elements) {
    const bool radiator = element.name.starts_with("radiator");
    const int cooler = element.name.starts_with("oil_cooler") ? 1 : network::none;
    problem.loop_of.push_back(radiator ? 0 : cooler);
  }
  problem.network = std::move(plan.network());
  return problem;
}

network::Network ladder(int elements, unsigned seed) {
  Plan plan(40.0, seed);
  const int source = plan.node("source", network::NodeKind::fixed_pressure);
  const int sink = plan.node("sink", network::NodeKind::fixed_pressure);
  plan.network().nodes[0].total_pressure = 800.0;
  for (network::Node& node : plan.network().nodes) node.temperature = 300.0;
  int upper = source;
  int lower = sink;
  std::uniform_real_distribution<double> number(0.5, 2.0);
  for (int e = 0; e + 2 < elements; e += 3) {
    const std::string name = std::to_string(e);
    const int next_upper = plan.node("upper_" + name);
    const int next_lower = plan.node("lower_" + name);
    plan.element("along_" + name, "duct", upper, next_upper,
                 {{"length", 0.3 * number(plan.random())}, {"area", 0.03}, {"hydraulic_diameter", 0.15}});
    plan.element("rung_" + name, "loss", next_upper, next_lower,
                 {{"area", 0.01}, {"loss", number(plan.random())}});
    plan.element("back_" + name, "loss", next_lower, lower,
                 {{"area", 0.03}, {"loss", 0.2 * number(plan.random())}});
    upper = next_upper;
    lower = next_lower;
  }
  return std::move(plan.network());
}

network::Network grid(int dimensions, int elements, double decades, unsigned seed) {
  Plan plan(40.0, seed);
  const int side =
      static_cast<int>(std::lround(std::pow(elements / static_cast<double>(dimensions), 1.0 / dimensions)));
  const int depth = dimensions == 3 ? side : 1;
  const int source = plan.node("source", network::NodeKind::fixed_pressure);
  const int sink = plan.node("sink", network::NodeKind::fixed_pressure);
  plan.network().nodes[0].total_pressure = 800.0;
  for (network::Node& node : plan.network().nodes) node.temperature = 300.0;
  const int first = 2;
  const auto at = [&](int x, int y, int z) { return first + (z * side + y) * side + x; };
  for (int n = 0; n < side * side * depth; ++n) plan.network().nodes.push_back({"n" + std::to_string(n)});
  int count = 0;
  const auto join = [&](int from, int to) {
    const std::string name = std::to_string(count);
    const double area = 0.01;
    if (count++ % 10 == 9) {
      plan.element("duct_" + name, "duct", from, to,
                   {{"length", 0.5 * plan.decades(1.0)}, {"area", area}, {"hydraulic_diameter", 0.1}});
    } else {
      plan.element("loss_" + name, "loss", from, to, {{"area", area}, {"loss", plan.decades(decades)}});
    }
  };
  for (int z = 0; z < depth; ++z) {
    for (int y = 0; y < side; ++y) {
      for (int x = 0; x < side; ++x) {
        join(x == 0 ? source : at(x - 1, y, z), at(x, y, z));
        if (x + 1 == side) join(at(x, y, z), sink);
        if (y > 0) join(at(x, y - 1, z), at(x, y, z));
        if (z > 0) join(at(x, y, z - 1), at(x, y, z));
      }
    }
  }
  return std::move(plan.network());
}

}  // namespace corefeed::benchmarks
