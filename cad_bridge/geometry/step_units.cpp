// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/step_units.hpp"

#include <STEPConstruct_UnitContext.hxx>
#include <StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx.hxx>
#include <StepGeom_GeometricRepresentationContextAndGlobalUnitAssignedContext.hxx>
#include <StepGeom_Placement.hxx>
#include <StepRepr_GlobalUnitAssignedContext.hxx>
#include <StepRepr_MappedItem.hxx>
#include <StepRepr_RepresentationContext.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <StepShape_ShapeRepresentation.hxx>
#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "cad_bridge/geometry/messages.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

struct LengthUnit {
  std::string_view name;
  double millimeters;
};
constexpr std::array<LengthUnit, 5> units{
    {{"mm", 1.0}, {"cm", 10.0}, {"m", 1000.0}, {"in", 25.4}, {"ft", 304.8}}};

const LengthUnit* unit_named(std::string_view name) {
  for (const LengthUnit& unit : units) {
    if (unit.name == name) return &unit;
  }
  return nullptr;
}

const LengthUnit* unit_of_size(double millimeters) {
  for (const LengthUnit& unit : units) {
    if (std::abs(millimeters / unit.millimeters - 1.0) < 1e-9) return &unit;
  }
  return nullptr;
}

Handle(StepRepr_GlobalUnitAssignedContext) units_of(const Handle(StepRepr_RepresentationContext) & context) {
  using WithUncertainty = StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx;
  using WithoutUncertainty = StepGeom_GeometricRepresentationContextAndGlobalUnitAssignedContext;
  if (const auto full = Handle(WithUncertainty)::DownCast(context); !full.IsNull()) {
    return full->GlobalUnitAssignedContext();
  }
  if (const auto plain = Handle(WithoutUncertainty)::DownCast(context); !plain.IsNull()) {
    return plain->GlobalUnitAssignedContext();
  }
  return Handle(StepRepr_GlobalUnitAssignedContext)::DownCast(context);
}

struct UnitsFound {
  std::vector<double> sizes;  ///< mm, distinct, in file order
  int missing = 0;            ///< representations without a length unit
  int total = 0;

  void add(const STEPConstruct_UnitContext& context) {
    ++total;
    if (!context.LengthDone()) {
      ++missing;
      return;
    }
    const double size = context.LengthFactor();
    const bool known = std::any_of(sizes.begin(), sizes.end(),
                                   [size](double each) { return std::abs(each / size - 1) < 1e-9; });
    if (!known) sizes.push_back(size);
  }
};

/// False where a representation only places others.
bool holds_geometry(const Handle(StepShape_ShapeRepresentation) & representation) {
  for (int i = 1; i <= representation->NbItems(); ++i) {
    const Handle(StepRepr_RepresentationItem) item = representation->ItemsValue(i);
    if (item.IsNull()) continue;
    if (!item->IsKind(STANDARD_TYPE(StepGeom_Placement)) &&
        !item->IsKind(STANDARD_TYPE(StepRepr_MappedItem))) {
      return true;
    }
  }
  return false;
}

/// The factor is asked for rather than the unit's name, which exporters spell as they like. The unit of a
/// placement matters only where there is more than one thing to place.
UnitsFound units_in(const Handle(StepData_StepModel) & model) {
  UnitsFound all;
  UnitsFound geometry;
  for (int i = 1; i <= model->NbEntities(); ++i) {
    const auto representation = Handle(StepShape_ShapeRepresentation)::DownCast(model->Value(i));
    if (representation.IsNull()) continue;
    STEPConstruct_UnitContext context;
    const auto assigned = units_of(representation->ContextOfItems());
    if (!assigned.IsNull()) context.ComputeFactors(assigned);
    all.add(context);
    if (holds_geometry(representation)) geometry.add(context);
  }
  return geometry.total == 1 ? geometry : all;
}

Result<FileUnit> assumed_unit(const std::optional<std::string>& assumed) {
  if (!assumed) {
    return geometry_error("no_unit",
                          "the file names no unit of length; state it with --assume-unit mm (or cm, m, in, "
                          "ft)");
  }
  const LengthUnit* unit = unit_named(*assumed);
  if (!unit) {
    return geometry_error("unknown_unit", fmt::format("found {} as the assumed unit; expected mm, cm, m, in "
                                                      "or ft",
                                                      corefeed::quoted(*assumed)));
  }
  return FileUnit{std::string(unit->name), unit->millimeters, {}};
}

}  // namespace

Result<FileUnit> unit_of_file(const Handle(StepData_StepModel) & model,
                              const std::optional<std::string>& assumed) {
  const UnitsFound found = units_in(model);
  if (found.sizes.empty()) return assumed_unit(assumed);
  if (found.missing > 0) {
    return geometry_error(
        "mixed_units", fmt::format("{} of the file's shapes name no unit of length while others do; export "
                                   "the file again with one unit",
                                   found.missing));
  }
  const LengthUnit* unit = unit_of_size(found.sizes.front());
  if (!unit) {
    return geometry_error("unknown_unit", fmt::format("the file's unit of length is {} mm; expected mm, cm, "
                                                      "m, in or ft",
                                                      found.sizes.front()));
  }
  FileUnit result{std::string(unit->name), 1.0, {}};
  if (found.sizes.size() > 1) {
    result.warnings.push_back(geometry_warning(
        "mixed_units", fmt::format("the file's shapes are written in {} different units of length; each was "
                                   "read in its own, {} is the first",
                                   found.sizes.size(), unit->name)));
  }
  return result;
}

}  // namespace corefeed::geometry
