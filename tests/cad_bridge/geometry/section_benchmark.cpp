// SPDX-License-Identifier: Apache-2.0
// section_benchmark: what plane sections of a passage cost beside the same sections by the exact kernel, how
// the cost grows with the mesh, and what a part of a thousand faces takes from STEP file to measured duct.
// Prints the tables of docs/performance.md. Processor times, medians of rounds in turn.
#include <BRepAlgoAPI_Section.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepGProp.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <GProp_GProps.hxx>
#include <GeomAPI_Interpolate.hxx>
#include <Geom_BSplineCurve.hxx>
#include <STEPControl_Writer.hxx>
#include <ShapeAnalysis_FreeBounds.hxx>
#include <TColgp_HArray1OfPnt.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_HSequenceOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <algorithm>
#include <cmath>
#include <ctime>
#include <fstream>
#include <functional>
#include <gp_Pln.hxx>
#include <iostream>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <vector>

#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/openings.hpp"
#include "cad_bridge/geometry/passage.hpp"
#include "cad_bridge/geometry/read_step.hpp"
#include "cad_bridge/geometry/section.hpp"
#include "cad_bridge/geometry/section_tree.hpp"
#include "cad_bridge/geometry/solids.hpp"
#include "cad_bridge/geometry/wall_mesh.hpp"
#include "fmt/format.h"

