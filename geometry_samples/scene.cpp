// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/scene.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <TopTools_ListOfShape.hxx>
#include <array>
#include <cmath>
#include <gp_Ax2.hxx>
#include <stdexcept>
#include <utility>

namespace corefeed::geometry_samples {
namespace {

gp_XYZ triple(const Json& json) {
  return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

void move_within(Json& json, const gp_Trsf& placement) {
  if (json.is_object()) {
    if (json.contains("center"))
      json["center"] = to_json(gp_Pnt(triple(json["center"]) * 1e3).Transformed(placement));
    if (json.contains("normal"))
      json["normal"] = to_json(gp_Dir(triple(json["normal"])).Transformed(placement));
  }
  if (!json.is_structured()) return;
  for (Json& each : json) move_within(each, placement);
}

}  // namespace

double meters(double value) { return value / 1e3; }
double square_meters(double value) { return value / 1e6; }
Json to_json(const gp_Pnt& point) { return {meters(point.X()), meters(point.Y()), meters(point.Z())}; }
Json to_json(const gp_Dir& direction) { return {direction.X(), direction.Y(), direction.Z()}; }

TopoDS_Shape box(const gp_Pnt& low, const gp_Pnt& high) { return BRepPrimAPI_MakeBox(low, high).Shape(); }

TopoDS_Shape cylinder(const gp_Pnt& base, const gp_Dir& axis, double radius, double length) {
  return BRepPrimAPI_MakeCylinder(gp_Ax2(base, axis), radius, length).Shape();
}

TopoDS_Shape cut(const TopoDS_Shape& whole, const std::vector<TopoDS_Shape>& others) {
  TopTools_ListOfShape arguments;
  TopTools_ListOfShape tools;
  arguments.Append(whole);
  for (const TopoDS_Shape& other : others) tools.Append(other);
  BRepAlgoAPI_Cut cutter;
  cutter.SetArguments(arguments);
  cutter.SetTools(tools);
  cutter.Build();
  if (cutter.HasErrors()) throw std::runtime_error("a sample could not be cut");
  cutter.SimplifyResult();
  return cutter.Shape();
}

double integral(const std::function<double(double)>& f, double low, double high) {
  constexpr int stretches = 400;
  constexpr std::array<std::pair<double, double>, 5> rule{{{0.0, 0.5688888888888889},
                                                           {-0.5384693101056831, 0.4786286704993665},
                                                           {0.5384693101056831, 0.4786286704993665},
                                                           {-0.9061798459386640, 0.2369268850561891},
                                                           {0.9061798459386640, 0.2369268850561891}}};
  const double half = 0.5 * (high - low) / stretches;
  double sum = 0.0;
  for (int i = 0; i < stretches; ++i) {
    const double middle = low + (2 * i + 1) * half;
    for (const auto& [place, weight] : rule) sum += weight * half * f(middle + place * half);
  }
  return sum;
}

Json blocker(const std::string& part, double gap, double share, double open_perimeter) {
  return {{"part", part}, {"gap", meters(gap)}, {"share", share}, {"open_perimeter", meters(open_perimeter)}};
}

Sample moved(Sample sample, const gp_Trsf& placement) {
  for (Body& body : sample.bodies) body.placement = placement * body.placement;
  move_within(sample.expected, placement);
  return sample;
}

}  // namespace corefeed::geometry_samples
