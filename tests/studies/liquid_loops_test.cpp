// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <string>

#include "corefeed/studies/study.hpp"
#include "tests/support/check.hpp"

/// Loops that are networks of their own, as models: against sums done by hand.
namespace corefeed::studies {
namespace {

using testing::expect_relative;
using testing::pi;
using Json = nlohmann::ordered_json;

/// What is left by rounding slow flow off and by the solver.
constexpr double exact = 1e-6;

/// Water-like, of round numbers.
Json plain_liquid() {
  return {{"kind", "constant"},
          {"heat_capacity", "4000 J/(kg K)"},
          {"density", "1000 kg/m3"},
          {"viscosity", "1 mPa s"},
          {"conductivity", "0.6 W/(m K)"}};
}

Json engine_oil() { return {{"kind", "oil"}, {"viscosity_40", "85 cSt"}, {"viscosity_100", "14 cSt"}}; }

/// A core in a given stream of air.
Json blown_core(const char* loop) {
  return {
      {"elements",
       {{"blower", {{"kind", "supply"}, {"to", "face"}, {"flow", "1.2 kg/s"}, {"temperature", "30 degC"}}},
        {"radiator",
         {{"kind", "core"},
          {"from", "face"},
          {"to", "behind"},
          {"face_area", "1500 cm2"},
          {"air_loss", {{"linear", "24 Pa s/m"}, {"quadratic", "6 Pa s2/m2"}}},
          {"air_conductance", {{"value", "3600 W/K"}, {"flow", "1.2 kg/s"}}},
          {"liquid_conductance", {{"value", "9000 W/K"}, {"flow", "2 kg/s"}}},
          {"loop", loop}}}}},
      {"nodes", {{"behind", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}}}}}};
}

Json still_air() {
  return {
      {"elements",
       {{"blower", {{"kind", "supply"}, {"to", "face"}, {"flow", "0.1 kg/s"}, {"temperature", "30 degC"}}},
        {"way_out", {{"kind", "loss"}, {"from", "face"}, {"to", "behind"}, {"area", "1 m2"}, {"loss", 1}}}}},
      {"nodes", {{"behind", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}}}}}};
}

Json model_of(Json air, Json loops, const char* engine_speed = "6000 rpm") {
  return {{"corefeed", 1},
          {"ambient", {{"temperature", "30 degC"}, {"pressure", "100 kPa"}}},
          {"air", std::move(air)},
          {"loops", std::move(loops)},
          {"points", {{{"name", "here"}, {"speed", "0 km/h"}, {"engine_speed", engine_speed}}}}};
}

PointResult attempted(const Json& text) {
  const auto model = model::parse_model(text.dump(), "loop", ".");
  EXPECT_TRUE(model.ok()) << (model.ok() ? "" : model.issues().front().text);
  if (!model.ok()) return {};
  return solve_point(model.value(), model.value().points.front(), {});
}

PointResult solved(const Json& text) {
  PointResult result = attempted(text);
  EXPECT_TRUE(result.solution.converged) << result.solution.explanation;
  return result;
}

double number(const PointResult& result, const std::string& quantity) {
  const auto value = result.solution.value(quantity);
  EXPECT_TRUE(value.has_value()) << quantity;
  return value.value_or(0.0);
}

bool warns(const PointResult& result, std::string_view code, std::string_view element) {
  return std::any_of(result.warnings.begin(), result.warnings.end(), [&](const Issue& issue) {
    return issue.code == code && issue.place.pointer == element && issue.text.starts_with(element);
  });
}

