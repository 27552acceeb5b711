// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include <cmath>
#include <string>

#include "corefeed/studies/study.hpp"
#include "tests/published/published.hpp"

/// Published sums of liquid loops, as models.
namespace corefeed::published {
namespace {

using Json = nlohmann::ordered_json;

std::string with_unit(double value, const char* unit) { return std::to_string(value) + " " + unit; }

/// An oil circuit of 840 kg/m3 and 25 mm2/s: pump of 3e5 Pa - 8e11 Q^2, 60 tubes of 3 mm by 250 mm in one or
/// two passes, a line of 2 m and 19 mm. Nothing is lost at ports and return tanks.
Json oil_circuit(int passes) {
  const double free_flow = std::sqrt(3e5 / 8e11);
  const Json pump = {{"kind", "pump"},
                     {"from", "tank"},
                     {"to", "rail"},
                     {"curve",
                      {{"shutoff_pressure", "300 kPa"},
                       {"free_flow", with_unit(1e3 * free_flow, "L/s")},
                       {"density", "840 kg/m3"}}}};
  const Json line = {{"kind", "hose"},  {"from", "rail"},  {"to", "port"},
                     {"length", "2 m"}, {"bore", "19 mm"}, {"roughness", "0 mm"}};
  const Json side = {{"kind", "core"},
                     {"core", "cooler"},
                     {"from", "port"},
                     {"to", "tank"},
                     {"passes", passes},
                     {"bore", "19 mm"},
                     {"port_loss", 0},
                     {"return_area", "1 m2"},
                     {"return_loss", 0},
                     {"tubes",
                      {{"number", 60},
                       {"length", "250 mm"},
                       {"width", "3 mm"},
                       {"section", "round"},
                       {"roughness", "0 mm"}}}};
  const Json oil = {{"fluid",
                     {{"kind", "constant"},
                      {"heat_capacity", "2100 J/(kg K)"},
                      {"density", "840 kg/m3"},
                      {"viscosity", "21 mPa s"},
                      {"conductivity", "0.13 W/(m K)"}}},
                    {"elements", {{"pump", pump}, {"line", line}, {"tubes", side}}}};
  const Json blower = {{"kind", "supply"}, {"to", "face"}, {"flow", "0.2 kg/s"}, {"temperature", "30 degC"}};
  const Json core = {{"kind", "core"},
                     {"from", "face"},
                     {"to", "behind"},
                     {"face_area", "400 cm2"},
                     {"air_loss", {{"linear", "30 Pa s/m"}, {"quadratic", "7 Pa s2/m2"}}},
                     {"air_conductance", {{"value", "300 W/K"}, {"flow", "0.2 kg/s"}}},
                     {"loop", "oil"}};
  Json model;
  model["corefeed"] = 1;
  model["ambient"] = {{"temperature", "30 degC"}, {"pressure", "100 kPa"}};
  model["air"]["elements"] = {{"blower", blower}, {"cooler", core}};
  model["air"]["nodes"]["behind"] = {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}};
  model["loops"]["oil"] = oil;
  model["points"] = Json::array({Json{{"name", "bench"}, {"speed", "0 km/h"}}});
  return model;
}

struct Circuit {
  const char* id;
  int passes;
  double flow, pump, core, line, tube_reynolds, line_reynolds;
};

// Closed by script apart from this program; all laminar, where the friction law is 64/Re to 1e-5.
TEST(PublishedLoops, OilCircuitOfPumpCoreAndLine) {
  constexpr Circuit circuits[] = {{"S-NW-16", 1, 0.0005777, 33012, 25426, 7585.7, 163.46, 1548.5},
                                  {"S-NW-17", 2, 0.00050544, 95622, 88985, 6636.9, 286.02, 1354.8}};
  for (const Circuit& circuit : circuits) {
    const auto model = model::parse_model(oil_circuit(circuit.passes).dump(), "circuit", ".");
    ASSERT_TRUE(model.ok()) << model.issues().front().text;
    const auto result = studies::solve_point(model.value(), model.value().points.front(), {});
    ASSERT_TRUE(result.solution.converged) << result.solution.explanation;
    const auto number = [&](const char* quantity) { return result.solution.value(quantity).value_or(NAN); };
    constexpr Tolerance stated = relative(1e-4);
    Published(circuit.id, "solved apart from this program; computed",
              "oil circuit: pump, laminar core of " + std::to_string(circuit.passes) + " pass, line")
        .met("flow, m3/s", number("pump.volume_flow"), circuit.flow, stated)
        .met("pump, Pa", -number("pump.pressure_loss"), circuit.pump, stated)
        .met("core, Pa", number("tubes.pressure_loss"), circuit.core, stated)
        .met("line, Pa", number("line.pressure_loss"), circuit.line, stated)
        .met("Re in the tubes", number("tubes.tube_reynolds"), circuit.tube_reynolds, stated)
        .met("Re in the line", number("line.reynolds"), circuit.line_reynolds, stated);
  }
}

}  // namespace
}  // namespace corefeed::published
