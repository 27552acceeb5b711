// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/measure_part.hpp"

#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <limits>
#include <set>
#include <utility>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/solids.hpp"
#include "cad_bridge/geometry/thin_curve.hpp"
#include "cad_bridge/geometry/trace_branches.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

// Across any duct of a car; outside, a wrong unit is likelier than such a duct. Common practice, no source.
constexpr double least_diameter = 0.005;
constexpr double largest_diameter = 3.0;

void append(std::vector<Issue>& to, std::vector<Issue> issues) {
  to.insert(to.end(), std::make_move_iterator(issues.begin()), std::make_move_iterator(issues.end()));
}

void check_size(PartOutcome& outcome) {
  double largest = 0;
  for (const Opening& opening : outcome.part.openings)
    largest = std::max(largest, opening.hydraulic_diameter);
  if (largest >= least_diameter && largest <= largest_diameter) return;
  outcome.warnings.push_back(
      geometry_warning("unit_plausibility",
                       fmt::format("the largest opening of {} is {:.4g} m across, expected 0.005 m to 3 m; "
                                   "check the unit that the file was exported in",
                                   corefeed::quoted(outcome.part.name), largest)));
}

/// Openings stand with entries first; only names that contradict each other or say nothing leave it open.
void check_direction(PartOutcome& outcome, const Passage& passage) {
  const std::string& from = passage.openings[0].name;
  const std::string& to = passage.openings[1].name;
  if (flow_end(from) != flow_end(to)) return;
  outcome.warnings.push_back(geometry_warning(
      "direction_assumed",
      fmt::format("the names of the ends of {} do not tell the direction of the flow; assumed from {} to {}; "
                  "name the ends port:<element>.from and port:<element>.to",
                  corefeed::quoted(outcome.part.name), corefeed::quoted(from), corefeed::quoted(to))));
}

/// A rib, a flange or a weld between two sections is too short to be a piece; its loss stands in none of
/// them.
void check_narrowest(PartOutcome& outcome, const Path& path) {
  constexpr double marked = 0.97;
  double smallest = std::numeric_limits<double>::infinity();
  for (const Piece& piece : path.pieces) {
    for (const char* key : {"area", "inlet_area", "outlet_area"}) {
      if (const auto found = piece.numbers.find(key); found != piece.numbers.end())
        smallest = std::min(smallest, found->second);
    }
  }
  if (!std::isfinite(smallest) || path.narrowest_area > marked * smallest) return;
  outcome.warnings.push_back(geometry_warning(
      "narrow_place",
      fmt::format(
          "{} narrows to {:.4g} cm2 at {:.4g} mm from {}, which no piece of the path accounts for (the "
          "smallest has {:.4g} cm2); add its loss, for example as an orifice",
          corefeed::quoted(outcome.part.name), path.narrowest_area * 1e4, path.narrowest_distance * 1e3,
          corefeed::quoted(path.from), smallest * 1e4)));
}

void follow(PartOutcome& outcome, const Passage& passage, const PathOptions& options) {
  if (passage.openings.size() > 2) {
    BranchedPaths branched = trace_branches(passage, options);
    if (branched.assumed) {
      outcome.warnings.push_back(geometry_warning(
          "direction_assumed",
          fmt::format(
              "the names of the ends of {} do not tell the direction of the flow; assumed from its largest "
              "end {} to the others; name the ends port:<element>.from and port:<element>.to",
              corefeed::quoted(outcome.part.name), corefeed::quoted(passage.openings[branched.trunk].name))));
    }
    append(outcome.errors, std::move(branched.errors));
    for (const Path& path : branched.paths) check_narrowest(outcome, path);
    std::vector<Path>& paths = outcome.part.paths;
    paths.insert(paths.end(), std::make_move_iterator(branched.paths.begin()),
                 std::make_move_iterator(branched.paths.end()));
    return;
  }
  check_direction(outcome, passage);
  Result<Path> path = trace_path(passage, 0, 1, options);
  if (path) {
    check_narrowest(outcome, path.value());
    outcome.part.paths.push_back(std::move(path).value());
  } else {
    append(outcome.errors, path.issues());
  }
}

/// The face of a body that an end lies on or is surrounded by, from 1; 0 for none.
using FaceOfEnd = std::function<int(const TopoDS_Face& end)>;

