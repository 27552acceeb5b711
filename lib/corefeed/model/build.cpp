// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/build.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/model/join_liquids.hpp"
#include "corefeed/model/plausible.hpp"
#include "corefeed/model/reader.hpp"
#include "corefeed/model/surface_pressure.hpp"
#include "corefeed/model/zones.hpp"

namespace corefeed::model {
namespace {

using losses::Key;
using network::none;

/// Adds nodes by name as they appear.
class Nodes {
 public:
  Nodes(const Model& model, network::Network& net) : model_(model), net_(net) {}

  int index(const std::string& name, int liquid = none) {
    if (name.empty()) return none;
    for (std::size_t n = 0; n < net_.nodes.size(); ++n) {
      if (net_.nodes[n].name == name) return static_cast<int>(n);
    }
    network::Node node;
    node.name = name;
    node.temperature = model_.temperature;
    node.liquid = liquid;
    for (const Node& described : model_.nodes) {
      if (described.name != name) continue;
      node.kind = described.kind;
      // An expansion tank holds the pressure and is as hot as what flows through it.
      node.holds_pressure =
          liquid != none && described.kind == network::NodeKind::fixed_pressure && !described.temperature;
      node.total_pressure = described.total_pressure.value_or(0.0);
      node.temperature = described.temperature.value_or(model_.temperature);
    }
    net_.nodes.push_back(node);
    return static_cast<int>(net_.nodes.size()) - 1;
  }

 private:
  const Model& model_;
  network::Network& net_;
};

network::Element network_element(const Element& element, const Numbers& numbers, const std::string& name,
                                 const Point& point) {
  network::Element made;
  made.name = name;
  made.kind = numbers.kind;
  made.numbers = numbers.value;
  made.given = numbers.given;
  made.curves = numbers.curves;
  const auto cp = point.cp.find(element.name);
  if (cp != point.cp.end()) {
    const std::size_t key = losses::find_key(*numbers.kind, "cp");
    made.numbers[key] = cp->second;
    made.given |= std::uint64_t{1} << key;
  }
  const auto fan = point.fans.find(element.name);
  if (fan != point.fans.end()) made.fan_state = fan->second;
  return made;
}

/// A path's pieces in series, with a duct node of its own between each two.
std::vector<int> add_path(const Element& element, const Point& point, Nodes& nodes, network::Network& net) {
  std::vector<int> parts;
  for (std::size_t i = 0; i < element.pieces.size(); ++i) {
    const Piece& piece = element.pieces[i];
    network::Element made = network_element(element, piece.numbers, piece.name, point);
    const auto between = [&element](std::size_t place) { return fmt::format("{}/{}", element.name, place); };
    made.from = nodes.index(i == 0 ? element.from : between(i));
    made.to = nodes.index(i + 1 == element.pieces.size() ? element.to : between(i + 1));
    parts.push_back(static_cast<int>(net.elements.size()));
    net.elements.push_back(std::move(made));
  }
  return parts;
}

/// A junction's two legs, each the other's sibling.
std::vector<int> add_legs(const Element& element, const Point& point, int liquid, Nodes& nodes,
                          network::Network& net) {
  const int first = static_cast<int>(net.elements.size());
  for (const bool is_branch : {false, true}) {
    network::Element leg = network_element(element, element.numbers,
                                           element.name + (is_branch ? "/branch" : "/straight"), point);
    leg.liquid = liquid;
    leg.from = nodes.index(element.from, liquid);
    leg.to = nodes.index(is_branch ? element.branch : element.to, liquid);
    leg.leg = is_branch ? losses::Leg::branch : losses::Leg::straight;
    leg.sibling = is_branch ? first : first + 1;
    net.elements.push_back(std::move(leg));
  }
  return {first, first + 1};
}

int loop_index(const Model& model, const std::string& name) {
  for (std::size_t l = 0; l < model.loops.size(); ++l) {
    if (model.loops[l].name == name) return static_cast<int>(l);
  }
  return none;
}

/// A liquid for each loop that is a network; none for the others.
std::vector<int> add_liquids(const Model& model, network::Network& net) {
  std::vector<int> places;
  for (const Loop& loop : model.loops) {
    places.push_back(loop.is_network ? static_cast<int>(net.liquids.size()) : none);
    if (loop.is_network) net.liquids.push_back(loop.fluid);
  }
  return places;
}

/// Openings for which the point has no coefficient of its own take the table's at its ride height and yaw.
void take_pressures(const Model& model, const Point& point, Built& built) {
  if (!model.surface_pressure) return;
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    const Element& element = model.elements[e];
    if (!model.surface_pressure->has(element.name) || point.cp.contains(element.name)) continue;
    const auto taken = model.surface_pressure->at(element.name, point.ride_height.value_or(0.0), point.yaw);
    for (const int part : built.parts[e]) {
      network::Element& made = built.problem.network.elements[static_cast<std::size_t>(part)];
      const std::size_t key = losses::find_key(*made.kind, "cp");
      made.numbers[key] = taken.cp;
      made.given |= std::uint64_t{1} << key;
      built.pressures.push_back({part, taken.sigma, taken.held});
    }
  }
}

void name_fed_cores(const Model& model, Built& built) {
  auto& elements = built.problem.network.elements;
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    if (model.elements[e].feeds.empty()) continue;
    const std::size_t last = static_cast<std::size_t>(built.parts[e].back());
    for (std::size_t other = 0; other < model.elements.size(); ++other) {
      if (model.elements[other].name == model.elements[e].feeds)
        elements[last].feeds = built.parts[other].front();
    }
  }
}

