// SPDX-License-Identifier: Apache-2.0
#include <BRepTools.hxx>
#include <DBRep.hxx>
#include <Draw_Interpretor.hxx>
#include <Draw_PluginMacro.hxx>
#include <TopoDS_Shape.hxx>
#include <cstdlib>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "cad_bridge/geometry/measure.hpp"

/// A command for OpenCASCADE's test harness, with the measuring code of the command `corefeed`.
namespace {

constexpr const char* usage =
    "corefeed_measure name shape [name shape ..] [-sections N] [-part NAME] : areas, perimeters and pieces "
    "of ducts, "
    "cut-outs, cores and gaps as one JSON document, SI units; a port is a shape named port:ELEMENT.END";

/// Tcl takes anything but 0 as an error whose text is the result.
constexpr Standard_Integer failed = 1;

Standard_Integer refuse(Draw_Interpretor& interpreter, const std::string& text) {
  interpreter << text.c_str();
  return failed;
}

bool read_option(corefeed::geometry::MeasureRequest& request, const std::string& option, const char* value) {
  if (option == "-part") {
    request.part = value;
    return true;
  }
  if (option != "-sections") return false;
  char* end = nullptr;
  const long sections = std::strtol(value, &end, 10);
  if (*end != '\0' || sections < 2 || sections > 10000) return false;
  request.sections = static_cast<int>(sections);
  return true;
}

Standard_Integer measure(Draw_Interpretor& interpreter, Standard_Integer count, const char** words) {
  corefeed::geometry::MeasureRequest request;
  std::string texts;
  for (Standard_Integer i = 1; i < count; i += 2) {
    const std::string name = words[i];
    if (i + 1 == count) return refuse(interpreter, usage);
    if (name.rfind('-', 0) == 0) {
      if (!read_option(request, name, words[i + 1])) return refuse(interpreter, usage);
      continue;
    }
    const TopoDS_Shape shape = DBRep::Get(words[i + 1]);
    if (shape.IsNull()) return refuse(interpreter, std::string(words[i + 1]) + " is no shape");
    std::ostringstream text;
    BRepTools::Write(shape, text);
    texts += text.str();
    request.shapes.push_back({name, text.str().size()});
    request.file += (request.file.empty() ? "" : ", ") + name;
  }
  if (request.shapes.empty()) return refuse(interpreter, usage);
  std::istringstream stream(texts);
  const corefeed::Result<corefeed::geometry::Measured> measured =
      corefeed::geometry::measure_step_whole(stream, request);
  if (!measured) return refuse(interpreter, corefeed::describe(measured.issues().front()));
  interpreter << measured.value().document.c_str();
  return 0;
}

struct CorefeedDraw {
  static void Factory(Draw_Interpretor& interpreter) {
    interpreter.Add("corefeed_measure", usage, "corefeed_draw.cpp", measure, "corefeed");
  }
};

}  // namespace

// The kernel's export macro is empty here, and the build hides what is not exported.
extern "C" __attribute__((visibility("default"))) void PLUGINFACTORY(Draw_Interpretor&);
DPLUGIN(CorefeedDraw)
