// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/bodies.hpp"

#include <BRepBuilderAPI_Transform.hxx>
#include <BRep_Builder.hxx>
#include <NCollection_DataMap.hxx>
#include <Quantity_Color.hxx>
#include <TColStd_HSequenceOfExtendedString.hxx>
#include <TDF_ChildIterator.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_LayerTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <algorithm>
#include <map>
#include <utility>

#include "cad_bridge/geometry/names.hpp"

namespace corefeed::geometry {
namespace {

using ShapeNames = NCollection_DataMap<TopoDS_Shape, std::string, TopTools_ShapeMapHasher>;
using ShapeMarks = NCollection_DataMap<TopoDS_Shape, FaceMark, TopTools_ShapeMapHasher>;

std::string utf8(const TCollection_ExtendedString& text) {
  std::string bytes(static_cast<std::size_t>(text.LengthOfCString()), '\0');
  Standard_PCharacter out = bytes.data();
  text.ToUTF8CString(out);
  return bytes;
}

std::string label_name(const TDF_Label& label) {
  Handle(TDataStd_Name) name;
  return label.FindAttribute(TDataStd_Name::GetID(), name) ? given_name(utf8(name->Get())) : std::string();
}

/// Walks one document; the path of instances grows on the way down.
class Walk {
 public:
  explicit Walk(const Handle(TDocStd_Document) & document)
      : shapes_(XCAFDoc_DocumentTool::ShapeTool(document->Main())),
        layers_(XCAFDoc_DocumentTool::LayerTool(document->Main())),
        colors_(XCAFDoc_DocumentTool::ColorTool(document->Main())) {}

  std::vector<Body> run() {
    TDF_LabelSequence roots;
    shapes_->GetFreeShapes(roots);
    // With one root its name says nothing; with several it keeps their instances apart.
    const bool name_roots = roots.Length() > 1;
    for (int i = 1; i <= roots.Length(); ++i) {
      const TDF_Label& root = roots.Value(i);
      Body context;
      if (shapes_->IsAssembly(root)) {
        (name_roots ? context.name : context.root) = label_name(root);
        components(root, TopLoc_Location(), context);
      } else {
        instance(root, TopLoc_Location(), context);
      }
    }
    return std::move(bodies_);
  }

 private:
  void components(const TDF_Label& assembly, const TopLoc_Location& placed, const Body& context) {
    TDF_LabelSequence labels;
    shapes_->GetComponents(assembly, labels);
    for (int i = 1; i <= labels.Length(); ++i) {
      instance(labels.Value(i), placed * shapes_->GetLocation(labels.Value(i)), context);
    }
  }

  void instance(const TDF_Label& label, const TopLoc_Location& placed, Body context) {
    TDF_Label product = label;
    shapes_->GetReferredShape(label, product);
    context.product = label_name(product);
    std::string step = label_name(label);
    if (step.empty() || (port_of_name(context.product) && !port_of_name(step))) step = context.product;
    if (step.empty()) step = "unnamed";
    context.name += (context.name.empty() ? "" : "/") + step;
    if (shapes_->IsAssembly(product)) return components(product, placed, context);

    const ShapeNames names = names_within(product);
    const auto name_of = [&names](const TopoDS_Shape& shape) {
      const std::string* name = names.Seek(shape);
      return name ? *name : std::string();
    };
    const ShapeMarks marks = marks_within(product);
    const auto mark_of = [&marks](const TopoDS_Shape& shape) {
      const FaceMark* mark = marks.Seek(shape);
      return mark ? *mark : FaceMark();
    };
    for (Body& body : bodies_of_shape(shapes_->GetShape(product), context, name_of, mark_of)) {
      body.shape = body.shape.Moved(placed);
      bodies_.push_back(std::move(body));
    }
  }

  ShapeNames names_within(const TDF_Label& product) const {
    ShapeNames names;
    for (TDF_ChildIterator child(product); child.More(); child.Next()) {
      if (!shapes_->IsSubShape(child.Value())) continue;
      std::string name = label_name(child.Value());
      if (!port_of_name(name)) name = port_layer(child.Value()).value_or(name);
      if (!name.empty()) names.Bind(shapes_->GetShape(child.Value()), name);
    }
    return names;
  }

  ShapeMarks marks_within(const TDF_Label& product) const {
    ShapeMarks marks;
    for (TDF_ChildIterator child(product); child.More(); child.Next()) {
      if (!shapes_->IsSubShape(child.Value())) continue;
      const FaceMark mark{layers_of(child.Value()), color_of(child.Value())};
      if (!mark.layers.empty() || !mark.color.empty()) marks.Bind(shapes_->GetShape(child.Value()), mark);
    }
    return marks;
  }

