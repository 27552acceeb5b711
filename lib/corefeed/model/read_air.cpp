// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using losses::Ends;
using losses::Kind;

std::vector<std::string_view> kind_names(bool liquid) {
  std::vector<std::string_view> names;
  for (const Kind* kind : losses::kinds()) {
    if (losses::may_carry(*kind, liquid)) names.push_back(losses::word_of(*kind));
  }
  return names;
}

std::vector<std::string_view> graph_keys(const Kind& kind) {
  std::vector<std::string_view> keys{"kind"};
  if (kind.ends == Ends::three_ports) return {"kind", "ports"};
  if (kind.ends != Ends::no_from) keys.push_back("from");
  if (kind.ends != Ends::no_to) keys.push_back("to");
  if (takes_geometry(kind)) keys.push_back("geometry");
  if (is_path(kind)) {
    keys.push_back("pieces");
    keys.push_back("feeds");
  }
  return keys;
}

std::vector<std::string_view> piece_names() {
  std::vector<std::string_view> names;
  for (const Kind* kind : losses::kinds()) {
    if (is_piece(*kind)) names.push_back(kind->name);
  }
  return names;
}

const Kind* read_kind(Reader& reader, const Spot& object, bool liquid) {
  const Spot spot = reader.required(object, "kind", "what the element is, such as \"inlet\"");
  if (!spot) return nullptr;
  const auto word = reader.text(spot);
  if (!word) return nullptr;
  const Kind* kind = losses::find_kind(*word, liquid);
  if (kind == nullptr && losses::find_kind(*word, !liquid) != nullptr) {
    reader.error(spot.pointer, "unknown_name",
                 liquid ? fmt::format("a {} stands in \"air\", not in a loop", *word)
                        : fmt::format("a {} stands in a loop, not in \"air\"", *word));
  } else if (kind == nullptr) {
    const auto known = kind_names(liquid);
    std::string help = suggestion(*word, known);
    if (help.empty()) {
      help = "; kinds:";
      for (const std::string_view name : known) help += fmt::format(" {}", name);
    }
    reader.error(spot.pointer, "unknown_name", fmt::format("unknown kind {}{}", quoted(*word), help));
  }
  return kind;
}

std::string read_node_name(Reader& reader, const Spot& object, std::string_view key, bool wanted) {
  if (!wanted) return "";
  const Spot spot = reader.required(object, key, "the node at this end");
  if (!spot) return "";
  const auto name = reader.text(spot);
  if (!name || !reader.check_name(spot.pointer, *name)) return "";
  return *name;
}

void read_ports(Reader& reader, const Spot& object, Element& element) {
  const Spot ports = reader.required(object, "ports", "the nodes at its ports common, straight and branch");
  if (!ports || !reader.want(ports, Value::Kind::object)) return;
  reader.refuse_unknown(ports, {"common", "straight", "branch"});
  element.from = read_node_name(reader, ports, "common", true);
  element.to = read_node_name(reader, ports, "straight", true);
  element.branch = read_node_name(reader, ports, "branch", true);
}

void read_pieces(Reader& reader, const Spot& spot, Element& element) {
  if (!reader.want(spot, Value::Kind::array)) return;
  for (std::size_t i = 0; i < spot.value->items.size(); ++i) {
    const Spot one{&spot.value->items[i], pointer_join(spot.pointer, fmt::format("{}", i))};
    if (!reader.want(one, Value::Kind::object)) continue;
    const Kind* kind = read_kind(reader, one, false);
    if (kind == nullptr) continue;
    if (!is_piece(*kind)) {
      reader.error(pointer_join(one.pointer, "kind"), "unknown_name",
                   fmt::format("a {} cannot be a piece of a duct path; pieces are {}", kind->name,
                               fmt::join(piece_names(), ", ")));
      continue;
    }
    Piece piece;
    piece.name = fmt::format("{}/{} {}", element.name, i + 1, kind->name);
    read_numbers(reader, one, *kind, {"kind"}, piece.numbers);
    check_numbers(reader, one.pointer, piece.numbers);
    element.pieces.push_back(std::move(piece));
  }
}

void read_path(Reader& reader, const Spot& object, Element& element) {
  const Spot pieces = Reader::member(object, "pieces");
  if (pieces) read_pieces(reader, pieces, element);
  const bool measured = static_cast<bool>(Reader::member(object, "geometry"));
  if (static_cast<bool>(pieces) == measured) {
    reader.error(object.pointer, pieces ? "conflicting_keys" : "missing_key",
                 "a duct path has either \"geometry\", the CAD part to measure, or \"pieces\", a list of "
                 "ducts, bends, "
                 "diffusers, contractions and steps");
  }
}

