// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/write_measurement.hpp"

#include <algorithm>
#include <cmath>

#include "cad_bridge/geometry/messages.hpp"
#include "nlohmann/json.hpp"

namespace corefeed::geometry {
namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Opening& opening);
Json to_json(const Station& station);
Json to_json(const Piece& piece);
Json to_json(const Path& path);
Json to_json(const MeasuredPart& part);
Json to_json(const Issue& warning);

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
          {"free_area", opening.area},
          {"blocked_by", Json::array()}};
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
  return {{"name", part.name},
          {"kind", part.kind},
          {"volume", part.volume ? Json(*part.volume) : Json()},
          {"openings", list(part.openings)},
          {"paths", list(part.paths)},
          {"cutouts", Json::array()}};
}

Json to_json(const Issue& warning) { return {{"code", warning.code}, {"text", warning.text}}; }

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
      {"gaps", Json::array()},
      {"warnings", list(measurement.warnings)}};
  if (!is_finite(json)) {
    return geometry_error("kernel_failure",
                          "the geometry kernel gave a number that is not finite; the shape "
                          "is damaged");
  }
  // Names come from the file: bytes that are no UTF-8 are replaced, not refused.
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace corefeed::geometry
