// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/openings.hpp"

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepTools.hxx>
#include <TopoDS_Wire.hxx>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "cad_bridge/geometry/ends.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/planar_face.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double meters = 1e-3;  // per mm

/// What is known of the ends before the shape is asked. Keys are face indices.
struct NamedFaces {
  std::map<int, std::string> ports;  ///< by port body or by face name: ends by decree
  std::map<int, std::string> others;
};

NamedFaces named_faces(const std::vector<std::string>& face_names, const std::vector<FaceName>& ports) {
  NamedFaces named;
  for (const FaceName& port : ports) named.ports.emplace(port.face, port.name);
  for (std::size_t i = 0; i < face_names.size(); ++i) {
    const int face = static_cast<int>(i) + 1;
    if (face_names[i].empty() || named.ports.contains(face)) continue;
    if (const auto port = port_of_name(face_names[i])) {
      named.ports.emplace(face, *port);
    } else {
      named.others.emplace(face, face_names[i]);
    }
  }
  return named;
}

bool touches(const EndCandidate& candidate, const std::vector<std::size_t>& others) {
  return std::any_of(others.begin(), others.end(), [&candidate](std::size_t other) {
    return std::find(candidate.neighbors.begin(), candidate.neighbors.end(), other) !=
           candidate.neighbors.end();
  });
}

/// Candidates that are ends by name. Some exporters name every face: where two named faces touch, a name
/// alone says nothing and only one that tells a direction counts.
std::vector<std::size_t> given_ends(const std::vector<EndCandidate>& candidates, const NamedFaces& named) {
  std::vector<std::size_t> given;
  std::vector<std::size_t> by_name;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (named.ports.contains(candidates[i].index)) given.push_back(i);
    if (named.others.contains(candidates[i].index)) by_name.push_back(i);
  }
  std::erase_if(by_name, [&](std::size_t i) { return touches(candidates[i], given); });
  const bool apart = std::none_of(by_name.begin(), by_name.end(),
                                  [&](std::size_t i) { return touches(candidates[i], by_name); });
  for (const std::size_t i : by_name) {
    const bool tells = flow_end(named.others.at(candidates[i].index)) != FlowEnd::unknown;
    if (apart || (tells && !touches(candidates[i], given))) given.push_back(i);
  }
  std::sort(given.begin(), given.end());
  return given;
}

/// Two given ends make a passage. Any further planar wall across it (the outer wall of a square U bend) looks
/// like an end too; such a wall is larger than the given ends together, a branch's end is not.
void leave_out_large(std::vector<std::size_t>& chosen, const std::vector<std::size_t>& given,
                     const std::vector<EndCandidate>& candidates, std::vector<Issue>& warnings) {
  if (given.size() < 2) return;
  double given_area = 0;
  for (const std::size_t each : given) given_area += candidates[each].face.area;
  std::erase_if(chosen, [&](std::size_t each) {
    const PlanarFace& face = candidates[each].face;
    const bool is_given = std::find(given.begin(), given.end(), each) != given.end();
    if (is_given || face.area <= given_area) return false;
    warnings.push_back(geometry_warning(
        "end_left_out",
        fmt::format(
            "the planar face at ({:.4f}, {:.4f}, {:.4f}) m was taken for a wall, as it is larger than "
            "the named ends together; if it is an end, name it too",
            face.center.X() * meters, face.center.Y() * meters, face.center.Z() * meters)));
    return true;
  });
}

std::string unique_name(std::string name, std::set<std::string>& used) {
  std::string result = name;
  for (int i = 2; !used.insert(result).second; ++i) result = fmt::format("{}#{}", name, i);
  return result;
}

std::vector<NamedEnd> name_ends(const std::vector<EndCandidate>& candidates,
                                const std::vector<std::size_t>& chosen, const NamedFaces& named) {
  std::vector<NamedEnd> ends;
  for (const std::size_t each : chosen) {
    const int face = candidates[each].index;
    std::string name;
    if (const auto port = named.ports.find(face); port != named.ports.end()) name = port->second;
    if (const auto other = named.others.find(face); other != named.others.end()) name = other->second;
    ends.push_back({candidates[each].face.face, std::move(name)});
  }
  return ends;
}