namespace {

using namespace corefeed::geometry;

constexpr double pi = std::numbers::pi;
constexpr int sections = 50;
constexpr int rounds = 5;

double processor_seconds() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double timed(const std::function<void()>& work) {
  const double start = processor_seconds();
  work();
  return processor_seconds() - start;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

/// A passage whose openings are not known yet.
struct Subject {
  std::string name;
  TopoDS_Shape solid;
};

TopoDS_Shape file_shape(const std::string& name) {
  std::ifstream step(std::string(COREFEED_SOURCE_DIR "/geometry_samples/") + name + ".step",
                     std::ios::binary);
  const auto file = read_step(step, std::nullopt);
  if (!file) throw std::runtime_error(file.issues().front().text);
  return file.value().bodies.front().shape;
}

/// A closed spline through points of a rounded rectangle, as a section drawn by hand is.
TopoDS_Wire spline_section(double x, double side, double width, double height) {
  constexpr int points = 24;
  const Handle(TColgp_HArray1OfPnt) through = new TColgp_HArray1OfPnt(1, points);
  for (int i = 0; i < points; ++i) {
    const double angle = 2 * pi * i / points;
    const double power = 0.6;
    const auto bulge = [power](double v) { return std::copysign(std::pow(std::abs(v), power), v); };
    through->SetValue(
        i + 1, gp_Pnt(x, side + 0.5 * width * bulge(std::cos(angle)), 0.5 * height * bulge(std::sin(angle))));
  }
  GeomAPI_Interpolate curve(through, true, 1e-6);
  curve.Perform();
  return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(curve.Curve()).Edge()).Wire();
}

/// A duct lofted smoothly through nine spline sections, shifted aside like an S and widening.
TopoDS_Shape spline_duct() {
  BRepOffsetAPI_ThruSections loft(true, false, 1e-6);
  for (int i = 0; i <= 8; ++i) {
    const double t = i / 8.0;
    loft.AddWire(spline_section(600 * t, 80 * t * t * (3 - 2 * t), 160 + 120 * t, 90 + 50 * t * t));
  }
  loft.Build();
  return loft.Shape();
}

/// 20 rings of 50 plane faces, which widen and narrow by turns, and two ends.
TopoDS_Shape thousand_faces() {
  BRepOffsetAPI_ThruSections loft(true, true, 1e-6);
  for (int ring = 0; ring <= 20; ++ring) {
    BRepBuilderAPI_MakePolygon polygon;
    const double radius = 60 + 2.0 * ring + 4 * std::sin(0.8 * ring);
    for (int i = 0; i < 50; ++i)
      polygon.Add(
          gp_Pnt(40.0 * ring, radius * std::cos(2 * pi * i / 50), radius * std::sin(2 * pi * i / 50)));
    polygon.Close();
    loft.AddWire(polygon.Wire());
  }
  loft.Build();
  return loft.Shape();
}

Passage passage_of(const TopoDS_Shape& shape) {
  const auto sound = sound_solid(shape, "duct");
  if (!sound) throw std::runtime_error(sound.issues().front().text);
  auto found = find_openings(sound.value().solid, {}, {}, "duct");
  if (!found) throw std::runtime_error(found.issues().front().text);
  return {sound.value().solid, std::move(found).value().openings};
}

/// 50 planes normal to the passage's own line, the ends left out.
std::vector<CutPlane> planes_of(const Passage& passage) {
  PathOptions options;
  options.sections = sections + 2;
  const auto path = trace_path(passage, 0, 1, options);
  if (!path) throw std::runtime_error(path.issues().front().text);
  std::vector<CutPlane> planes;
  for (std::size_t i = 1; i + 1 < path.value().stations.size(); ++i) {
    const Station& station = path.value().stations[i];
    planes.push_back({1e3 * Vec3(station.center[0], station.center[1], station.center[2]),
                      Vec3(station.tangent[0], station.tangent[1], station.tangent[2])});
  }
  return planes;
}

double our_area(const WallMesh& mesh, const SectionTree& tree, const CutPlane& plane,
                const std::vector<double>& levels) {
  std::vector<Outline> outlines;
  for (CutLoop& loop : cut(mesh, tree, plane, levels, Accuracy::exact))
    outlines.push_back(std::move(loop.outline));
  return summarize(plane, std::move(outlines)).area;
}

/// The kernel's section curves, joined to faces, integrated to 1e-6.
double kernel_area(const TopoDS_Shape& solid, const CutPlane& plane) {
  const gp_Pln cut_plane(gp_Pnt(plane.origin.x(), plane.origin.y(), plane.origin.z()),
                         gp_Dir(plane.normal.x(), plane.normal.y(), plane.normal.z()));
  BRepAlgoAPI_Section section(solid, cut_plane, false);
  section.Approximation(true);
  section.Build();
  Handle(TopTools_HSequenceOfShape) edges = new TopTools_HSequenceOfShape;
  for (TopExp_Explorer each(section.Shape(), TopAbs_EDGE); each.More(); each.Next())
    edges->Append(each.Current());
  Handle(TopTools_HSequenceOfShape) wires = new TopTools_HSequenceOfShape;
  ShapeAnalysis_FreeBounds::ConnectEdgesToWires(edges, 1e-4, false, wires);
  double sum = 0;
  for (int i = 1; i <= wires->Length(); ++i) {
    BRepBuilderAPI_MakeFace face(cut_plane, TopoDS::Wire(wires->Value(i)));
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(face.Shape(), properties, 1e-6);
    sum += std::abs(properties.Mass());
  }
  return sum;
}

/// The edge length to which `trace_path` splits: half the root of the smaller opening's area.
double usual_edge(const Passage& passage) {
  const double smaller = std::min(passage.openings[0].area, passage.openings[1].area);
  return 0.5e3 * std::sqrt(smaller);
}

void compare(const Subject& subject) {
  const Passage passage = passage_of(subject.solid);
  const std::vector<CutPlane> planes = planes_of(passage);
  std::vector<double> slicing;
  std::vector<double> with_mesh;
  std::vector<double> kernel;
  double worst = 0;
  std::size_t triangles = 0;
  for (int round = 0; round < rounds; ++round) {
    std::vector<double> ours;
    std::vector<double> theirs;
    WallMesh mesh;
    double prepared = timed([&] {
      const Passage found = passage_of(subject.solid);
      mesh = build_wall_mesh(found).value();
      split_long_edges(mesh, usual_edge(found));
    });
    std::optional<SectionTree> tree;
    prepared += timed([&] { tree.emplace(mesh); });
    triangles = mesh.triangles.size();
    const std::vector<double> levels(mesh.points.size(), 0.0);
    slicing.push_back(timed([&] {
      for (const CutPlane& plane : planes) ours.push_back(our_area(mesh, *tree, plane, levels));
    }));
    with_mesh.push_back(prepared + slicing.back());
    if (round < 3) {  // the kernel takes seconds
      kernel.push_back(timed([&] {
        for (const CutPlane& plane : planes) theirs.push_back(kernel_area(passage.solid, plane));
      }));
      for (std::size_t i = 0; i < planes.size(); ++i)
        worst = std::max(worst, std::abs(ours[i] / theirs[i] - 1));
    }
  }
  const double a = median(slicing);
  const double b = median(with_mesh);
  const double c = median(kernel);
  std::cout << fmt::format("| {} | {} | {:.3g} | {:.3g} | {:.3g} | {:.0f} | {:.0f} | {:.1g} |\n",
                           subject.name, triangles, 1e3 * a, 1e3 * b, 1e3 * c, c / a, c / b, worst)
            << std::flush;
}

void growth(const Subject& subject) {
  const Passage passage = passage_of(subject.solid);
  const std::vector<CutPlane> planes = planes_of(passage);
  for (const double share : {1.0, 0.5, 0.25, 0.125}) {
    WallMesh mesh = build_wall_mesh(passage).value();
    split_long_edges(mesh, share * usual_edge(passage));
    const SectionTree tree(mesh);
    const std::vector<double> levels(mesh.points.size(), 0.0);
    std::vector<double> times;
    for (int round = 0; round < rounds; ++round)
      times.push_back(timed([&] {
        for (const CutPlane& plane : planes) our_area(mesh, tree, plane, levels);
      }));
    std::size_t near = 0;
    for (const CutPlane& plane : planes) near += tree.near(plane).size();
    const double micro = 1e6 * median(times) / sections;
    std::cout << fmt::format("| {} | {} | {:.0f} | {:.3g} | {:.2g} |\n", subject.name, mesh.triangles.size(),
                             static_cast<double>(near) / sections, micro,
                             micro * sections / static_cast<double>(near));
  }
}

void from_file(const std::string& path) {
  const TopoDS_Shape shape = thousand_faces();
  int faces = 0;
  for (TopExp_Explorer each(shape, TopAbs_FACE); each.More(); each.Next()) ++faces;
  std::vector<double> alone;
  for (int round = 0; round < rounds; ++round)
    alone.push_back(timed([&] {
      if (!measure_shape(shape, "thousand_air", {}))
        throw std::runtime_error("the part could not be measured");
    }));
  STEPControl_Writer writer;
  writer.Transfer(shape, STEPControl_AsIs);
  writer.Write(path.c_str());
  std::vector<double> read;
  for (int round = 0; round < rounds; ++round)
    read.push_back(timed([&] {
      std::ifstream step(path, std::ios::binary);
      if (!measure_step(step, {})) throw std::runtime_error("the file could not be measured");
    }));
  std::cout << fmt::format("| {} | {:.2g} | {:.2g} |\n", faces, median(alone), median(read));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "Expected: section_benchmark FILE.step, where the part of a thousand faces is written to.\n";
    return 2;
  }
  try {
    const Subject spline{"spline duct, 9 sections", spline_duct()};
    const Subject free_form{"free_form_duct", file_shape("free_form_duct")};
    const Subject ruled{"rectangular_to_round", file_shape("rectangular_to_round")};
    const Subject planar{"nose_duct", file_shape("nose_duct")};
    std::cout << "| part | triangles | 50 sections, ms | with mesh and openings, ms | kernel, ms | ratio | "
                 "with mesh and "
                 "openings | largest difference |\n|---|---|---|---|---|---|---|---|\n";
    for (const Subject& subject : {spline, free_form, ruled, planar}) compare(subject);
    std::cout << "\n| part | triangles | near the plane | a section, us | us a triangle near it "
                 "|\n|---|---|---|---|---|\n";
    for (const Subject& subject : {spline, planar}) growth(subject);
    std::cout << "\n| faces | measured, s | with reading, s |\n|---|---|---|\n";
    from_file(argv[1]);
    return 0;
  } catch (const std::exception& failure) {
    std::cerr << failure.what() << "\n";
    return 1;
  }
}
