// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "corefeed/model/build.hpp"
#include "corefeed/model/reader.hpp"
#include "corefeed/model/surface_pressure.hpp"

namespace corefeed::model {
namespace {

using network::NodeKind;

void check_unique(Reader& reader, std::map<std::string, std::string>& seen, const std::string& name,
                  const std::string& pointer, std::string_view what) {
  const auto [first, fresh] = seen.emplace(name, pointer);
  if (fresh) return;
  reader.error(
      pointer, "duplicate_name",
      fmt::format("the name {} of this {} is taken already at {}; names are unique over elements, nodes and "
                  "loops",
                  quoted(name), what, first->second));
}

/// How many element ends meet at each node, and where the first of them stands.
struct NodeUse {
  int ends = 0;
  std::string pointer;
  std::string in_loop;
  std::string stray;  ///< pointer of a use in another loop, or in the air
};

std::map<std::string, NodeUse> node_uses(const Model& model) {
  std::map<std::string, NodeUse> uses;
  for (const Element& element : model.elements) {
    const auto count = [&](const std::string& node, const std::string& pointer, const char* key) {
      if (node.empty()) return;
      NodeUse& use = uses[node];
      if (use.ends++ == 0) {
        use.pointer = pointer_join(pointer, key);
        use.in_loop = element.in_loop;
      } else if (use.in_loop != element.in_loop) {
        use.stray = pointer_join(pointer, key);
      }
    };
    // A junction's nodes stand in "ports".
    const bool ports = !element.branch.empty();
    const std::string& holder = ports ? pointer_join(element.pointer, "ports") : element.pointer;
    count(element.from, holder, ports ? "common" : "from");
    count(element.to, holder, ports ? "straight" : "to");
    count(element.branch, holder, "branch");
  }
  return uses;
}

template <class List>
std::vector<std::string_view> names_of(const List& list) {
  std::vector<std::string_view> names;
  for (const auto& one : list) names.push_back(one.name);
  return names;
}

std::string section_of(const std::string& loop) {
  return loop.empty() ? "the air" : fmt::format("the loop {}", quoted(loop));
}

std::string nodes_pointer(const std::string& loop) {
  return loop.empty() ? "/air/nodes" : pointer_join("/loops", loop) + "/nodes";
}

/// What flows in one loop meets neither the air nor what flows in another.
void check_sections(Reader& reader, const Model& model, const std::map<std::string, NodeUse>& uses) {
  for (const auto& [name, use] : uses) {
    if (use.stray.empty()) continue;
    reader.error(use.stray, "duplicate_name",
                 fmt::format("the node {} belongs to {} (first used at {}); give this one another name",
                             quoted(name), section_of(use.in_loop), use.pointer));
  }
  for (const Node& node : model.nodes) {
    const auto use = uses.find(node.name);
    if (use == uses.end() || use->second.in_loop == node.in_loop) continue;
    reader.error(pointer_join(nodes_pointer(node.in_loop), node.name), "unknown_node",
                 fmt::format("the node {} is used in {}; describe it there", quoted(node.name),
                             section_of(use->second.in_loop)));
  }
}

void check_nodes(Reader& reader, const Model& model) {
  const auto uses = node_uses(model);
  check_sections(reader, model, uses);
  std::vector<std::string_view> used;
  for (const auto& [name, use] : uses) used.push_back(name);
  std::vector<std::string_view> described = names_of(model.nodes);
  for (const Node& node : model.nodes) {
    if (uses.contains(node.name)) continue;
    reader.error(pointer_join(nodes_pointer(node.in_loop), node.name), "unused_node",
                 fmt::format("no element starts or ends at the node {}{}", quoted(node.name),
                             suggestion(node.name, used)));
  }
  for (const auto& [name, use] : uses) {
    const bool known = std::find(described.begin(), described.end(), name) != described.end();
    if (known || use.ends == 2) continue;
    if (use.ends > 2) {
      reader.error(
          use.pointer, "undescribed_node",
          fmt::format("{} elements meet at the node {}; say under \"nodes\" whether it is a \"duct\" (total "
                      "pressure carries through) or a \"plenum\" (what arrives loses its head)",
                      use.ends, quoted(name)));
      continue;
    }
    std::vector<std::string_view> others;
    for (const std::string_view other : used) {
      if (other != name) others.push_back(other);
    }
    reader.error(
        use.pointer, "unknown_node",
        fmt::format("the node {} is used by this element alone and is not described under \"nodes\"{}",
                    quoted(name), suggestion(name, others)));
  }
}

void check_ends(Reader& reader, const Model& model) {
  for (const Element& element : model.elements) {
    const bool ports = !element.branch.empty();
    const bool back = !element.from.empty() && element.from == element.to;
    const bool branch_back = ports && (element.branch == element.from || element.branch == element.to);
    if (!back && !branch_back) continue;
    reader.error(element.pointer, "self_loop",
                 ports ? fmt::format("two ports of {} stand at the same node; give it three different nodes",
                                     quoted(element.name))
                       : fmt::format("the element {} starts and ends at the same node {}; give it two "
                                     "different nodes",
                                     quoted(element.name), quoted(element.from)));
  }
}

void check_target(Reader& reader, const std::string& pointer, const std::string& name,
                  const std::vector<std::string_view>& known, std::string_view what) {
  if (name.empty() || std::find(known.begin(), known.end(), name) != known.end()) return;
  const std::string there = known.empty() ? fmt::format("; the model has no {}", what)
                                          : fmt::format("; there are: {}", fmt::join(known, ", "));
  reader.error(pointer, "unknown_name",
               fmt::format("no {} is called {}{}{}", what, quoted(name), suggestion(name, known), there));
}

std::vector<std::string_view> elements_where(const Model& model, bool (*fits)(const losses::Kind&)) {
  std::vector<std::string_view> names;
  for (const Element& element : model.elements) {
    if (fits(*element.numbers.kind)) names.push_back(element.name);
  }
  return names;
}

bool is_core(const losses::Kind& kind) { return losses::is_air_core(kind); }
bool is_fan(const losses::Kind& kind) { return kind.name == "fan"; }
bool is_opening(const losses::Kind& kind) { return losses::find_key(kind, "cp") != losses::npos; }

void check_points(Reader& reader, const Model& model) {
  const auto loops = names_of(model.loops);
  const auto openings = elements_where(model, &is_opening);
  const auto fans = elements_where(model, &is_fan);
  const auto each = [&reader](const auto& map, const std::string& pointer, const auto& known,
                              std::string_view what) {
    for (const auto& [name, value] : map)
      check_target(reader, pointer_join(pointer, name), name, known, what);
  };
  std::map<std::string, std::string> seen;
  for (const Point& point : model.points) {
    const auto [first, fresh] = seen.emplace(point.name, point.pointer);
    if (!fresh) {
      reader.error(point.pointer, "duplicate_name",
                   fmt::format("another point at {} is called {} too", first->second, quoted(point.name)));
    }
    each(point.heat_load, point.pointer + "/heat_load", loops, "loop");
    each(point.cp, point.pointer + "/cp", openings, "opening");
    each(point.fans, point.pointer + "/fans", fans, "fan");
  }
}

/// The table names openings of the model, and its axes stand in every point.
void check_surface_pressure(Reader& reader, const Model& model) {
  if (!model.surface_pressure) return;
  const auto openings = elements_where(model, &is_opening);
  const std::string pointer = "/surface_pressure/table";
  for (const std::string& name : model.surface_pressure->openings())
    check_target(reader, pointer, name, openings, "opening");
  for (const SurfacePressure::Axis axis : model.surface_pressure->axes()) {
    if (axis != SurfacePressure::Axis::ride_height) continue;
    for (const Point& point : model.points) {
      if (point.ride_height) continue;
      reader.error(
          point.pointer, "missing_key",
          fmt::format("the point {} has no \"ride_height\", an axis of {}; write it such as \"40 mm\"",
                      quoted(point.name), model.surface_pressure->file()));
    }
  }
}

void check_openings(Reader& reader, const Model& model) {
  for (const Element& element : model.elements) {
    const std::size_t cp = losses::find_key(*element.numbers.kind, "cp");
    if (cp == losses::npos || (element.numbers.given >> cp & 1U) != 0) continue;
    for (const Point& point : model.points) {
      const bool in_table = model.surface_pressure && model.surface_pressure->has(element.name);
      if (point.cp.contains(element.name) || in_table) continue;
      reader.error(
          element.pointer, "missing_key",
          fmt::format("the pressure coefficient \"cp\" is missing and the point {} gives none for {}; write "
                      "it such as -0.2",
                      quoted(point.name), quoted(element.name)));
    }
  }
}

}  // namespace

void check_names(Reader& reader, Model& model) {
  std::map<std::string, std::string> seen;
  for (const Element& element : model.elements)
    check_unique(reader, seen, element.name, element.pointer, "element");
  std::map<std::string, std::string> nodes;
  for (const auto& [name, use] : node_uses(model)) nodes.emplace(name, use.pointer);
  for (const auto& [name, pointer] : nodes) check_unique(reader, seen, name, pointer, "node");
  for (const Loop& loop : model.loops) check_unique(reader, seen, loop.name, loop.pointer, "loop");
}

void check_references(Reader& reader, Model& model) {
  check_nodes(reader, model);
  check_ends(reader, model);
  const auto loops = names_of(model.loops);
  const auto cores = elements_where(model, &is_core);
  for (const Element& element : model.elements) {
    check_target(reader, pointer_join(element.pointer, "loop"), element.loop, loops, "loop");
    check_target(reader, pointer_join(element.pointer, "feeds"), element.feeds, cores, "core");
  }
  check_parts(reader, model);
  check_heat(reader, model);
  check_points(reader, model);
  check_surface_pressure(reader, model);
  check_openings(reader, model);
  check_cooled_loops(reader, model);
  if (reader.issues.empty()) check_loops(reader, model);
  check_transient(reader, model);
  std::map<std::string, std::string> seen;
  const auto points = names_of(model.points);
  for (const Requirement& requirement : model.requirements) {
    if (!seen.emplace(requirement.name, requirement.pointer).second) {
      reader.error(
          requirement.pointer, "duplicate_name",
          fmt::format("another requirement is called {} too; give each a name", quoted(requirement.name)));
    }
    for (std::size_t i = 0; i < requirement.at.size(); ++i) {
      check_target(reader, fmt::format("{}/at/{}", requirement.pointer, i), requirement.at[i], points,
                   "point");
    }
  }
}

void check_quantities(Reader& reader, Model& model) {
  const Built built = build(model, model.points.front());
  for (Issue issue : network::check_topology(built.problem.network)) {
    issue.place = reader.document().place(issue.place.pointer);
    reader.issues.push_back(std::move(issue));
  }
  const auto names = cooling::quantity_names(built.problem);
  const auto known = names_of(names);
  for (Requirement& requirement : model.requirements) {
    const auto found = std::find(known.begin(), known.end(), requirement.quantity);
    if (found == known.end()) {
      reader.error(pointer_join(requirement.pointer, "quantity"), "unknown_quantity",
                   fmt::format("there is no quantity {}{}", quoted(requirement.quantity),
                               suggestion(requirement.quantity, known)));
      continue;
    }
    requirement.kind = names[static_cast<std::size_t>(found - known.begin())].quantity;
    const std::string key = requirement.at_least ? "at_least" : "at_most";
    const std::string pointer = pointer_join(requirement.pointer, key);
    const Spot spot{find_value(reader.document().root, pointer), pointer};
    const auto limit = reader.number(spot, requirement.kind);
    if (!limit) continue;
    requirement.limit = *limit;
    if (requirement.kind != units::Quantity::number) requirement.unit = units::unit_of(spot.value->text);
  }
}

}  // namespace corefeed::model
