// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/step_file.hpp"

#include <APIHeaderSection_MakeHeader.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_Printer.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <STEPControl_Writer.hxx>
#include <StepData_StepModel.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <TCollection_AsciiString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopLoc_Location.hxx>
#include <XCAFApp_Application.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <stdexcept>

namespace corefeed::geometry_samples {
namespace {

Handle(TDocStd_Document) new_document() {
  // The kernel reports its progress on standard output unless it has no printer.
  Message::DefaultMessenger()->ChangePrinters().Clear();
  STEPCAFControl_Controller::Init();
  Handle(TDocStd_Document) document;
  XCAFApp_Application::GetApplication()->NewDocument("MDTV-XCAF", document);
  return document;
}

const char* kernel_unit(LengthUnit unit) {
  if (unit == LengthUnit::inch) return "INCH";
  return unit == LengthUnit::meter ? "M" : "MM";
}

TDF_Label add_product(const Handle(XCAFDoc_ShapeTool) & shapes, const Body& body) {
  const TDF_Label product = shapes->AddShape(body.shape, false);
  TDataStd_Name::Set(product, TCollection_ExtendedString(body.name.c_str()));
  for (const auto& [name, face] : body.named_faces)
    TDataStd_Name::Set(shapes->AddSubShape(product, face), TCollection_ExtendedString(name.c_str()));
  return product;
}

Handle(TDocStd_Document) document_of(const Sample& sample) {
  const Handle(TDocStd_Document) document = new_document();
  const Handle(XCAFDoc_ShapeTool) shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  if (sample.assembly.empty()) {
    for (const Body& body : sample.bodies) add_product(shapes, body);
    return document;
  }
  const auto named = [](const TDF_Label& label, const std::string& name) {
    TDataStd_Name::Set(label, TCollection_ExtendedString(name.c_str()));
    return label;
  };
  const TDF_Label root = named(shapes->NewShape(), sample.assembly);
  std::map<std::string, TDF_Label> groups;
  for (const Body& body : sample.bodies) {
    TDF_Label parent = root;
    if (!body.group.empty()) {
      const auto [known, fresh] = groups.try_emplace(body.group);
      if (fresh) {
        known->second = named(shapes->NewShape(), body.group);
        named(shapes->AddComponent(root, known->second, TopLoc_Location()), body.group);
      }
      parent = known->second;
    }
    const TDF_Label product = add_product(shapes, body);
    named(shapes->AddComponent(parent, product, TopLoc_Location(body.placement)), body.name);
  }
  shapes->UpdateAssemblies();
  return document;
}

Handle(TCollection_HAsciiString) text(const std::string& value) {
  return new TCollection_HAsciiString(value.c_str());
}

/// Without this the header holds the time of day, the user's file path and the kernel's name.
void set_neutral_header(const Handle(StepData_StepModel) & model, const Sample& sample) {
  APIHeaderSection_MakeHeader header(model);
  header.SetName(text(sample.name + ".step"));
  header.SetTimeStamp(text("2000-01-01T00:00:00"));
  header.SetAuthorValue(1, text("corefeed"));
  header.SetOrganizationValue(1, text("corefeed"));
  header.SetPreprocessorVersion(text("corefeed"));
  header.SetOriginatingSystem(text("corefeed geometry samples"));
  header.SetAuthorisation(text(""));
  header.SetDescriptionValue(1, text("invented sample part"));
}

/// The kernel counts instances through all files that a process writes.
void number_instances(const Handle(StepData_StepModel) & model) {
  int count = 0;
  for (int i = 1; i <= model->NbEntities(); ++i) {
    const auto instance = Handle(StepRepr_NextAssemblyUsageOccurrence)::DownCast(model->Value(i));
    if (!instance.IsNull()) instance->SetId(text(std::to_string(++count)));
  }
}

std::string label_name(const TDF_Label& label) {
  Handle(TDataStd_Name) name;
  if (!label.FindAttribute(TDataStd_Name::GetID(), name)) return {};
  return TCollection_AsciiString(name->Get()).ToCString();
}

void collect(const Handle(XCAFDoc_ShapeTool) & shapes, const TDF_Label& label, const TopLoc_Location& outer,
             StepContent& content) {
  TDF_Label product = label;
  if (XCAFDoc_ShapeTool::IsReference(label)) XCAFDoc_ShapeTool::GetReferredShape(label, product);
  const TopLoc_Location location = outer * XCAFDoc_ShapeTool::GetLocation(label);
  TDF_LabelSequence components;
  if (XCAFDoc_ShapeTool::IsAssembly(product)) {
    XCAFDoc_ShapeTool::GetComponents(product, components);
    for (const TDF_Label& component : components) collect(shapes, component, location, content);
    return;
  }
  content.parts[label_name(product)] = XCAFDoc_ShapeTool::GetShape(product).Moved(location);
  XCAFDoc_ShapeTool::GetSubShapes(product, components);
  for (const TDF_Label& face : components)
    content.faces[label_name(face)] = XCAFDoc_ShapeTool::GetShape(face).Moved(location);
}

std::string file_unit(STEPCAFControl_Reader& reader) {
  TColStd_SequenceOfAsciiString lengths;
  TColStd_SequenceOfAsciiString angles;
  TColStd_SequenceOfAsciiString solid_angles;
  reader.ChangeReader().FileUnits(lengths, angles, solid_angles);
  if (lengths.IsEmpty()) return {};
  const std::string name = lengths.First().ToCString();
  // The kernel gives SI units their full name and other ones the name that stands in the file.
  if (name == "millimetre") return "mm";
  if (name == "metre") return "m";
  return name == "INCH" ? "in" : name;
}

}  // namespace

void write_step(const Sample& sample, const std::string& path) {
  const Handle(TDocStd_Document) document = document_of(sample);
  Interface_Static::SetCVal("write.step.unit", kernel_unit(sample.unit));
  Interface_Static::SetIVal("write.stepcaf.subshapes.name", 1);
  STEPCAFControl_Writer writer;
  writer.SetNameMode(true);
  if (!writer.Transfer(document, STEPControl_AsIs))
    throw std::runtime_error("the part " + sample.name + " could not be translated to STEP");
  set_neutral_header(writer.ChangeWriter().Model(), sample);
  number_instances(writer.ChangeWriter().Model());
  if (writer.Write(path.c_str()) != IFSelect_RetDone)
    throw std::runtime_error("the file " + path + " could not be written");
}

StepContent read_step(const std::string& path) {
  Handle(TDocStd_Document) document = new_document();
  Interface_Static::SetCVal("xstep.cascade.unit", "MM");
  Interface_Static::SetIVal("read.stepcaf.subshapes.name", 1);
  STEPCAFControl_Reader reader;
  reader.SetNameMode(true);
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone || !reader.Transfer(document))
    throw std::runtime_error("the file " + path + " could not be read as STEP");
  const Handle(XCAFDoc_ShapeTool) shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  StepContent content;
  content.unit = file_unit(reader);
  TDF_LabelSequence roots;
  shapes->GetFreeShapes(roots);
  for (const TDF_Label& root : roots) collect(shapes, root, TopLoc_Location(), content);
  return content;
}

}  // namespace corefeed::geometry_samples
