// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/parts.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

bool ends_in(const std::string& path, const std::string& components) {
  return path.size() > components.size() && path.ends_with(components) &&
         path[path.size() - components.size() - 1] == '/';
}

bool is_asked_for(const std::string& path, const std::vector<std::string>& names) {
  return std::any_of(names.begin(), names.end(),
                     [&path](const std::string& name) { return path == name || ends_in(path, name); });
}

/// The path of the core that each body belongs to; "" for none. A sub-assembly named like a core that holds
/// another such part is not the innermost one.
class CoreNames {
 public:
  CoreNames(const std::vector<Body>& bodies, const std::vector<std::string>& asked) {
    for (const Body& body : bodies) innermost_.push_back(innermost(body, asked));
    for (std::string& path : innermost_) {
      const bool outer = !path.empty() &&
                         std::any_of(innermost_.begin(), innermost_.end(), [&path](const std::string& other) {
                           return other.starts_with(path + "/");
                         });
      if (outer) outer_.push_back(path);
    }
  }

  std::string of(std::size_t body) const {
    const std::string& path = innermost_[body];
    const bool outer = std::find(outer_.begin(), outer_.end(), path) != outer_.end();
    return outer ? std::string() : path;
  }

 private:
  static std::string innermost(const Body& body, const std::vector<std::string>& asked) {
    if (port_of(body) || !body.is_solid()) return {};
    if (says_core(body) || is_asked_for(body.name, asked)) return body.name;
    std::string path = body.name;
    while (path.find('/') != std::string::npos) {
      path.resize(path.rfind('/'));
      if (names_core(last_component(path)) || is_asked_for(path, asked)) return path;
    }
    return {};
  }

  std::vector<std::string> innermost_;
  std::vector<std::string> outer_;
};

PartKind kind_by_shape(const BodyShape& shape) {
  switch (shape.wall.kind) {
    case ThinWall::Kind::sheet_part:
      return PartKind::sheet_part;
    case ThinWall::Kind::panel:
      return PartKind::panel;
    case ThinWall::Kind::none:
      break;
  }
  return PartKind::body;
}

}  // namespace

std::string_view word_for(PartKind kind) {
  switch (kind) {
    case PartKind::flow_volume:
      return "flow volume";
    case PartKind::sheet_part:
      return "sheet part";
    case PartKind::shell:
      return "shell";
    case PartKind::panel:
      return "panel";
    case PartKind::core:
      return "core";
    case PartKind::body:
      break;
  }
  return "body";
}

std::vector<Part> parts_of(const std::vector<Body>& bodies, const std::vector<BodyShape>& shapes,
                           const std::vector<BoundPort>& ports, const std::vector<std::string>& cores) {
  const CoreNames core_names(bodies, cores);
  const auto solids = std::count_if(bodies.begin(), bodies.end(),
                                    [](const Body& body) { return body.is_solid() && !port_of(body); });
  std::vector<Part> parts;
  std::map<std::string, std::size_t> assemblies;  // cores begun, by path
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    if (port_of(bodies[i])) continue;
    if (!bodies[i].is_solid()) {
      parts.push_back({bodies[i].name, PartKind::shell, {i}});
      continue;
    }
    const bool touched = std::any_of(ports.begin(), ports.end(),
                                     [i](const BoundPort& port) { return port.body == i && port.index > 0; });
    PartKind kind = kind_by_shape(shapes[i]);
    if (touched || says_flow_volume(bodies[i])) kind = PartKind::flow_volume;
    const std::string core = core_names.of(i);
    if (kind == PartKind::body && !core.empty()) {
      const auto [known, fresh] = assemblies.try_emplace(core, parts.size());
      if (fresh) parts.push_back({core, PartKind::core, {}});
      parts[known->second].bodies.push_back(i);
      continue;
    }
    if (kind == PartKind::body && solids == 1) kind = PartKind::flow_volume;
    parts.push_back({bodies[i].name, kind, {i}});
  }
  return parts;
}

Result<Part> part_named(const std::string& name, const std::vector<Part>& parts,
                        const std::vector<Body>& bodies) {
  std::vector<Part> hits;
  for (const Part& part : parts) {
    const std::string& root = bodies[part.bodies.front()].root;
    if (part.name == name || (!root.empty() && root + "/" + part.name == name)) return part;
    if (ends_in(part.name, name)) hits.push_back(part);
  }
  if (hits.size() == 1) return hits.front();
  if (hits.empty()) {
    return geometry_error("unknown_part", fmt::format("no part is named {}; the file's parts are {}",
                                                      corefeed::quoted(name), list_names(parts)));
  }
  return geometry_error("unknown_part", fmt::format("{} parts are named {}: {}; give more of the path",
                                                    hits.size(), corefeed::quoted(name), list_names(hits)));
}

std::string list_names(const std::vector<Part>& parts) {
  constexpr std::size_t most = 20;
  if (parts.empty()) return "none";
  std::string list;
  for (std::size_t i = 0; i < parts.size() && i < most; ++i)
    list += (i == 0 ? "" : ", ") + corefeed::quoted(parts[i].name);
  if (parts.size() > most) list += fmt::format(" and {} more", parts.size() - most);
  return list;
}

}  // namespace corefeed::geometry
