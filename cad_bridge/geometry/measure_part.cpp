// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/measure_part.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/solids.hpp"
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
void check_direction(PartOutcome& outcome) {
  const FlowEnd first = flow_end(outcome.part.openings[0].name);
  const FlowEnd last = flow_end(outcome.part.openings[1].name);
  if (first != last) return;
  outcome.warnings.push_back(geometry_warning(
      "direction_assumed",
      fmt::format("the names of the ends of {} do not tell the direction of the flow; assumed from {} to {}; "
                  "name the ends port:<element>.from and port:<element>.to",
                  corefeed::quoted(outcome.part.name), corefeed::quoted(outcome.part.openings[0].name),
                  corefeed::quoted(outcome.part.openings[1].name))));
}

void follow(PartOutcome& outcome, const Passage& passage, const PathOptions& options) {
  if (passage.openings.size() > 2) {
    outcome.warnings.push_back(geometry_warning(
        "branched_passage", fmt::format("{} has {} openings; a path is measured only through a passage with "
                                        "two",
                                        corefeed::quoted(outcome.part.name), passage.openings.size())));
    return;
  }
  check_direction(outcome);
  Result<Path> path = trace_path(passage, 0, 1, options);
  if (path) {
    outcome.part.paths.push_back(std::move(path).value());
  } else {
    append(outcome.errors, path.issues());
  }
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
  const Passage passage{sound.value().solid, std::move(found.value().openings)};
  outcome.part.openings = passage.openings;
  check_size(outcome);
  follow(outcome, passage, options);
  return outcome;
}

}  // namespace corefeed::geometry
