// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "corefeed/reports/text.hpp"

namespace corefeed::reports {
namespace {

bool has_kind(const model::Model& model, std::string_view name) {
  return std::any_of(model.elements.begin(), model.elements.end(),
                     [name](const model::Element& element) { return element.numbers.kind->name == name; });
}

bool has_glycol(const model::Model& model) {
  return std::any_of(model.loops.begin(), model.loops.end(), [](const model::Loop& loop) {
    return loop.fluid.kind() == fluids::Liquid::Kind::water_glycol;
  });
}

}  // namespace

std::vector<std::string> cautions(const model::Model& model) {
  std::vector<std::string> list{
      "These are estimates with the stated bands. Confirm on the instrumented car, alarms on, before hard "
      "running.",
      "Cp and speed are those of clean air: behind another car, in yaw or with tape and debris there is less "
      "head."};
  if (!model.loops.empty()) {
    list.push_back(
        "Coolant and oil are hot and under pressure: let them cool below 50 degC and release pressure before "
        "opening "
        "anything. Oil or coolant on an exhaust burns: shield lines and keep them clear.");
  }
  if (has_glycol(model))
    list.push_back("Glycol is poisonous and slippery, and some series forbid it on track.");
  if (has_kind(model, "fan")) {
    list.push_back(
        "Fans start without warning and make voltage when the wind turns them: unplug and guard them.");
  }
  if (has_kind(model, "vent") || has_kind(model, "inlet")) {
    list.push_back(
        "Do not cut rails, crash structure, closing panels, jacking or belt points for a duct or vent; a "
        "vent changes "
        "fire and crash paths. Check tire clearance over full travel and guard sharp edges.");
  }
  list.push_back(
      "Keep exhaust gas, fuel vapor and hot air away from the cockpit and its intakes, and hot air away from "
      "fuel lines "
      "and resin parts.");
  list.push_back(
      "The series' rule book and local law come first; structural, pressure and fire-relevant work belongs "
      "to a "
      "qualified person where they ask for it.");
  return list;
}

}  // namespace corefeed::reports
