// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include "cad_bridge/worker/measurement.hpp"

namespace corefeed::worker {
namespace {

using Json = nlohmann::json;

const Json& member(const Json& object, const char* key) {
  static const Json none;
  const auto found = object.is_object() ? object.find(key) : object.end();
  return object.is_object() && found != object.end() ? *found : none;
}

/// Gives each entry of a list to its counterpart; lists of unlike length do not belong together.
template <class T, class Take>
void take_each(const Json& json, std::vector<T>& into, const Take& take) {
  if (!json.is_array() || json.size() != into.size()) return;
  for (std::size_t i = 0; i < into.size(); ++i) take(json[i], into[i]);
}

Curve curve_of(const Json& json) {
  constexpr double micrometer = 1e-6;
  Curve curve;
  if (!json.is_array() || json.size() % 3 != 0) return curve;
  for (std::size_t i = 0; i < json.size(); i += 3) {
    Point point{};
    for (std::size_t k = 0; k < 3; ++k) {
      if (!json[i + k].is_number_integer()) return {};
      point[k] = static_cast<double>(json[i + k].get<std::int64_t>()) * micrometer;
    }
    curve.push_back(point);
  }
  return curve;
}

void take_curves(const Json& json, std::vector<Curve>& into) {
  if (!json.is_array()) return;
  for (const Json& each : json) {
    if (Curve curve = curve_of(each); curve.size() > 1) into.push_back(std::move(curve));
  }
}

template <class Hole>
void take_hole(const Json& json, Hole& hole) {
  take_curves(member(json, "outlines"), hole.outlines);
  take_each(member(json, "covered"), hole.blocked_by,
            [](const Json& covered, Blocker& blocker) { take_curves(covered, blocker.covered); });
}

void take_part(const Json& json, Part& part) {
  take_curves(member(json, "edges"), part.edges);
  take_each(member(json, "openings"), part.openings, take_hole<Opening>);
  take_each(member(json, "cutouts"), part.cutouts, take_hole<Cutout>);
  take_each(member(json, "paths"), part.paths, [](const Json& drawn, Path& path) {
    take_each(member(drawn, "stations"), path.stations,
              [](const Json& outlines, Station& station) { take_curves(outlines, station.outlines); });
    take_curves(member(drawn, "narrowest"), path.narrowest.outlines);
  });
  if (part.core) take_curves(member(json, "core"), part.core->outlines);
}

}  // namespace

void take_drawing(Measurement& measurement, std::string_view drawing) {
  take_each(member(Json::parse(drawing, nullptr, false), "parts"), measurement.parts, take_part);
}

}  // namespace corefeed::worker