/// A core, or what the parts of a split one leave of it.
network::Element core_element(const Model& model, const Element& element, const Point& point) {
  if (!element.whole.empty())
    return network_element(element, zone_numbers(model, element), element.name, point);
  if (zones_of(model, element).empty()) return network_element(element, element.numbers, element.name, point);
  network::Element rest = network_element(element, element.numbers, element.name + "/rest", point);
  const std::size_t share = share_key(*rest.kind);
  rest.numbers[share] = share_left(model, element);
  rest.given |= std::uint64_t{1} << share;
  return rest;
}

/// The zones of a split core are one thing to the user, and one core to the diffuser before them.
void join_zones(const Model& model, Built& built) {
  auto& elements = built.problem.network.elements;
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    const std::vector<std::size_t> zones = zones_of(model, model.elements[e]);
    if (zones.empty()) continue;
    cooling::Path path{model.elements[e].name, built.parts[e], true};
    for (const std::size_t zone : zones) path.elements.push_back(built.parts[zone].front());
    for (network::Element& before : elements) {
      if (losses::find_key(*before.kind, "feeds") == losses::npos || before.feeds != none) continue;
      const auto behind = [&](int one) { return elements[static_cast<std::size_t>(one)].from == before.to; };
      const auto first = std::find_if(path.elements.begin(), path.elements.end(), behind);
      const auto fed = std::count_if(
          elements.begin(), elements.end(),
          [&before](const network::Element& one) { return one.kind->heated && one.from == before.to; });
      if (fed == std::count_if(path.elements.begin(), path.elements.end(), behind) && fed > 1)
        before.feeds = *first;
    }
    built.problem.paths.push_back(std::move(path));
  }
}

/// The zones beside the one that a diffuser feeds have the same stream before them.
void feed_zones(Built& built) {
  auto& elements = built.problem.network.elements;
  for (const cooling::Path& path : built.problem.paths) {
    for (const int fed : path.elements) {
      const network::Element& one = elements[static_cast<std::size_t>(fed)];
      if (!one.kind->heated || one.fed_by == none) continue;
      for (const int other : path.elements) {
        network::Element& zone = elements[static_cast<std::size_t>(other)];
        if (zone.from == one.from) zone.fed_by = one.fed_by;
      }
    }
  }
}

cooling::Loop loop_at(const Model& model, const Loop& loop, const Point& point) {
  cooling::Loop made{loop.name, loop.fluid, loop.flow, heat_of(loop, point), heat_sigma(loop, point)};
  made.boiling_temperature = loop.fluid.boiling_temperature(model.pressure + loop.cap_pressure.value_or(0.0));
  return made;
}

