// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/solids.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepGProp.hxx>
#include <BRepLib.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shell.hxx>
#include <gp_Vec.hxx>
#include <stdexcept>

namespace corefeed::geometry_samples {
namespace {

constexpr double port_thickness = 0.5;

TopoDS_Shape only(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind) {
  TopExp_Explorer explorer(shape, kind);
  if (!explorer.More()) throw std::runtime_error("the pieces of a sample do not make a closed solid");
  const TopoDS_Shape found = explorer.Current();
  explorer.Next();
  if (explorer.More()) throw std::runtime_error("the pieces of a sample make several solids instead of one");
  return found;
}

TopoDS_Solid oriented(TopoDS_Solid solid) {
  if (!BRepLib::OrientClosedSolid(solid)) throw std::runtime_error("a sample's solid is not closed");
  return solid;
}

void name_ends(Truth& truth, const std::string& element) {
  truth.ends.front().name = element + ".from";
  truth.ends.back().name = element + ".to";
}

}  // namespace

TopoDS_Solid solid_from_faces(const std::vector<TopoDS_Face>& faces) {
  BRepBuilderAPI_Sewing sewing(1e-6);
  for (const TopoDS_Face& face : faces) sewing.Add(face);
  sewing.Perform();
  const TopoDS_Shell shell = TopoDS::Shell(only(sewing.SewedShape(), TopAbs_SHELL));
  return oriented(BRepBuilderAPI_MakeSolid(shell).Solid());
}

TopoDS_Solid join(const std::vector<TopoDS_Shape>& pieces) {
  if (pieces.size() == 1) return oriented(TopoDS::Solid(only(pieces.front(), TopAbs_SOLID)));
  TopTools_ListOfShape first;
  TopTools_ListOfShape others;
  first.Append(pieces.front());
  for (std::size_t i = 1; i < pieces.size(); ++i) others.Append(pieces[i]);
  BRepAlgoAPI_Fuse fuse;
  fuse.SetArguments(first);
  fuse.SetTools(others);
  fuse.Build();
  if (fuse.HasErrors()) throw std::runtime_error("the pieces of a sample could not be joined");
  return oriented(TopoDS::Solid(only(fuse.Shape(), TopAbs_SOLID)));
}

TopoDS_Face end_face(const TopoDS_Shape& solid, const End& end) {
  for (TopExp_Explorer explorer(solid, TopAbs_FACE); explorer.More(); explorer.Next()) {
    const TopoDS_Face face = TopoDS::Face(explorer.Current());
    const BRepAdaptor_Surface surface(face);
    if (surface.GetType() != GeomAbs_Plane) continue;
    if (!surface.Plane().Axis().Direction().IsParallel(end.normal, 1e-6)) continue;
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(face, properties);
    // Two parallel planar faces of a duct are never this close to each other.
    if (properties.CentreOfMass().Distance(end.center) < 0.01) return face;
  }
  throw std::runtime_error("no planar face was found at the end named " + end.name);
}

Sample single_part(const std::string& name, const TopoDS_Solid& solid, Truth truth) {
  Sample sample;
  sample.name = name;
  sample.bodies.push_back({name, solid, gp_Trsf(), {}});
  sample.truth = std::move(truth);
  return sample;
}

Sample with_port_bodies(Sample sample, const std::string& assembly, const std::string& element) {
  name_ends(sample.truth, element);
  sample.assembly = assembly;
  const TopoDS_Shape solid = sample.bodies.front().shape;
  for (const End& end : sample.truth.ends) {
    const gp_Vec outward = gp_Vec(end.normal) * port_thickness;
    const TopoDS_Shape plate = BRepPrimAPI_MakePrism(end_face(solid, end), outward, true).Shape();
    sample.bodies.push_back({"port:" + end.name, plate, gp_Trsf(), {}});
  }
  return sample;
}

Sample with_port_faces(Sample sample, const std::string& element) {
  name_ends(sample.truth, element);
  Body& body = sample.bodies.front();
  for (const End& end : sample.truth.ends)
    body.named_faces.emplace_back("port:" + end.name, end_face(body.shape, end));
  return sample;
}

Sample placed(Sample sample, const std::string& assembly, const gp_Trsf& placement) {
  sample.assembly = assembly;
  for (Body& body : sample.bodies) body.placement = placement;
  for (End& end : sample.truth.ends) {
    end.center.Transform(placement);
    end.normal.Transform(placement);
  }
  for (Station& station : sample.truth.stations) {
    station.center.Transform(placement);
    station.tangent.Transform(placement);
  }
  return sample;
}

}  // namespace corefeed::geometry_samples