/// Pump, valve block and radiator in a ring.
Json coolant_ring(const char* heat) {
  return {{"fluid", plain_liquid()},
          {"heat_load", heat},
          {"elements",
           {{"pump",
             {{"kind", "pump"},
              {"from", "suction"},
              {"to", "engine"},
              {"curve",
               {{"shutoff_pressure", "90 kPa"}, {"free_flow", "240 L/min"}, {"shaft_speed", "6000 rpm"}}},
              {"speed_ratio", 1.0}}},
            {"block", {{"kind", "loss"}, {"from", "engine"}, {"to", "top"}, {"area", "7 cm2"}, {"loss", 6}}},
            {"radiator_water",
             {{"kind", "core"},
              {"core", "radiator"},
              {"from", "top"},
              {"to", "suction"},
              {"bore", "30 mm"},
              {"loss", 9}}}}}};
}

// H0 (1 - (Q/Q0)^2) = rho/2 Q^2 (K_b/A_b^2 + K_r/A_r^2), at the test's speed and density.
TEST(LiquidLoop, PumpHeadIsTheSumOfTheLosses) {
  Json text = model_of(blown_core("water"), {{"water", coolant_ring("20 kW")}});
  const double block = 6.0 / (7e-4 * 7e-4);
  const double port = pi / 4.0 * 0.03 * 0.03;
  const double resistance = 500.0 * (block + 9.0 / (port * port));
  const double free_flow = 0.240 / 60.0;
  for (const double speed : {1.0, 0.5}) {
    text["loops"]["water"]["elements"]["pump"]["speed_ratio"] = speed;
    const double head = 90e3 * speed * speed;
    const double flow = std::sqrt(head / (resistance + 90e3 / (free_flow * free_flow)));
    const PointResult result = solved(text);
    expect_relative(number(result, "water.flow"), 1000.0 * flow, exact, "flow");
    const double lost =
        number(result, "block.pressure_loss") + number(result, "radiator_water.pressure_loss");
    expect_relative(-number(result, "pump.pressure_loss"), lost, 1e-9, "head");
    expect_relative(number(result, "pump.power"), lost * flow / 0.5, exact, "power");
    // Without a tank the pump's inlet stands at ambient pressure.
    EXPECT_NEAR(number(result, "suction.total_pressure"), 0.0, 1e-6);
  }
}

TEST(LiquidLoop, HeatInIsHeatOut) {
  const PointResult result = solved(model_of(blown_core("water"), {{"water", coolant_ring("20 kW")}}));
  constexpr double closed = 1e-8;
  expect_relative(number(result, "radiator.heat"), 20e3, closed, "into the air");
  expect_relative(number(result, "water.heat"), 20e3, closed, "out of the water");
  const double rise = number(result, "water.temperature") - number(result, "water.temperature_cold");
  expect_relative(rise * number(result, "water.flow") * 4000.0, 20e3, closed, "carried");
  EXPECT_DOUBLE_EQ(number(result, "water.temperature"), number(result, "engine.temperature"));
  EXPECT_DOUBLE_EQ(number(result, "water.temperature_cold"), number(result, "suction.temperature"));
}

// Glycol's heat capacity changes by 10 % over the loop: enthalpies close where m cp dT would not.
TEST(LiquidLoop, HeatClosesWithALiquidOfChangingHeatCapacity) {
  Json ring = coolant_ring("60 kW");
  ring["fluid"] = {{"kind", "water_glycol"}, {"glycol_share", 0.5}};
  ring["nodes"]["suction"] = {{"kind", "fixed_pressure"}, {"total_pressure", "1 bar"}};
  const PointResult result = solved(model_of(blown_core("water"), {{"water", ring}}));
  expect_relative(number(result, "radiator.heat"), 60e3, 1e-8, "into the air");
}

/// The budget names what the pump's head is spent on, and sums to it.
TEST(LiquidLoop, BudgetSumsToThePumpsHead) {
  const PointResult result = solved(model_of(blown_core("water"), {{"water", coolant_ring("20 kW")}}));
  const auto found = std::find_if(result.budgets.begin(), result.budgets.end(),
                                  [](const Budget& budget) { return budget.core == "water"; });
  ASSERT_NE(found, result.budgets.end());
  expect_relative(found->head, -number(result, "pump.pressure_loss"), 1e-9, "head");
  ASSERT_EQ(found->lines.size(), 2U);
  EXPECT_EQ(found->lines[0].element, "block");
  EXPECT_EQ(found->lines[1].element, "radiator_water");
}

