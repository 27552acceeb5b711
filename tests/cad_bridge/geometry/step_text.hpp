// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <unistd.h>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS_Shape.hxx>
#include <XCAFApp_Application.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_LayerTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <filesystem>
#include <fstream>
#include <gp_Trsf.hxx>
#include <gp_Vec.hxx>
#include <sstream>
#include <string>

namespace corefeed::geometry::testing {

inline gp_Trsf shifted(double x, double y, double z) {
  gp_Trsf shift;
  shift.SetTranslation(gp_Vec(x, y, z));
  return shift;
}

/// Builds an assembly in memory and gives it as STEP text, as a CAD system would export it.
class StepText {
 public:
  StepText() {
    STEPCAFControl_Controller::Init();
    Message::DefaultMessenger()->ChangePrinters().Clear();  // the kernel reports each file it writes
    XCAFApp_Application::GetApplication()->NewDocument("MDTV-XCAF", document_);
    shapes_ = XCAFDoc_DocumentTool::ShapeTool(document_->Main());
  }
  ~StepText() { XCAFApp_Application::GetApplication()->Close(document_); }
  StepText(const StepText&) = delete;
  StepText& operator=(const StepText&) = delete;

  TDF_Label product(const std::string& name, const TopoDS_Shape& shape) {
    return named(shapes_->AddShape(shape, false), name);
  }
  TDF_Label assembly(const std::string& name) { return named(shapes_->NewShape(), name); }
  void place(const TDF_Label& parent, const TDF_Label& child, const gp_Trsf& where, const std::string& name) {
    named(shapes_->AddComponent(parent, child, TopLoc_Location(where)), name);
  }
  /// Names a face (from 1) of a product.
  void name_face(const TDF_Label& product, int face, const std::string& name) {
    named(shapes_->AddSubShape(product, face_of(product, face)), name);
  }
  void name_body(const TDF_Label& product, const TopoDS_Shape& body, const std::string& name) {
    named(shapes_->AddSubShape(product, body), name);
  }
  void layer_face(const TDF_Label& product, int face, const std::string& layer) {
    const TDF_Label label = shapes_->AddSubShape(product, face_of(product, face));
    XCAFDoc_DocumentTool::LayerTool(document_->Main())->SetLayer(label, layer.c_str());
  }
  void color_face(const TDF_Label& product, int face, double red, double green, double blue) {
    const TDF_Label label = shapes_->AddSubShape(product, face_of(product, face));
    XCAFDoc_DocumentTool::ColorTool(document_->Main())
        ->SetColor(label, Quantity_Color(red, green, blue, Quantity_TOC_RGB), XCAFDoc_ColorSurf);
  }

  /// `unit` as the kernel's writer knows it: "MM", "CM", "M", "INCH", "FT".
  std::string text(const char* unit = "MM") {
    shapes_->UpdateAssemblies();
    const std::string unit_before = Interface_Static::CVal("write.step.unit");
    const std::string names_before = Interface_Static::CVal("write.stepcaf.subshapes.name");
    Interface_Static::SetCVal("write.step.unit", unit);
    Interface_Static::SetCVal("write.stepcaf.subshapes.name", "1");
    const auto path = std::filesystem::temp_directory_path() / ("step_text_" + std::to_string(getpid()));
    STEPCAFControl_Writer writer;
    writer.SetNameMode(true);
    writer.SetLayerMode(true);
    writer.SetColorMode(true);
    writer.Transfer(document_, STEPControl_AsIs);
    writer.Write(path.c_str());
    Interface_Static::SetCVal("write.step.unit", unit_before.c_str());
    Interface_Static::SetCVal("write.stepcaf.subshapes.name", names_before.c_str());
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    std::filesystem::remove(path);
    return text.str();
  }

 private:
  static TDF_Label named(const TDF_Label& label, const std::string& name) {
    TDataStd_Name::Set(label, TCollection_ExtendedString(name.c_str(), true));
    return label;
  }
  TopoDS_Shape face_of(const TDF_Label& product, int face) const {
    TopTools_IndexedMapOfShape faces;
    TopExp::MapShapes(shapes_->GetShape(product), TopAbs_FACE, faces);
    return faces(face);
  }

  Handle(TDocStd_Document) document_;
  Handle(XCAFDoc_ShapeTool) shapes_;
};

}  // namespace corefeed::geometry::testing
