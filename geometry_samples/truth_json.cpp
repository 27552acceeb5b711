// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/truth_json.hpp"

#include <cmath>

namespace corefeed::geometry_samples {
namespace {

using Json = nlohmann::ordered_json;

// Dividing by the exact power of ten gives the nearest double, so that 400 mm is written as 0.4.
double meters(double value) { return value / 1e3; }
double square_meters(double value) { return value / 1e6; }
double cubic_meters(double value) { return value / 1e9; }

/// Rotations leave zeros as 1e-17 or -0; neither says anything.
double without_dust(double value) { return std::abs(value) < 1e-15 ? 0.0 : value; }

Json point(const gp_Pnt& p) {
  return {without_dust(meters(p.X())), without_dust(meters(p.Y())), without_dust(meters(p.Z()))};
}

Json direction(const gp_Dir& d) { return {without_dust(d.X()), without_dust(d.Y()), without_dust(d.Z())}; }

Json size(double area, double perimeter) {
  return {{"area", square_meters(area)},
          {"perimeter", meters(perimeter)},
          {"hydraulic_diameter", meters(4.0 * area / perimeter)}};
}

Json opening(const End& end) {
  Json json{{"name", end.name}};
  json.update(size(end.area, end.perimeter));
  json["center"] = point(end.center);
  json["normal"] = direction(end.normal);
  return json;
}

Json station(const Station& at, double length) {
  Json json{{"share", at.distance / length}, {"distance", meters(at.distance)}};
  json.update(size(at.area, at.perimeter));
  json["center"] = point(at.center);
  json["tangent"] = direction(at.tangent);
  return json;
}

Json path(const Truth& truth) {
  Json json{
      {"from", truth.ends.front().name}, {"to", truth.ends.back().name}, {"length", meters(truth.length)}};
  if (truth.free_form)
    json["free_form"] = true;
  else
    json["bend"] = Json::array();
  for (const Bend& bend : truth.bends)
    json["bend"].push_back({{"from", meters(bend.from)},
                            {"to", meters(bend.to)},
                            {"angle", bend.angle},
                            {"radius", meters(bend.radius)}});
  if (truth.cone_angle) json["cone_angle"] = *truth.cone_angle;
  if (truth.narrowest)
    json["narrowest"] = {{"distance", meters(truth.narrowest->distance)},
                         {"area", square_meters(truth.narrowest->area)}};
  json["stations"] = Json::array();
  for (const Station& at : truth.stations) json["stations"].push_back(station(at, truth.length));
  return json;
}

}  // namespace

std::string unit_name(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::inch:
      return "in";
    case LengthUnit::meter:
      return "m";
    case LengthUnit::millimeter:
      break;
  }
  return "mm";
}

Json truth_json(const Sample& sample) {
  const Truth& truth = sample.truth;
  if (!sample.expected.is_null()) {
    return {{"file", sample.name + ".step"},
            {"unit", unit_name(sample.unit)},
            {"formula", truth.formula},
            {"expected", sample.expected}};
  }
  Json json{{"file", sample.name + ".step"}, {"part", sample.bodies.front().name},
            {"kind", "flow volume"},         {"unit", unit_name(sample.unit)},
            {"formula", truth.formula},      {"volume", cubic_meters(truth.volume)},
            {"openings", Json::array()}};
  for (const End& end : truth.ends) json["openings"].push_back(opening(end));
  json["path"] = path(truth);
  return json;
}

}  // namespace corefeed::geometry_samples
