// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/parts.hpp"

#include <algorithm>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

bool ends_in(const std::string& path, const std::string& components) {
  return path.size() > components.size() && path.ends_with(components) &&
         path[path.size() - components.size() - 1] == '/';
}

}  // namespace

std::vector<Part> parts_of(const std::vector<Body>& bodies, const std::vector<BoundPort>& ports) {
  std::vector<Part> parts;
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    if (!bodies[i].is_solid() || port_of(bodies[i])) continue;
    const bool touched =
        std::any_of(ports.begin(), ports.end(), [i](const BoundPort& port) { return port.body == i; });
    parts.push_back({i, touched || says_flow_volume(bodies[i]) ? PartKind::flow_volume : PartKind::body});
  }
  if (parts.size() == 1) parts.front().kind = PartKind::flow_volume;
  return parts;
}

Result<Part> part_named(const std::string& name, const std::vector<Part>& parts,
                        const std::vector<Body>& bodies) {
  std::vector<Part> hits;
  for (const Part& part : parts) {
    const Body& body = bodies[part.body];
    if (body.name == name || (!body.root.empty() && body.root + "/" + body.name == name)) return part;
    if (ends_in(body.name, name)) hits.push_back(part);
  }
  if (hits.size() == 1) return hits.front();
  if (hits.empty()) {
    return geometry_error("unknown_part", fmt::format("no part is named {}; the file's parts are {}",
                                                      corefeed::quoted(name), list_names(parts, bodies)));
  }
  return geometry_error("unknown_part",
                        fmt::format("{} parts are named {}: {}; give more of the path", hits.size(),
                                    corefeed::quoted(name), list_names(hits, bodies)));
}

std::string list_names(const std::vector<Part>& parts, const std::vector<Body>& bodies) {
  constexpr std::size_t most = 20;
  if (parts.empty()) return "none";
  std::string list;
  for (std::size_t i = 0; i < parts.size() && i < most; ++i) {
    list += (i == 0 ? "" : ", ") + corefeed::quoted(bodies[parts[i].body].name);
  }
  if (parts.size() > most) list += fmt::format(" and {} more", parts.size() - most);
  return list;
}

}  // namespace corefeed::geometry