/// An oil circuit of 840 kg/m3 and 25 mm2/s: pump of 3e5 Pa - 8e11 Q^2, 60 tubes of 3 mm by 250 mm in one or
/// two passes, a line of 2 m and 19 mm. Nothing is lost at ports and return tanks.
Json oil_circuit(int passes) {
  const double free_flow = std::sqrt(3e5 / 8e11);
  const Json pump = {{"kind", "pump"},
                     {"from", "tank"},
                     {"to", "rail"},
                     {"curve",
                      {{"shutoff_pressure", "300 kPa"},
                       {"free_flow", std::to_string(1e3 * free_flow) + " L/s"},
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
  Json air;
  air["elements"] = {{"blower", blower}, {"cooler", core}};
  air["nodes"]["behind"] = {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}};
  Json loops;
  loops["oil"] = oil;
  return model_of(air, loops);
}

struct Circuit {
  int passes;
  double flow, pump, core, line, tube_reynolds, line_reynolds;
};

// Solved apart from this program; all laminar, where the friction law is 64/Re to 1e-5.
TEST(LiquidLoop, OilCircuitWithOneAndTwoPassesIsThatOfHagenPoiseuille) {
  constexpr Circuit circuits[] = {{1, 0.0005777, 33012, 25426, 7585.7, 163.46, 1548.5},
                                  {2, 0.00050544, 95622, 88985, 6636.9, 286.02, 1354.8}};
  constexpr double stated = 1e-4;
  for (const Circuit& circuit : circuits) {
    const PointResult result = solved(oil_circuit(circuit.passes));
    expect_relative(number(result, "pump.volume_flow"), circuit.flow, stated, "flow");
    expect_relative(-number(result, "pump.pressure_loss"), circuit.pump, stated, "pump");
    expect_relative(number(result, "tubes.pressure_loss"), circuit.core, stated, "core");
    expect_relative(number(result, "line.pressure_loss"), circuit.line, stated, "line");
    expect_relative(number(result, "tubes.tube_reynolds"), circuit.tube_reynolds, stated, "Re in the tubes");
    expect_relative(number(result, "line.reynolds"), circuit.line_reynolds, stated, "Re in the line");
  }
}

/// Oil pump at 3000 rpm with a relief valve, and a line whose loss is given.
Json oil_rail(double loss) {
  return {{"fluid",
           {{"kind", "constant"},
            {"heat_capacity", "2100 J/(kg K)"},
            {"density", "850 kg/m3"},
            {"viscosity", "10 mPa s"}}},
          {"elements",
           {{"oil_pump",
             {{"kind", "oil_pump"},
              {"from", "sump"},
              {"to", "rail"},
              {"displacement", "20 cm3"},
              {"slip", 1.2e-7},
              {"speed_ratio", 0.5}}},
            {"relief",
             {{"kind", "relief_valve"},
              {"from", "rail"},
              {"to", "sump"},
              {"opening_pressure", "4 bar"},
              {"flow_coefficient", "12 L/(min bar)"}}},
            {"gallery",
             {{"kind", "loss"}, {"from", "rail"}, {"to", "sump"}, {"area", "1 cm2"}, {"loss", loss}}}}},
          {"nodes",
           {{"rail", {{"kind", "duct"}}},
            {"sump", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}, {"temperature", "90 degC"}}}}}};
}

struct Rail {
  double pressure;
  double valve;  // m3/s
};

