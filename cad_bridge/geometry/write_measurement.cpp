// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/write_measurement.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "cad_bridge/geometry/messages.hpp"
#include "nlohmann/json.hpp"

namespace corefeed::geometry {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Opening& opening);
Json to_json(const Blocker& blocker);
Json to_json(const Cutout& cutout);
Json to_json(const RimGap& gap);
Json to_json(const Station& station);
Json to_json(const Piece& piece);
Json to_json(const Path& path);
Json to_json(const MeasuredPart& part);
Json to_json(const Issue& warning);
Json to_json(const Curve& curve);

/// Adding zero turns -0 into 0.
Json to_json(const Point& vector) { return {vector[0] + 0.0, vector[1] + 0.0, vector[2] + 0.0}; }

template <class T>
Json list(const std::vector<T>& items) {
  Json json = Json::array();
  for (const T& item : items) json.push_back(to_json(item));
  return json;
}

Json to_json(const Opening& opening) {
  return {{"name", opening.name},
          {"area", opening.area},
          {"perimeter", opening.perimeter},
          {"hydraulic_diameter", opening.hydraulic_diameter},
          {"center", to_json(opening.center)},
          {"normal", to_json(opening.normal)},
          {"free_area", opening.free_area},
          {"blocked_by", list(opening.blocked_by)}};
}

Json to_json(const Blocker& blocker) {
  return {{"part", blocker.part},
          {"gap", blocker.gap},
          {"share", blocker.share},
          {"open_perimeter", blocker.open_perimeter}};
}

Json to_json(const Cutout& cutout) {
  Json json = {{"name", cutout.name},
               {"area", cutout.area},
               {"projected_area", cutout.projected_area},
               {"perimeter", cutout.perimeter},
               {"thickness", cutout.thickness},
               {"center", to_json(cutout.center)},
               {"normal", to_json(cutout.normal)},
               {"free_area", cutout.free_area},
               {"blocked_by", list(cutout.blocked_by)}};
  if (cutout.louvre) {
    json["louvre"] = {{"blades", cutout.louvre->blades},
                      {"blade_angle", cutout.louvre->blade_angle},
                      {"gross_area", cutout.louvre->gross_area},
                      {"throat_area", cutout.louvre->throat_area}};
  }
  return json;
}

Json to_json(const RimGap& gap) {
  return {{"duct", gap.duct},
          {"core", gap.core},
          {"rim_length", gap.rim_length},
          {"gap_area", gap.gap_area},
          {"face_coverage", gap.face_coverage},
          {"incidence", gap.incidence}};
}

Json to_json(const Station& station) {
  return {{"distance", station.distance},
          {"area", station.area},
          {"perimeter", station.perimeter},
          {"hydraulic_diameter", station.hydraulic_diameter},
          {"center", to_json(station.center)},
          {"tangent", to_json(station.tangent)},
          {"loops", station.loops}};
}

Json to_json(const Piece& piece) {
  Json json = {{"kind", piece.kind}, {"from", piece.from}, {"to", piece.to}};
  for (const auto& [key, number] : piece.numbers) json[key] = number;
  for (const auto& [key, choice] : piece.choices) json[key] = choice;
  json["reason"] = piece.reason;
  return json;
}

Json to_json(const Path& path) {
  return {{"from", path.from},
          {"to", path.to},
          {"length", path.length},
          {"narrowest", {{"distance", path.narrowest_distance}, {"area", path.narrowest_area}}},
          {"stations", list(path.stations)},
          {"pieces", list(path.pieces)}};
}

Json to_json(const MeasuredPart& part) {
  Json json = {{"name", part.name},
               {"kind", part.kind},
               {"volume", part.volume ? Json(*part.volume) : Json()},
               {"openings", list(part.openings)},
               {"paths", list(part.paths)},
               {"cutouts", list(part.cutouts)}};
  if (part.core) {
    json["core"] = {{"face_area", part.core->face_area},
                    {"free_face_area", part.core->free_face_area},
                    {"depth", part.core->depth},
                    {"center", to_json(part.core->center)},
                    {"normal", to_json(part.core->normal)}};
  }
  return json;
}

Json to_json(const Issue& warning) { return {{"code", warning.code}, {"text", warning.text}}; }

Json to_json(const Curve& curve) {
  constexpr double micrometers = 1e6;  // per m
  constexpr double farthest = 1e12;    // what a double holds as a whole number, with room to spare
  Json numbers = Json::array();
  for (const Point& point : curve) {
    for (const double coordinate : point) {
      const double number = std::round(coordinate * micrometers);
      if (!(std::abs(number) < farthest)) return Json::array();
      numbers.push_back(static_cast<std::int64_t>(number));
    }
  }
  return numbers;
}

template <class Hole>
Json drawing_of(const std::vector<Hole>& holes) {
  Json json = Json::array();
  for (const Hole& hole : holes) {
    Json covered = Json::array();
    for (const Blocker& blocker : hole.blocked_by) covered.push_back(list(blocker.covered));
    json.push_back({{"outlines", list(hole.outlines)}, {"covered", std::move(covered)}});
  }
  return json;
}

Json drawing_of(const MeasuredPart& part) {
  Json paths = Json::array();
  for (const Path& path : part.paths) {
    Json stations = Json::array();
    for (const Station& station : path.stations) stations.push_back(list(station.outlines));
    paths.push_back({{"stations", std::move(stations)}, {"narrowest", list(path.narrowest_outlines)}});
  }
  return {{"edges", list(part.edges)},
          {"openings", drawing_of(part.openings)},
          {"paths", std::move(paths)},
          {"cutouts", drawing_of(part.cutouts)},
          {"core", list(part.core ? part.core->outlines : std::vector<Curve>())}};
}

bool is_finite(const Json& json) {
  if (json.is_number_float()) return std::isfinite(json.get<double>());
  return !json.is_structured() ||
         std::all_of(json.begin(), json.end(), [](const Json& each) { return is_finite(each); });
}

}  // namespace

Result<std::string> write_measurement(const Measurement& measurement) {
  const Json json = {
      {"file", measurement.file},
      {"unit", measurement.unit},
      {"bounding_box", {to_json(measurement.bounding_box[0]), to_json(measurement.bounding_box[1])}},
      {"parts", list(measurement.parts)},
      {"gaps", list(measurement.gaps)},
      {"warnings", list(measurement.warnings)}};
  if (!is_finite(json)) {
    return geometry_error("kernel_failure",
                          "the geometry kernel gave a number that is not finite; the shape "
                          "is damaged");
  }
  // Names come from the file: bytes that are no UTF-8 are replaced, not refused.
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string write_marks(const Measurement& measurement) {
  Json marks = Json::array();
  for (const MeasuredPart& part : measurement.parts) {
    for (std::size_t i = 0; i < part.opening_marks.size() && i < part.openings.size(); ++i) {
      const FaceMark& mark = part.opening_marks[i];
      if (mark.layers.empty() && mark.color.empty()) continue;
      marks.push_back({{"part", part.name},
                       {"opening", part.openings[i].name},
                       {"layers", mark.layers},
                       {"color", mark.color}});
    }
  }
  return marks.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string write_drawing(const Measurement& measurement) {
  Json parts = Json::array();
  for (const MeasuredPart& part : measurement.parts) parts.push_back(drawing_of(part));
  std::string drawing = Json{{"parts", std::move(parts)}}.dump();
  // The measurement comes first: a picture of ten thousand sections must not fill the reply.
  constexpr std::size_t most_bytes = std::size_t{32} << 20;
  return drawing.size() <= most_bytes ? drawing : "null";
}

}  // namespace corefeed::geometry