/// Streams fill these kinds' sections; a leak, flap or fan in a wall does not continue the duct.
bool continues_duct(const losses::Kind& kind) {
  const bool inlet = kind.ends == losses::Ends::no_from && kind.carries == losses::Carries::air;
  return kind.pays_entrance || losses::is_air_core(kind) || inlet;
}

Issue warning(std::string code, std::string pointer, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = Severity::warning;
  issue.place.pointer = std::move(pointer);
  issue.text = std::move(text);
  return issue;
}

void warn_of_areas(const Model& model, const network::Network& net, std::vector<Issue>& warnings) {
  for (const network::Element& before : net.elements) {
    for (const network::Element& behind : net.elements) {
      if (before.to == none || before.to != behind.from) continue;
      const network::Node& node = net.nodes[static_cast<std::size_t>(before.to)];
      if (node.kind != network::NodeKind::duct) continue;
      if (!continues_duct(*before.kind) || !continues_duct(*behind.kind)) continue;
      const double left = losses::end_area(*before.kind, before.values(), false, before.leg);
      const double right = losses::end_area(*behind.kind, behind.values(), true, behind.leg);
      if (left <= 0.0 || right <= 0.0 || std::max(left, right) <= 1.05 * std::min(left, right)) continue;
      const Element* found = model.find_element(behind.name.substr(0, behind.name.find('/')));
      warnings.push_back(warning(
          "area_mismatch", found == nullptr ? std::string("/air/elements") : found->pointer,
          fmt::format("{} ends with {} and {} begins with {} at node {}; a change of area costs nothing by "
                      "itself: add "
                      "a step from {} to {}",
                      before.name, units::show(left, units::Quantity::area), behind.name,
                      units::show(right, units::Quantity::area), node.name,
                      units::show(left, units::Quantity::area), units::show(right, units::Quantity::area))));
    }
  }
}

/// A standard value inside an object ("blocker.open_share") plays a part only where the model has the object.
bool has_group(const Numbers& numbers, std::string_view group) {
  const std::uint64_t written = numbers.given & ~numbers.fitted;
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    if (group_of(numbers.kind->keys[i].name) == group && (written >> i & 1U) != 0) return true;
  }
  return false;
}

/// How well each half of the element is known, and what was fitted to tests.
void add_bases(const std::string& name, const Numbers& numbers, std::vector<Assumption>& list) {
  if (numbers.kind->basis != nullptr) {
    for (const losses::Basis& one : numbers.kind->basis(numbers.values())) {
      list.push_back({name, std::string(one.half), 0.0, units::Quantity::number, std::string(one.level),
                      std::string(one.source), one.tag});
    }
  }
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    if ((numbers.fitted >> i & 1U) == 0) continue;
    const Key& key = numbers.kind->keys[i];
    list.push_back({name, std::string(key.name), numbers.value[i], key.quantity, "",
                    numbers.bands.at(i).source, Tag::computed});
  }
}

void add_assumptions(const std::string& name, const Numbers& numbers, std::vector<Assumption>& list) {
  const losses::Kind& kind = *numbers.kind;
  if (kind.tag == Tag::from_memory || kind.tag == Tag::closure) {
    list.push_back({name, "law", kind.band, units::Quantity::number, "", std::string(kind.source), kind.tag});
  }
  for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
    const Key& key = numbers.kind->keys[i];
    const bool given = (numbers.given >> i & 1U) != 0;
    if (given || key.need != losses::Need::standard) continue;
    const std::string_view group = group_of(key.name);
    if (!group.empty() && !has_group(numbers, group)) continue;
    Assumption one{name, std::string(key.name),   numbers.value[i], key.quantity,
                   "",   std::string(key.source), key.tag};
    const auto own = numbers.bands.find(i);
    if (own != numbers.bands.end()) one.source = own->second.source;
    if (!key.choices.empty()) one.choice = key.choices[static_cast<std::size_t>(numbers.value[i])];
    list.push_back(std::move(one));
  }
}

}  // namespace