/// Pressure at which what the pump gives is what gallery and valve take: bisection, nothing of the library.
Rail rail_by_hand(double loss) {
  const double swept = 20e-6 * 50.0;  // m3/s
  const double slip = 20e-6 * 1.2e-7 / 0.010;
  const double valve = 12e-3 / 60.0 / 1e5;
  const auto opened = [&](double p) { return valve * std::max(0.0, p - 4e5); };
  double low = 0.0;
  double high = 2e7;
  for (int i = 0; i < 200; ++i) {
    const double p = 0.5 * (low + high);
    const double gallery = 1e-4 * std::sqrt(2.0 * p / (850.0 * loss));
    (swept - slip * p - gallery - opened(p) > 0.0 ? low : high) = p;
  }
  return {low, opened(low)};
}

TEST(ReliefValve, StaysShutBelowAndTakesTheRestAboveItsOpeningPressure) {
  for (const double loss : {4.0, 40.0}) {
    const Rail expected = rail_by_hand(loss);
    const PointResult result = solved(model_of(still_air(), {{"oil", oil_rail(loss)}}));
    expect_relative(number(result, "rail.total_pressure"), expected.pressure, exact, "pressure");
    EXPECT_NEAR(number(result, "relief.volume_flow"), expected.valve, 1e-6 * 1e-3) << loss;
    EXPECT_EQ(expected.valve > 0.0, loss == 40.0);
    const double volumetric = number(result, "oil_pump.volumetric_efficiency");
    expect_relative(volumetric, 1.0 - 1.2e-7 * expected.pressure / (0.010 * 50.0), exact, "efficiency");
    // Swept volume times pressure over the mechanical efficiency.
    expect_relative(number(result, "oil_pump.power"), expected.pressure * 20e-6 * 50.0 / 0.8, exact, "power");
  }
}

// Hagen-Poiseuille with the viscosity of the data sheet: 85 and 14 cSt.
TEST(LiquidLoop, ColdOilLosesMoreThanHotOil) {
  for (const auto& [celsius, kinematic] : {std::pair{40.0, 85e-6}, std::pair{100.0, 14e-6}}) {
    const Json loop = {{"fluid", engine_oil()},
                       {"elements",
                        {{"pump",
                          {{"kind", "supply"},
                           {"to", "start"},
                           {"flow", "0.05 kg/s"},
                           {"temperature", std::to_string(celsius) + " degC"}}},
                         {"line",
                          {{"kind", "hose"},
                           {"from", "start"},
                           {"to", "sump"},
                           {"length", "2 m"},
                           {"bore", "16 mm"},
                           {"roughness", "0 mm"}}}}},
                       {"nodes", {{"sump", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}}}}}};
    const PointResult result = solved(model_of(still_air(), {{"oil", loop}}));
    const double expected = 128.0 * kinematic * 2.0 * 0.05 / (pi * std::pow(0.016, 4));
    // The friction law is 64/Re to 1e-4 up to Re 1500.
    expect_relative(number(result, "line.pressure_loss"), expected, 1e-4, std::to_string(celsius));
    EXPECT_NEAR(number(result, "sump.temperature"), celsius + 273.15, 1e-6);
  }
}

/// The ring with a thermostat before the radiator and a bypass back to the pump.
Json governed_ring(const char* heat) {
  Json ring = coolant_ring(heat);
  ring["elements"]["thermostat"] = {
      {"kind", "thermostat"},
      {"ports", {{"common", "top"}, {"straight", "hot"}, {"branch", "suction"}}},
      {"bore", "30 mm"},
      {"opens_at", "82 degC"},
      {"fully_open_at", "96 degC"},
      {"loss", 2.5},
      {"bypass_loss", 12}};
  ring["elements"]["radiator_water"]["from"] = "hot";
  ring["nodes"]["suction"] = {{"kind", "duct"}};
  return ring;
}

