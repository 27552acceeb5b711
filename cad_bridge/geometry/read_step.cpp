// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/read_step.hpp"

#include <Interface_Check.hxx>
#include <Interface_Static.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <StepData_StepModel.hxx>
#include <TDocStd_Document.hxx>
#include <UnitsMethods.hxx>
#include <XCAFApp_Application.hxx>
#include <XSControl_WorkSession.hxx>
#include <istream>
#include <mutex>
#include <string_view>

#include "cad_bridge/geometry/bodies.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/step_units.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

/// A setting of the kernel for the time of one reading. They belong to the process: a changed unit left
/// behind would make a host program read its own files a thousand times too small.
class Setting {
 public:
  Setting(const char* name, const char* value) : name_(name), before_(Interface_Static::CVal(name)) {
    Interface_Static::SetCVal(name, value);
  }
  ~Setting() { Interface_Static::SetCVal(name_, before_.c_str()); }
  Setting(const Setting&) = delete;
  Setting& operator=(const Setting&) = delete;

 private:
  const char* name_;
  std::string before_;
};

/// The same for the unit that the kernel's conversions hold beside the setting of that name.
class LengthUnit {
 public:
  LengthUnit() : before_(UnitsMethods::GetCasCadeLengthUnit()) { UnitsMethods::SetCasCadeLengthUnit(1.0); }
  ~LengthUnit() { UnitsMethods::SetCasCadeLengthUnit(before_); }
  LengthUnit(const LengthUnit&) = delete;
  LengthUnit& operator=(const LengthUnit&) = delete;

 private:
  double before_;  // mm
};

class Document {
 public:
  Document() { XCAFApp_Application::GetApplication()->NewDocument("MDTV-XCAF", document_); }
  ~Document() { XCAFApp_Application::GetApplication()->Close(document_); }
  Document(const Document&) = delete;
  Document& operator=(const Document&) = delete;
  Handle(TDocStd_Document) & handle() { return document_; }

 private:
  Handle(TDocStd_Document) document_;
};

std::optional<Issue> unresolved_reference(const Handle(StepData_StepModel) & model) {
  const auto check = model->GlobalCheck(true);
  for (int i = 1; i <= check->NbFails(); ++i) {
    const std::string_view text = check->CFail(i);
    if (text.find("Unresolved Reference") == std::string_view::npos) continue;
    return geometry_error(
        "dangling_reference",
        fmt::format("the file refers to an entity that it does not hold ({}); it was cut or "
                    "edited, export it again",
                    corefeed::quoted(text)));
  }
  return std::nullopt;
}

int faulty_entities(const Handle(StepData_StepModel) & model) {
  int count = 0;
  for (int i = 1; i <= model->NbEntities(); ++i) count += model->IsErrorEntity(i) ? 1 : 0;
  return count;
}

void add_warnings(CadFile& file, const Handle(StepData_StepModel) & model,
                  const STEPCAFControl_Reader& reader) {
  if (const int faulty = faulty_entities(model); faulty > 0) {
    file.warnings.push_back(geometry_warning(
        "faulty_entities", fmt::format("{} entities of the file do not follow the STEP schema and were left "
                                       "out",
                                       faulty)));
  }
  if (!reader.ExternFiles().IsEmpty()) {
    file.warnings.push_back(
        geometry_warning("external_files",
                         "the file refers to parts in other files, which are not measured; export one file "
                         "that holds all parts"));
  }
}

/// Some systems begin a text file with the mark of UTF-8, which the kernel takes for content.
void skip_byte_order_mark(std::istream& step) {
  if (step.peek() != 0xEF) return;
  for (int i = 0; i < 3; ++i) step.get();
}

Result<CadFile> read_with(STEPCAFControl_Reader& reader, std::istream& step,
                          const std::optional<std::string>& assume_unit) {
  skip_byte_order_mark(step);
  if (step.peek() == std::istream::traits_type::eof()) {
    return geometry_error("not_step", "the file is empty; expected a STEP file");
  }
  if (reader.ChangeReader().ReadStream("input", step) != IFSelect_RetDone) {
    return geometry_error("not_step",
                          "the file could not be read as STEP (ISO 10303-21): it is cut, or not a "
                          "STEP file");
  }
  const auto model = Handle(StepData_StepModel)::DownCast(reader.Reader().WS()->Model());
  if (model.IsNull() || model->NbEntities() == 0) {
    return geometry_error("not_step", "the STEP file holds no data; expected at least one solid");
  }
  if (auto issue = unresolved_reference(model)) return *issue;
  Result<FileUnit> unit = unit_of_file(model, assume_unit);
  if (!unit) return unit.issues();

  Document document;
  if (!reader.Transfer(document.handle())) {
    return geometry_error("nothing_transferred",
                          "the STEP file holds no shape that could be read; expected at "
                          "least one solid");
  }
  CadFile file{unit.value().name, bodies_of_document(document.handle()), std::move(unit.value().warnings)};
  scale_bodies(file.bodies, unit.value().scale);
  add_warnings(file, model, reader);
  return file;
}

}  // namespace

Result<CadFile> read_step(std::istream& step, const std::optional<std::string>& assume_unit) {
  static std::mutex one_at_a_time;
  const std::lock_guard lock(one_at_a_time);
  STEPCAFControl_Controller::Init();
  const Setting millimeters("xstep.cascade.unit", "MM");
  const LengthUnit unit_of_conversions;
  const Setting face_names("read.stepcaf.subshapes.name", "1");
  STEPCAFControl_Reader reader;
  reader.SetNameMode(true);
  reader.SetLayerMode(true);
  reader.SetColorMode(true);
  // Nothing is decided by dimensions, materials and views; the less is read, the less can fail.
  reader.SetPropsMode(false);
  reader.SetGDTMode(false);
  reader.SetMatMode(false);
  reader.SetViewMode(false);
  return read_with(reader, step, assume_unit);
}

}  // namespace corefeed::geometry