Built build(const Model& model, const Point& point) {
  Built built;
  cooling::Case& problem = built.problem;
  const fluids::Air air = fluids::humid_air(model.temperature, model.pressure, model.relative_humidity);
  problem.network.outside =
      losses::surroundings_of(air, model.pressure, model.temperature, point.speed, point.yaw);
  problem.network.outside.engine_speed = point.engine_speed.value_or(0.0);
  problem.frontal_area = model.frontal_area;
  Nodes nodes(model, problem.network);
  const std::vector<int> liquids = add_liquids(model, problem.network);
  for (const Element& element : model.elements) {
    const int home = element.in_loop.empty() ? none : loop_index(model, element.in_loop);
    const int liquid = home == none ? none : liquids[static_cast<std::size_t>(home)];
    if (element.numbers.kind->law == nullptr) {
      built.parts.push_back(add_path(element, point, nodes, problem.network));
      problem.paths.push_back({element.name, built.parts.back(), false});
    } else if (element.numbers.kind->ends == losses::Ends::three_ports) {
      built.parts.push_back(add_legs(element, point, liquid, nodes, problem.network));
      problem.paths.push_back({element.name, built.parts.back(), true});
    } else {
      network::Element made = core_element(model, element, point);
      made.liquid = liquid;
      made.from = nodes.index(element.from, liquid);
      made.to = nodes.index(element.to, liquid);
      built.parts.push_back({static_cast<int>(problem.network.elements.size())});
      problem.network.elements.push_back(std::move(made));
    }
    problem.loop_of.resize(problem.network.elements.size(), none);
    const std::string& loop = element.whole.empty() ? element.loop : model.find_element(element.whole)->loop;
    if (!loop.empty()) problem.loop_of.back() = loop_index(model, loop);
  }
  take_pressures(model, point, built);
  name_fed_cores(model, built);
  join_zones(model, built);
  network::connect_neighbors(problem.network);
  feed_zones(built);
  for (const Loop& loop : model.loops) {
    problem.loops.push_back(loop_at(model, loop, point));
    problem.loops.back().liquid = liquids[problem.loops.size() - 1];
  }
  join_liquids(model, built);
  return built;
}

std::vector<Issue> model_warnings(const Model& model, const Built& built) {
  std::vector<Issue> warnings;
  const network::Network& net = built.problem.network;
  warn_of_areas(model, net, warnings);
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    for (const int part : built.parts[e]) {
      const network::Element& element = net.elements[static_cast<std::size_t>(part)];
      if (element.kind->mended == nullptr) continue;
      const std::string text = element.kind->mended(element.values());
      if (!text.empty())
        warnings.push_back(warning("mended", model.elements[e].pointer, element.name + ": " + text));
    }
  }
  for (Issue& issue : warnings) issue.place.file = model.file;
  for (Issue& issue : implausible_numbers(model)) warnings.push_back(std::move(issue));
  return warnings;
}

std::vector<Assumption> assumptions(const Model& model) {
  std::vector<Assumption> list;
  for (const Loop& loop : model.loops) {
    const std::string node = reference_node(model, loop);
    if (node.empty()) continue;
    list.push_back({loop.name, node + ".total_pressure", 0.0, units::Quantity::pressure_gauge, "",
                    "a closed loop without a fixed_pressure node has ambient pressure at its pump's inlet",
                    Tag::closure});
  }
  for (const Element& element : model.elements) {
    if (!element.whole.empty()) continue;
    add_bases(element.name, element.numbers, list);
    if (element.numbers.kind->law != nullptr) add_assumptions(element.name, element.numbers, list);
    for (const Piece& piece : element.pieces) add_assumptions(piece.name, piece.numbers, list);
  }
  for (const Loop& loop : model.loops) {
    if (!loop.share_by_rule) continue;
    list.push_back({loop.name, "heat_share", *loop.heat_share, units::Quantity::number, "",
                    loop.heat_share_band.source, Tag::from_memory});
  }
  return list;
}

std::vector<Issue> pressure_warnings(const Model& model, const Built& built) {
  std::vector<Issue> warnings;
  for (const TakenPressure& taken : built.pressures) {
    if (taken.held.empty()) continue;
    const std::string& name = built.problem.network.elements[static_cast<std::size_t>(taken.element)].name;
    warnings.push_back(
        warning("extrapolated", name,
                fmt::format("{}: beyond the runs of {}: {}; the nearest run's pressure is taken", name,
                            model.surface_pressure->file(), taken.held)));
  }
  return warnings;
}

}  // namespace corefeed::model