TEST(Thermostat, OpensAsFarAsItsTemperatureSays) {
  const PointResult result = solved(model_of(blown_core("water"), {{"water", governed_ring("60 kW")}}));
  const double sensed = number(result, "top.temperature") - 273.15;
  EXPECT_GT(sensed, 84.0);
  EXPECT_LT(sensed, 95.0);
  const double opening = (sensed - 82.0) / 14.0;
  expect_relative(number(result, "thermostat/straight.opening"), opening, 1e-9, "opening");
  const double main = number(result, "thermostat/straight.flow");
  const double bypass = number(result, "thermostat/branch.flow");
  expect_relative(main + bypass, number(result, "pump.flow"), 1e-9, "sum");
  // Both ways lose the same: the way to the core with the radiator behind it.
  const double head = 0.5 / 1000.0 / std::pow(pi / 4.0 * 0.03 * 0.03, 2);
  const double to_core = (2.5 / (opening * opening) + 9.0) * head * main * main;
  const double past_it = 12.0 / std::pow(1.0 - 0.9 * opening, 2) * head * bypass * bypass;
  expect_relative(to_core, past_it, exact, "losses");
  expect_relative(number(result, "radiator.heat"), 60e3, 1e-8, "heat");
}

TEST(Thermostat, IsNamedWhileItIsShut) {
  const PointResult result = solved(model_of(blown_core("water"), {{"water", governed_ring("1 kW")}}));
  EXPECT_LT(number(result, "top.temperature"), 82.2 + 273.15);
  EXPECT_TRUE(warns(result, "thermostat_closed", "thermostat"));
  expect_relative(number(result, "radiator.heat"), 1e3, 1e-8, "heat");
}

/// Oil and water, each brought at a given flow, on both sides of one cooler.
Json two_streams() {
  const auto side = [](const char* source, const char* flow, const char* temperature, const char* cooler,
                       const char* value, const char* at, double exponent) {
    const std::string begin = std::string(source) + "_begin";
    const std::string end = std::string(source) + "_end";
    return Json{{"fluid", plain_liquid()},
                {"elements",
                 {{source, {{"kind", "supply"}, {"to", begin}, {"flow", flow}, {"temperature", temperature}}},
                  {cooler,
                   {{"kind", "liquid_cooler"},
                    {"from", begin},
                    {"to", end},
                    {"bore", "16 mm"},
                    {"loss", 8},
                    {"conductance", {{"value", value}, {"flow", at}, {"exponent", exponent}}}}}}},
                {"nodes", {{end, {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}}}}}};
  };
  Json loops;
  loops["hot"] = side("hot_source", "0.30 kg/s", "120 degC", "hot_side", "600 W/K", "0.25 kg/s", 0.35);
  loops["cold"] = side("cold_source", "0.80 kg/s", "80 degC", "cold_side", "2500 W/K", "1 kg/s", 0.7);
  loops["hot"]["elements"]["hot_side"]["other_side"] = "cold_side";
  return loops;
}

// Counterflow: eps = (1 - e)/(1 - C e), e = exp(-NTU (1 - C)); UA from both sides.
TEST(LiquidCooler, JoinsTwoLoopsAsTheHandCalculationSays) {
  const double hot = 600.0 * std::pow(0.30 / 0.25, 0.35);
  const double cold = 2500.0 * std::pow(0.80 / 1.0, 0.7);
  const double conductance = 1.0 / (1.0 / hot + 1.0 / cold);
  const double smallest = 0.30 * 4000.0;
  const double ratio = 0.30 / 0.80;
  const double decay = std::exp(-conductance / smallest * (1.0 - ratio));
  const double heat = (1.0 - decay) / (1.0 - ratio * decay) * smallest * 40.0;
  const PointResult result = solved(model_of(still_air(), two_streams()));
  expect_relative(number(result, "hot_side.heat"), heat, 1e-8, "given");
  expect_relative(number(result, "cold_side.heat"), -heat, 1e-8, "taken");
  EXPECT_NEAR(number(result, "hot_source_end.temperature"), 393.15 - heat / smallest, 1e-6);
  EXPECT_NEAR(number(result, "cold_source_end.temperature"), 353.15 + heat / (0.80 * 4000.0), 1e-6);
  EXPECT_NEAR(number(result, "cold.temperature"), 353.15 + heat / (0.80 * 4000.0), 1e-6);
}