  std::vector<std::string> layers_of(const TDF_Label& label) const {
    std::vector<std::string> names;
    Handle(TColStd_HSequenceOfExtendedString) layers;
    if (!layers_->GetLayers(label, layers) || layers.IsNull()) return names;
    for (int i = 1; i <= layers->Length(); ++i) names.push_back(utf8(layers->Value(i)));
    return names;
  }

  std::string color_of(const TDF_Label& label) const {
    Quantity_Color color;
    if (!colors_->GetColor(label, XCAFDoc_ColorSurf, color) &&
        !colors_->GetColor(label, XCAFDoc_ColorGen, color)) {
      return {};
    }
    std::string hexadecimal = Quantity_Color::ColorToHex(color, true).ToCString();
    std::transform(hexadecimal.begin(), hexadecimal.end(), hexadecimal.begin(),
                   [](char c) { return c >= 'A' && c <= 'F' ? static_cast<char>(c - 'A' + 'a') : c; });
    return hexadecimal;
  }

  // A layer is a name for faces in systems that cannot name them.
  std::optional<std::string> port_layer(const TDF_Label& label) const {
    for (const std::string& name : layers_of(label)) {
      if (port_of_name(name)) return name;
    }
    return std::nullopt;
  }

  Handle(XCAFDoc_ShapeTool) shapes_;
  Handle(XCAFDoc_LayerTool) layers_;
  Handle(XCAFDoc_ColorTool) colors_;
  std::vector<Body> bodies_;
};

Body body_of(const TopoDS_Shape& shape, const Body& context, std::string own_name, const NameOf& name_of,
             const MarkOf& mark_of) {
  Body body = context;
  body.own_name = std::move(own_name);
  body.shape = shape;
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(shape, TopAbs_FACE, faces);
  for (int i = 1; i <= faces.Extent(); ++i) {
    body.face_names.push_back(name_of(faces(i)));
    body.face_marks.push_back(mark_of(faces(i)));
  }
  return body;
}

}  // namespace

std::vector<Body> bodies_of_document(const Handle(TDocStd_Document) & document) {
  return Walk(document).run();
}

std::vector<Body> bodies_of_shape(const TopoDS_Shape& shape, const Body& context, const NameOf& name_of,
                                  const MarkOf& mark_of) {
  std::vector<Body> bodies;
  if (shape.IsNull()) return bodies;
  for (TopExp_Explorer solid(shape, TopAbs_SOLID); solid.More(); solid.Next()) {
    bodies.push_back(body_of(solid.Current(), context, name_of(solid.Current()), name_of, mark_of));
  }
  TopoDS_Compound rest;
  BRep_Builder().MakeCompound(rest);
  bool any = false;
  const auto loose = [&](const TopoDS_Shape& surface) {
    std::string name = name_of(surface);
    if (port_of_name(name)) {
      bodies.push_back(body_of(surface, context, std::move(name), name_of, mark_of));
    } else {
      BRep_Builder().Add(rest, surface);
      any = true;
    }
  };
  for (TopExp_Explorer shell(shape, TopAbs_SHELL, TopAbs_SOLID); shell.More(); shell.Next()) {
    loose(shell.Current());
  }
  for (TopExp_Explorer face(shape, TopAbs_FACE, TopAbs_SHELL); face.More(); face.Next()) {
    loose(face.Current());
  }
  if (any) bodies.push_back(body_of(rest, context, "", name_of, mark_of));
  return bodies;
}

void number_equal_names(std::vector<Body>& bodies) {
  const auto counts_for = [](const Body& body) { return body.is_solid() && !port_of(body); };
  std::map<std::string, int> count;
  for (const Body& body : bodies) {
    if (counts_for(body)) ++count[body.name];
  }
  std::map<std::string, int> next;
  for (Body& body : bodies) {
    if (counts_for(body) && count[body.name] > 1) {
      const int number = ++next[body.name];
      body.name += "#" + std::to_string(number);
    }
  }
}

void scale_bodies(std::vector<Body>& bodies, double factor) {
  if (factor == 1.0) return;
  gp_Trsf scaling;
  scaling.SetScaleFactor(factor);
  for (Body& body : bodies) body.shape = BRepBuilderAPI_Transform(body.shape, scaling, true).Shape();
}

}  // namespace corefeed::geometry
