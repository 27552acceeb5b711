// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/ports.hpp"

#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string_view>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/planar_face.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double touching = 0.1;              // mm; placed by hand, but on the same plane
constexpr double parallel_cosine = 0.999848;  // 1 degree
constexpr double least_overlap = 0.5;
constexpr double thickest = 0.5;  // of the square root of the port's area

struct Candidate {
  std::size_t body;
  int index;
  PlanarFace face;
};

/// The port's largest planar face, and how far the port reaches from its plane on either side.
struct Sheet {
  PlanarFace face;
  double low = 0;
  double high = 0;
};

std::optional<Sheet> sheet_of(const TopoDS_Shape& port) {
  std::optional<Sheet> sheet;
  for (TopExp_Explorer each(port, TopAbs_FACE); each.More(); each.Next()) {
    auto face = planar_face(TopoDS::Face(each.Current()));
    if (face && (!sheet || face->area > sheet->face.area)) sheet = Sheet{*face, 0, 0};
  }
  if (!sheet) return sheet;
  for (TopExp_Explorer faces(port, TopAbs_FACE); faces.More(); faces.Next()) {
    const auto face = planar_face(TopoDS::Face(faces.Current()));
    if (!face || std::abs(face->normal.Dot(sheet->face.normal)) < parallel_cosine) continue;
    const double height = gp_Vec(sheet->face.center, face->center).Dot(sheet->face.normal);
    sheet->low = std::min(sheet->low, height);
    sheet->high = std::max(sheet->high, height);
  }
  return sheet;
}

std::vector<Candidate> planar_faces_of(const std::vector<Body>& bodies, const std::vector<BodyCap>& caps) {
  std::vector<Candidate> candidates;
  for (const BodyCap& cap : caps) {
    if (auto face = planar_face(cap.face)) candidates.push_back({cap.body, 0, *face});
  }
  const std::size_t of_caps = candidates.size();
  const auto has_caps = [&](std::size_t body) {
    return std::any_of(candidates.begin(), candidates.begin() + static_cast<std::ptrdiff_t>(of_caps),
                       [body](const Candidate& cap) { return cap.body == body; });
  };
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    if (!bodies[i].is_solid() || port_of(bodies[i]) || has_caps(i)) continue;
    TopTools_IndexedMapOfShape faces;
    TopExp::MapShapes(bodies[i].shape, TopAbs_FACE, faces);
    for (int f = 1; f <= faces.Extent(); ++f) {
      if (auto face = planar_face(TopoDS::Face(faces(f)))) candidates.push_back({i, f, *face});
    }
  }
  return candidates;
}

bool lies_on(const Sheet& port, const PlanarFace& face) {
  if (std::abs(port.face.normal.Dot(face.normal)) < parallel_cosine) return false;
  const double height =
      gp_Vec(port.face.center, face.plane.Location()).Dot(face.normal) / port.face.normal.Dot(face.normal);
  if (height < port.low - touching || height > port.high + touching) return false;
  return overlap(port.face, face) >= least_overlap;
}

// Keeps those that hold, if any does.
template <class Predicate>
void prefer(std::vector<Candidate>& candidates, Predicate holds) {
  if (std::none_of(candidates.begin(), candidates.end(), holds)) return;
  std::erase_if(candidates, [&](const Candidate& each) { return !holds(each); });
}

std::string describe_face(const Candidate& candidate, const std::vector<Body>& bodies) {
  const gp_Pnt& at = candidate.face.center;
  const std::string face =
      candidate.index == 0 ? std::string("opening") : fmt::format("face {}", candidate.index);
  return fmt::format("{} of {} at ({:.4f}, {:.4f}, {:.4f}) m", face,
                     corefeed::quoted(bodies[candidate.body].name), at.X() / 1000, at.Y() / 1000,
                     at.Z() / 1000);
}

std::string list_faces(const std::vector<Candidate>& candidates, const std::vector<Body>& bodies) {
  std::string list;
  for (std::size_t i = 0; i < candidates.size() && i < 5; ++i) {
    list += (i == 0 ? "" : "; ") + describe_face(candidates[i], bodies);
  }
  return list;
}