/// A radiator loop and an oil loop that gives its heat to it: both loads leave through the radiator.
TEST(LiquidCooler, HeatOfTheOilLeavesThroughTheRadiator) {
  Json water = coolant_ring("40 kW");
  water["elements"]["block"]["to"] = "plate";
  water["elements"]["water_side"] = {{"kind", "liquid_cooler"},
                                     {"from", "plate"},
                                     {"to", "top"},
                                     {"bore", "30 mm"},
                                     {"loss", 3},
                                     {"conductance", {{"value", "4000 W/K"}, {"flow", "1 kg/s"}}}};
  Json oil = oil_rail(4.0);
  oil["heat_load"] = "8 kW";
  oil["nodes"] = {{"sump", {{"kind", "duct"}}}};
  oil["elements"].erase("relief");
  oil["elements"]["gallery"]["to"] = "warm";
  oil["elements"]["oil_side"] = {{"kind", "liquid_cooler"},
                                 {"from", "warm"},
                                 {"to", "sump"},
                                 {"bore", "16 mm"},
                                 {"loss", 3},
                                 {"other_side", "water_side"},
                                 {"conductance", {{"value", "900 W/K"}, {"flow", "0.5 kg/s"}}}};
  const PointResult result = solved(model_of(blown_core("water"), {{"water", water}, {"oil", oil}}));
  expect_relative(number(result, "radiator.heat"), 48e3, 1e-8, "radiator");
  expect_relative(number(result, "oil_side.heat"), 8e3, 1e-8, "oil side");
  EXPECT_GT(number(result, "oil.temperature_cold"), number(result, "plate.temperature"));
}

// An engine at rest drives no pump: the heat has no way out, and no temperature is given for an answer.
TEST(LiquidLoop, HeatWithoutFlowHasNoSteadyState) {
  const PointResult result =
      attempted(model_of(blown_core("water"), {{"water", coolant_ring("20 kW")}}, "0 rpm"));
  EXPECT_FALSE(result.solution.converged);
  EXPECT_NE(result.solution.explanation.find("water"), std::string::npos) << result.solution.explanation;
  for (const cooling::NodeState& node : result.solution.nodes) {
    EXPECT_TRUE(std::isfinite(node.temperature));
    EXPECT_TRUE(std::isfinite(node.total_pressure));
  }
}

// Two ends at one pressure: nothing flows through the core, which is named.
TEST(LiquidLoop, NamesACoreWithoutLiquidFlow) {
  const Json loop = {
      {"fluid", plain_liquid()},
      {"elements",
       {{"water_side",
         {{"kind", "core"},
          {"core", "radiator"},
          {"from", "one"},
          {"to", "other"},
          {"bore", "30 mm"},
          {"loss", 9}}}}},
      {"nodes",
       {{"one", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}, {"temperature", "90 degC"}}},
        {"other", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}, {"temperature", "90 degC"}}}}}};
  const PointResult result = solved(model_of(blown_core("water"), {{"water", loop}}));
  EXPECT_TRUE(warns(result, "no_liquid_flow", "water_side"));
  EXPECT_NEAR(number(result, "radiator.heat"), 0.0, 1.0);
}