void take_passage(PartOutcome& outcome, Passage passage, const Body& body, const FaceOfEnd& face_of,
                  const PathOptions& options) {
  for (const Opening& opening : passage.openings) {
    const auto face = static_cast<std::size_t>(face_of(opening.face));
    outcome.part.openings.push_back(opening);
    for (const std::vector<Vec3>& outline : outlines_of(opening.face))
      outcome.part.openings.back().outlines.push_back(drawn_loop(outline));
    outcome.part.opening_marks.push_back(
        face > 0 && face <= body.face_marks.size() ? body.face_marks[face - 1] : FaceMark());
  }
  follow(outcome, passage, options);
  outcome.passages.push_back(std::move(passage));
}

std::string port_on(const TopoDS_Face& face, const std::vector<BoundPort>& ports) {
  const auto port = std::find_if(ports.begin(), ports.end(),
                                 [&face](const BoundPort& each) { return each.face.IsSame(face); });
  return port == ports.end() ? std::string() : port->name;
}

std::string name_of_face(int face, const Body& body) {
  const auto place = static_cast<std::size_t>(face) - 1;
  if (face < 1 || place >= body.face_names.size()) return {};
  return port_of_name(body.face_names[place]).value_or(body.face_names[place]);
}

std::string name_of_cap(const Cap& cap, const Body& body, const std::vector<BoundPort>& ports) {
  const std::string port = port_on(cap.face, ports);
  return port.empty() ? name_of_face(cap.skin, body) : port;
}

std::string name_of_hole(const PanelHole& hole, const Body& body, const std::vector<BoundPort>& ports) {
  for (const TopoDS_Face& cover : hole.covers) {
    if (std::string port = port_on(cover, ports); !port.empty()) return port;
  }
  for (const int wall : hole.walls) {
    if (std::string name = name_of_face(wall, body); !name.empty()) return name;
  }
  return {};
}

}  // namespace

PartOutcome measure_flow_volume(const Body& body, const std::vector<FaceName>& ports,
                                const PathOptions& options) {
  PartOutcome outcome;
  outcome.part.name = body.name;
  outcome.part.kind = "flow volume";
  const Result<SoundSolid> sound = sound_solid(body.shape, body.name);
  if (!sound) {
    append(outcome.errors, sound.issues());
    return outcome;
  }
  outcome.part.volume = sound.value().volume;
  Result<OpeningsFound> found = find_openings(sound.value().solid, body.face_names, ports, body.name);
  if (!found) {
    append(outcome.errors, found.issues());
    return outcome;
  }
  append(outcome.warnings, std::move(found.value().warnings));
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(body.shape, TopAbs_FACE, faces);
  take_passage(
      outcome, {sound.value().solid, std::move(found.value().openings)}, body,
      [&faces](const TopoDS_Face& end) { return faces.FindIndex(end); }, options);
  check_size(outcome);
  return outcome;
}

PartOutcome measure_walls(const Body& body, const BodyShape& shape, const std::vector<BoundPort>& ports,
                          const PathOptions& options) {
  PartOutcome outcome;
  outcome.part.name = body.name;
  outcome.part.kind = body.is_solid() ? "sheet part" : "shell";
  append(outcome.errors, shape.faults);
  for (const ClosedPassage& closed : shape.passages) {
    append(outcome.warnings, closed.warnings);
    outcome.part.volume = outcome.part.volume.value_or(0) + closed.volume;
    std::vector<NamedEnd> ends;
    for (const Cap& cap : closed.ends) ends.push_back({cap.face, name_of_cap(cap, body, ports)});
    const auto face_of = [&closed](const TopoDS_Face& end) {
      const auto cap = std::find_if(closed.ends.begin(), closed.ends.end(),
                                    [&end](const Cap& each) { return each.face.IsSame(end); });
      return cap == closed.ends.end() ? 0 : cap->skin;
    };
    take_passage(outcome, {closed.solid, measure_ends(ends)}, body, face_of, options);
  }
  if (!outcome.part.openings.empty()) check_size(outcome);
  return outcome;
}

PartOutcome measure_panel(const Body& body, const BodyShape& shape, const std::vector<BoundPort>& ports) {
  PartOutcome outcome;
  outcome.part.name = body.name;
  outcome.part.kind = "panel";
  const Result<SoundSolid> sound = sound_solid(body.shape, body.name);
  if (!sound) append(outcome.errors, sound.issues());
  std::set<std::string> used;
  int unnamed = 0;
  for (const PanelHole& hole : shape.holes) {
    std::string name = name_of_hole(hole, body, ports);
    if (name.empty()) name = fmt::format("cutout {}", ++unnamed);
    const std::string base = name;
    for (int i = 2; !used.insert(name).second; ++i) name = fmt::format("{}#{}", base, i);
    outcome.part.cutouts.push_back(hole.cutout);
    outcome.part.cutouts.back().name = name;
    outcome.views.push_back(hole.view);
  }
  return outcome;
}

}  // namespace corefeed::geometry
