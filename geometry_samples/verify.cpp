// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/verify.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "geometry_samples/exact_section.hpp"
#include "geometry_samples/solids.hpp"
#include "geometry_samples/step_file.hpp"
#include "geometry_samples/truth_json.hpp"

namespace corefeed::geometry_samples {
namespace {

using Json = nlohmann::json;

constexpr double tolerance = 1e-6;  // relative; also radians for directions

gp_XYZ triple(const Json& json) {
  return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

gp_Pnt point(const Json& json) { return gp_Pnt(triple(json) * 1e3); }

double relative(double found, double expected) { return std::abs(found - expected) / std::abs(expected); }

/// Compares one file; each deviation is kept, each one above the tolerance becomes a sentence.
class Comparison {
 public:
  Comparison(StepContent content, Json truth) : content_(std::move(content)), truth_(std::move(truth)) {}

  Verdict run() {
    solid_ = part(truth_.at("part").get<std::string>());
    if (solid_.IsNull()) return verdict_;
    if (content_.unit != truth_.at("unit").get<std::string>())
      fault("the file's unit is " + content_.unit + ", not " + truth_.at("unit").get<std::string>());
    check_solid();
    for (const Json& opening : truth_.at("openings")) check_opening(opening);
    for (const Json& station : truth_.at("path").at("stations")) check_station(station);
    return verdict_;
  }

 private:
  void fault(const std::string& sentence) {
    verdict_.faults.push_back(truth_.at("file").get<std::string>() + ": " + sentence);
  }

  void compare(double deviation, const std::string& what, double& largest) {
    largest = std::max(largest, deviation);
    if (!(deviation <= tolerance))
      fault(what + " deviates from the truth by " + Json(deviation).dump() + ", more than 1e-6");
  }

  TopoDS_Shape part(const std::string& name) {
    const auto found = content_.parts.find(name);
    if (found != content_.parts.end()) return found->second;
    fault("the file holds no part named " + name);
    return {};
  }

  void check_solid() {
    int solids = 0;
    for (TopExp_Explorer explorer(solid_, TopAbs_SOLID); explorer.More(); explorer.Next()) ++solids;
    if (solids != 1) fault("the part is not one solid");
    for (const auto& [name, shape] : content_.parts)
      if (!BRepCheck_Analyzer(shape).IsValid()) fault("the solid " + name + " is not valid");
    GProp_GProps properties;
    BRepGProp::VolumeProperties(solid_, properties, 1e-10, true);
    compare(relative(properties.Mass() * 1e-9, truth_.at("volume").get<double>()), "the volume",
            verdict_.volume);
  }

  void check_measure(const Measure& found, const Json& expected, const std::string& what, double& largest) {
    const double area = expected.at("area").get<double>();
    compare(relative(found.area * 1e-6, area), "the area of " + what, largest);
    compare(relative(found.perimeter * 1e-3, expected.at("perimeter").get<double>()),
            "the perimeter of " + what, largest);
    compare(found.center.Distance(point(expected.at("center"))) * 1e-3 / std::sqrt(area),
            "the center of " + what + " (in square roots of its area)", largest);
    compare(relative(4e-3 * found.area / found.perimeter, expected.at("hydraulic_diameter").get<double>()),
            "the hydraulic diameter of " + what, largest);
  }

  void check_opening(const Json& opening) {
    End end;
    end.name = opening.at("name").get<std::string>();
    end.center = point(opening.at("center"));
    end.normal = gp_Dir(triple(opening.at("normal")));
    const TopoDS_Face face = end_face(solid_, end);
    check_measure(measure_face(face), opening, "the opening '" + end.name + "'", verdict_.openings);
    gp_Dir normal = BRepAdaptor_Surface(face).Plane().Axis().Direction();
    if (!BRepAdaptor_Surface(face).Plane().Direct()) normal.Reverse();
    if (face.Orientation() == TopAbs_REVERSED) normal.Reverse();
    compare(normal.Angle(end.normal), "the normal of the opening '" + end.name + "'", verdict_.openings);
    if (smallest_edge_angle(solid_, face) < 0.5)
      fault("the wall meets the opening '" + end.name + "' without a sharp edge");
    if (end.name.find('.') != std::string::npos) check_port("port:" + end.name, face);
  }

  /// A named end has a thin body that touches it over its whole area, or bears the name itself.
  void check_port(const std::string& name, const TopoDS_Face& face) {
    const auto named = content_.faces.find(name);
    if (named != content_.faces.end()) {
      if (!named->second.IsSame(face)) fault("the name " + name + " is on another face than the opening");
      return;
    }
    const TopoDS_Shape body = part(name);
    if (body.IsNull()) return;
    if (BRepExtrema_DistShapeShape(body, face).Value() > 1e-6)
      fault("the body " + name + " does not touch its opening");
  }

  void check_station(const Json& station) {
    const gp_Pnt center = point(station.at("center"));
    const gp_Dir tangent(triple(station.at("tangent")));
    const std::string what = "the section at " + station.at("share").dump() + " of the length";
    check_measure(exact_section(solid_, center, tangent), station, what, verdict_.sections);
  }

  StepContent content_;
  Json truth_;
  TopoDS_Shape solid_;
  Verdict verdict_;
};

/// Where the truth is no flow volume: the bodies are there, valid, and of the volume that their formula says.
Verdict verify_bodies(const StepContent& content, const Sample& sample) {
  Verdict verdict;
  const auto fault = [&](const std::string& sentence) {
    verdict.faults.push_back(sample.name + ".step: " + sentence);
  };
  if (content.unit != unit_name(sample.unit)) fault("the file's unit is " + content.unit);
  for (const Body& body : sample.bodies) {
    const auto found = content.parts.find(body.name);
    if (found == content.parts.end()) {
      fault("the file holds no part named " + body.name);
      continue;
    }
    if (!BRepCheck_Analyzer(found->second).IsValid()) fault("the shape " + body.name + " is not valid");
    if (!body.solid_volume) continue;
    GProp_GProps properties;
    BRepGProp::VolumeProperties(found->second, properties, 1e-10, true);
    const double deviation = relative(properties.Mass(), *body.solid_volume);
    verdict.volume = std::max(verdict.volume, deviation);
    if (!(deviation <= tolerance))
      fault("the volume of " + body.name + " deviates from its formula by " + Json(deviation).dump());
  }
  return verdict;
}

}  // namespace

Verdict verify(const std::string& directory, const Sample& sample) {
  const std::string stem = directory + "/" + sample.name;
  std::ifstream file(stem + ".truth.json", std::ios::binary);
  if (!file) throw std::runtime_error("the file " + stem + ".truth.json could not be read");
  if (!sample.expected.is_null()) return verify_bodies(read_step(stem + ".step"), sample);
  return Comparison(read_step(stem + ".step"), Json::parse(file)).run();
}

}  // namespace corefeed::geometry_samples