// Water at 95 degC under 100 kPa has 84.6 kPa of vapor pressure (IAPWS-IF97): 15.4 kPa are left.
TEST(Pump, BeyondItsSuctionLimitGivesLessAndIsNamed) {
  const auto ring = [](const char* limit) {
    const Json pump = {
        {"kind", "pump"},
        {"from", "tank"},
        {"to", "out"},
        {"curve", {{"shutoff_pressure", "90 kPa"}, {"free_flow", "240 L/min"}, {"density", "961.9 kg/m3"}}},
        {"suction_limit", limit}};
    return Json{
        {"fluid", {{"kind", "water"}}},
        {"elements",
         {{"pump", pump},
          {"way", {{"kind", "loss"}, {"from", "out"}, {"to", "tank"}, {"area", "5 cm2"}, {"loss", 8}}}}},
        {"nodes",
         {{"tank", {{"kind", "fixed_pressure"}, {"total_pressure", "0 Pa"}, {"temperature", "95 degC"}}}}}};
  };
  const PointResult sound = solved(model_of(still_air(), {{"water", ring("10 kPa")}}));
  EXPECT_FALSE(warns(sound, "suction_limit", "pump"));
  const PointResult starved = solved(model_of(still_air(), {{"water", ring("30 kPa")}}));
  EXPECT_TRUE(warns(starved, "suction_limit", "pump"));
  EXPECT_NEAR(number(starved, "pump.suction_margin"), 15.4e3 - 30e3, 100.0);
  // c (H_0 - h Q^2) = k Q^2 with c = 15.4/30 of the curve left, h of the parabola and k of the way.
  const double left = 15.4 / 30.0;
  const double curve = 90e3 / (0.004 * 0.004);
  const double way = 0.5 * 961.9 * 8.0 / (5e-4 * 5e-4);
  const double ratio = number(starved, "pump.flow") / number(sound, "pump.flow");
  EXPECT_NEAR(ratio * ratio, left * (way + curve) / (way + left * curve), 0.005);
}

// Water boils at 99.6 degC under 100 kPa.
TEST(LiquidLoop, NamesALiquidThatBoils) {
  Json ring = coolant_ring("20 kW");
  ring["fluid"] = {{"kind", "water"}};
  Json model = model_of(blown_core("water"), {{"water", ring}});
  EXPECT_FALSE(warns(solved(model), "boiling", "water"));
  model["loops"]["water"]["heat_load"] = "120 kW";
  EXPECT_TRUE(warns(solved(model), "boiling", "water"));
}

/// Central difference of a quantity over one number of the model.
double difference(const Json& text, const std::string& quantity, Json& (*number_in)(Json&), double value,
                  const char* unit) {
  const auto at = [&](double changed) {
    Json copy = text;
    Json& place = number_in(copy);
    if (*unit == '\0') {
      place = changed;
    } else {
      place = std::to_string(changed) + " " + unit;
    }
    return number(solved(copy), quantity);
  };
  const double step = 1e-3 * value;
  return (at(value + step) - at(value - step)) / (2.0 * step);
}

// The exact derivatives that carry the uncertainty, through both sides of core, cooler and thermostat.
TEST(LiquidLoop, DerivativesAreThoseOfTheWholeSystem) {
  const Json text = model_of(blown_core("water"), {{"water", governed_ring("60 kW")}});
  const PointResult result = solved(text);
  const auto model = model::parse_model(text.dump(), "loop", ".");
  ASSERT_TRUE(model.ok());
  const Uncertainty uncertainty = uncertainty_of(model.value(), result, "water.temperature");
  const auto derivative = [&](const char* parameter) {
    for (const Influence& influence : uncertainty.influences) {
      if (influence.parameter == parameter) return influence.derivative;
    }
    ADD_FAILURE() << parameter;
    return 0.0;
  };
  const double by_load = difference(
      text, "water.temperature", [](Json& m) -> Json& { return m["loops"]["water"]["heat_load"]; }, 60000.0,
      "W");
  expect_relative(derivative("water.heat_load"), by_load, 1e-3, "heat load");
  const double by_loss = difference(
      text, "water.temperature",
      [](Json& m) -> Json& { return m["loops"]["water"]["elements"]["thermostat"]["loss"]; }, 2.5, "");
  expect_relative(derivative("thermostat.loss"), by_loss, 1e-3, "thermostat");
  const double by_slope = difference(
      text, "water.temperature",
      [](Json& m) -> Json& { return m["loops"]["water"]["elements"]["pump"]["speed_ratio"]; }, 1.0, "");
  expect_relative(derivative("pump.speed_ratio"), by_slope, 1e-3, "pump");
  EXPECT_GT(uncertainty.sigma, 0.0);
}

}  // namespace
}  // namespace corefeed::studies