/// The end of a pipe's wall is a ring that is narrow beside its hole; an annular passage round a hub is not.
bool is_narrow_ring(const Opening& opening) {
  const PlanarFace face = *planar_face(opening.face);
  const auto filled =
      planar_face(BRepBuilderAPI_MakeFace(face.plane, BRepTools::OuterWire(opening.face)).Face());
  const double hole = filled ? (filled->area - face.area) * meters * meters : 0;
  if (hole <= 1e-9 * opening.area) return false;
  const double hole_radius = std::sqrt(hole / std::numbers::pi);
  return opening.hydraulic_diameter / 2 < 0.2 * hole_radius;  // the ring's width, exact for a circular one
}

Issue no_ends(const std::string& part, std::size_t faces, std::size_t candidates, std::size_t given) {
  return geometry_error(
      "no_ends",
      fmt::format(
          "no two ends were found on {}: of its {} faces {} {} planar with a sharp rim all round, and "
          "{} {} named as an end; place thin bodies named port:<element>.<end> on its ends, or name "
          "the end faces",
          corefeed::quoted(part), faces, candidates, candidates == 1 ? "is" : "are", given,
          given == 1 ? "is" : "are"));
}

}  // namespace

Result<OpeningsFound> find_openings(const TopoDS_Shape& solid, const std::vector<std::string>& face_names,
                                    const std::vector<FaceName>& ports, const std::string& part) {
  const NamedFaces named = named_faces(face_names, ports);
  std::vector<int> decreed;
  for (const auto& [face, name] : named.ports) decreed.push_back(face);
  const auto candidates = end_candidates(solid, decreed);

  OpeningsFound found;
  for (const auto& [face, name] : named.ports) {
    const bool planar = std::any_of(candidates.begin(), candidates.end(),
                                    [face = face](const EndCandidate& each) { return each.index == face; });
    if (planar) continue;
    found.warnings.push_back(geometry_warning(
        "port_not_planar", fmt::format("port {} of {} is on a curved face and was left out; an end has to be "
                                       "planar",
                                       corefeed::quoted(name), corefeed::quoted(part))));
  }
  const auto given = given_ends(candidates, named);
  Result<ChosenEnds> ends = choose_ends(candidates, given);
  if (!ends) return ends.issues();
  std::vector<std::size_t> chosen = ends.value().chosen;
  if (chosen.size() < 2) return no_ends(part, face_names.size(), candidates.size(), given.size());
  leave_out_large(chosen, given, candidates, found.warnings);
  if (!ends.value().unique && chosen.size() > given.size()) {
    found.warnings.push_back(
        geometry_warning("ends_ambiguous",
                         fmt::format("several pairs of faces of {} could be its ends equally well; the first "
                                     "was taken; name the ends to be sure",
                                     corefeed::quoted(part))));
  }
  found.openings = measure_ends(name_ends(candidates, chosen, named));
  if (std::all_of(found.openings.begin(), found.openings.end(), is_narrow_ring)) {
    return geometry_error("thin_wall",
                          fmt::format("{} is the wall of a duct, not the air in it: its ends are narrow "
                                      "rings; fill the passage and export the filling as a solid",
                                      corefeed::quoted(part)));
  }
  return found;
}

std::vector<Opening> measure_ends(const std::vector<NamedEnd>& ends) {
  std::vector<Opening> openings;
  std::set<std::string> used;
  int unnamed = 0;
  for (const NamedEnd& end : ends) {
    std::string name = end.name.empty() ? fmt::format("opening {}", ++unnamed) : end.name;
    openings.push_back(measure_opening(end.face, unique_name(std::move(name), used)));
  }
  const auto rank = [](const Opening& opening) {
    const FlowEnd end = flow_end(opening.name);
    return end == FlowEnd::entry ? 0 : end == FlowEnd::unknown ? 1 : 2;
  };
  std::stable_sort(openings.begin(), openings.end(),
                   [&rank](const Opening& a, const Opening& b) { return rank(a) < rank(b); });
  return openings;
}

Opening measure_opening(const TopoDS_Face& face, std::string name) {
  PlanarFace planar = *planar_face(face);
  refine(planar);
  Opening opening;
  opening.name = std::move(name);
  opening.face = face;
  opening.area = planar.area * meters * meters;
  opening.free_area = opening.area;
  opening.perimeter = rim_length(face) * meters;
  opening.hydraulic_diameter = 4 * opening.area / opening.perimeter;
  opening.center = {planar.center.X() * meters, planar.center.Y() * meters, planar.center.Z() * meters};
  opening.normal = {planar.normal.X(), planar.normal.Y(), planar.normal.Z()};
  return opening;
}

}  // namespace corefeed::geometry