/// The text of a member, or "" where it is no text, which has been reported.
std::string word_at(const Spot& object, std::string_view key) {
  const Spot spot = Reader::member(object, key);
  return spot && spot.value->kind == Value::Kind::string ? spot.value->text : "";
}

void read_element(Reader& reader, const Spot& object, const std::string& name, const std::string& loop,
                  Model& model) {
  if (!reader.check_name(object.pointer, name) || !reader.want(object, Value::Kind::object)) return;
  const Kind* kind = read_kind(reader, object, !loop.empty());
  if (kind == nullptr) return;
  Element element;
  element.name = name;
  element.pointer = object.pointer;
  element.in_loop = loop;
  if (kind->ends == Ends::three_ports) {
    read_ports(reader, object, element);
  } else {
    element.from = read_node_name(reader, object, "from", kind->ends != Ends::no_from);
    element.to = read_node_name(reader, object, "to", kind->ends != Ends::no_to);
  }
  read_numbers(reader, object, *kind, graph_keys(*kind), element.numbers);
  if (losses::is_air_core(*kind)) element.loop = word_at(object, "loop");
  if (losses::find_key(*kind, "core") != losses::npos) element.other_side = word_at(object, "core");
  if (losses::find_key(*kind, "other_side") != losses::npos) {
    element.other_side = word_at(object, "other_side");
  }
  if (const Spot spot = Reader::member(object, "part_of"); spot && kind->heated) {
    element.whole = spot.value->kind == Value::Kind::string ? spot.value->text : "";
  }
  if (const Spot spot = Reader::member(object, "feeds")) {
    // Where "feeds" is a key of the law, a wrong type has been reported with the law's keys.
    if (is_path(*kind)) reader.word(spot);
    element.feeds = word_at(object, "feeds");
  }
  if (const Spot spot = Reader::member(object, "geometry"); spot && takes_geometry(*kind)) {
    element.geometry = read_geometry(reader, spot, *kind);
  }
  if (is_path(*kind)) read_path(reader, object, element);
  model.elements.push_back(std::move(element));
}

void read_node(Reader& reader, const Spot& object, const std::string& name, const std::string& loop,
               Model& model) {
  if (!reader.check_name(object.pointer, name) || !reader.want(object, Value::Kind::object)) return;
  Node node;
  node.name = name;
  node.in_loop = loop;
  const Spot spot = reader.required(object, "kind", "duct, plenum or fixed_pressure");
  const auto kind = spot ? reader.choice(spot, {"duct", "plenum", "fixed_pressure"}) : std::nullopt;
  if (!kind) return;
  node.kind = static_cast<network::NodeKind>(*kind);
  if (node.kind != network::NodeKind::fixed_pressure) {
    reader.refuse_unknown(object, {"kind"});
  } else {
    reader.refuse_unknown(object, {"kind", "total_pressure", "temperature"});
    const Spot pressure = reader.required(object, "total_pressure", "total pressure above ambient");
    if (pressure) node.total_pressure = reader.number(pressure, units::Quantity::pressure_gauge);
    const Spot temperature = Reader::member(object, "temperature");
    if (temperature) node.temperature = reader.number(temperature, units::Quantity::temperature);
  }
  model.nodes.push_back(std::move(node));
}

}  // namespace

bool is_path(const Kind& kind) { return kind.law == nullptr; }

bool is_piece(const Kind& kind) {
  return !is_path(kind) && kind.ends == Ends::both && !kind.heated && losses::may_carry(kind, false);
}

void read_parts(Reader& reader, const Spot& holder, const std::string& loop, Model& model) {
  const Spot elements = reader.required(holder, "elements",
                                        loop.empty() ? "inlets, ducts, cores, fans, leaks and vents by name"
                                                     : "pump, hoses, fittings, core and the like by name");
  if (elements && reader.want(elements, Value::Kind::object)) {
    for (const auto& [name, value] : elements.value->members) {
      if (is_ignored(name)) continue;
      read_element(reader, {&value, pointer_join(elements.pointer, name)}, name, loop, model);
    }
  }
  const Spot nodes = Reader::member(holder, "nodes");
  if (!nodes || !reader.want(nodes, Value::Kind::object)) return;
  for (const auto& [name, value] : nodes.value->members) {
    if (is_ignored(name)) continue;
    read_node(reader, {&value, pointer_join(nodes.pointer, name)}, name, loop, model);
  }
}

void read_air(Reader& reader, Model& model) {
  const Spot air = reader.required(reader.root(), "air", "the air side: its elements and nodes");
  if (!air || !reader.want(air, Value::Kind::object)) return;
  reader.refuse_unknown(air, {"elements", "nodes"});
  read_parts(reader, air, "", model);
}

}  // namespace corefeed::model