std::vector<Candidate> nearest(std::vector<Candidate> candidates, const gp_Pnt& to) {
  const auto middle = candidates.begin() + std::min<std::ptrdiff_t>(3, std::ssize(candidates));
  std::partial_sort(candidates.begin(), middle, candidates.end(),
                    [&to](const Candidate& a, const Candidate& b) {
                      return a.face.center.SquareDistance(to) < b.face.center.SquareDistance(to);
                    });
  candidates.erase(middle, candidates.end());
  return candidates;
}

Result<Candidate> face_under(const std::string& name, const TopoDS_Shape& shape,
                             const std::vector<Candidate>& candidates, const std::vector<Body>& bodies) {
  const auto sheet = sheet_of(shape);
  const double thickness = sheet ? sheet->high - sheet->low : std::numeric_limits<double>::infinity();
  if (!sheet || thickness > thickest * std::sqrt(sheet->face.area)) {
    return geometry_warning("port_not_thin",
                            fmt::format("port {} is no thin flat body; expected a plate or a "
                                        "planar surface lying on the opening",
                                        corefeed::quoted(name)));
  }
  std::vector<Candidate> hits;
  for (const Candidate& candidate : candidates) {
    if (lies_on(*sheet, candidate.face)) hits.push_back(candidate);
  }
  if (hits.empty()) {
    return geometry_warning(
        "unbound_port",
        fmt::format("port {} lies on no planar face of a solid; the nearest are: {}", corefeed::quoted(name),
                    list_faces(nearest(candidates, sheet->face.center), bodies)));
  }
  const std::string_view element = std::string_view(name).substr(0, name.rfind('.'));
  prefer(hits, [&](const Candidate& hit) { return last_component(bodies[hit.body].name) == element; });
  prefer(hits, [&](const Candidate& hit) { return says_flow_volume(bodies[hit.body]); });
  prefer(hits, [&](const Candidate& hit) { return !says_core(bodies[hit.body]); });
  prefer(hits, [&](const Candidate& hit) { return hit.index > 0; });
  const auto on_one_hole = [&](const Candidate& hit) {
    return hit.index == 0 && hit.body == hits.front().body &&
           overlap(hit.face, hits.front().face) > least_overlap;
  };
  if (hits.size() == 1 || std::all_of(hits.begin(), hits.end(), on_one_hole)) return hits.front();
  return geometry_warning(
      "ambiguous_port",
      fmt::format("port {} lies on {} faces, expected one: {}; name the part {} or place "
                  "the port where it touches one face",
                  corefeed::quoted(name), hits.size(), list_faces(hits, bodies), corefeed::quoted(element)));
}

bool is_taken(const std::vector<BoundPort>& ports, const Candidate& face) {
  return std::any_of(ports.begin(), ports.end(), [&face](const BoundPort& port) {
    return port.body == face.body && port.face.IsSame(face.face.face);
  });
}

}  // namespace

PortBinding bind_ports(const std::vector<Body>& bodies, const std::vector<BodyCap>& caps) {
  PortBinding binding;
  std::optional<std::vector<Candidate>> candidates;
  for (const Body& body : bodies) {
    const auto name = port_of(body);
    if (!name) continue;
    if (!candidates) candidates = planar_faces_of(bodies, caps);
    const Result<Candidate> face = face_under(*name, body.shape, *candidates, bodies);
    if (!face) {
      binding.warnings.push_back(face.issues().front());
    } else if (is_taken(binding.ports, face.value())) {
      binding.warnings.push_back(geometry_warning(
          "port_repeated", fmt::format("port {} lies on {}, where another port lies already; it was left out",
                                       corefeed::quoted(*name), describe_face(face.value(), bodies))));
    } else {
      binding.ports.push_back({*name, face.value().body, face.value().index, face.value().face.face});
    }
  }
  return binding;
}

}  // namespace corefeed::geometry
