// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "corefeed/cooling/effectiveness.hpp"
#include "tests/support/golden.hpp"

/// One core known in three ways: tested points, porous coefficients, geometry. The golden car's radiator in
/// other words has to cool as the golden car's.
namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;
using corefeed::testing::golden_result;
using corefeed::testing::read_text;
using nlohmann::ordered_json;

constexpr double a = 24.0;
constexpr double b = 6.0;
constexpr double face_area = 0.15;

ordered_json& radiator(ordered_json& car) { return car["air"]["elements"]["radiator"]; }

std::string text_of(double number, const char* unit) { return nlohmann::json(number).dump() + " " + unit; }

PointResult solved(const model::Model& model) {
  PointResult result = solve_point(model, model.points.front(), {});
  EXPECT_TRUE(result.solution.converged) << result.solution.explanation;
  return result;
}

double value(const PointResult& result, const std::string& quantity) {
  return result.solution.value(quantity).value_or(std::nan(""));
}

double golden_number(const char* group, const char* name, const char* what) {
  return golden_result()["points"][0][group][name][what].get<double>();
}

/// Points of the golden radiator's own curve.
ordered_json loss_points(const char* across, const char* unit, double factor) {
  ordered_json points = ordered_json::array();
  for (const double v : {2.0, 4.0, 6.0, 8.0, 10.0}) {
    points.push_back(
        {{across, text_of(v * factor, unit)}, {"pressure_loss", text_of(a * v + b * v * v, "Pa")}});
  }
  return points;
}

ordered_json tested_car(const ordered_json& points) {
  ordered_json car = golden_document();
  radiator(car).erase("air_loss");
  radiator(car)["tested"] = {{"points", points}};
  return car;
}

void expect_golden_flow(const ordered_json& car) {
  const PointResult result = solved(read_text(car.dump()));
  const double expected = golden_number("elements", "radiator", "flow");
  EXPECT_NEAR(value(result, "radiator.flow"), expected, 1e-6 * expected);
}

const model::Assumption* assumption(const std::vector<model::Assumption>& list, std::string_view parameter,
                                    std::string_view element = "radiator") {
  const auto found = std::find_if(list.begin(), list.end(), [&](const model::Assumption& one) {
    return one.element == element && one.parameter == parameter;
  });
  return found == list.end() ? nullptr : &*found;
}

bool warned(const model::Model& model, std::string_view code) {
  return std::any_of(model.warnings.begin(), model.warnings.end(),
                     [&](const Issue& issue) { return issue.code == code; });
}

TEST(TestedLoss, PointsOfACurveGiveTheCurveBack) {
  const ordered_json car = tested_car(loss_points("face_velocity", "m/s", 1.0));
  expect_golden_flow(car);
  const model::Model model = read_text(car.dump());
  const auto list = model::assumptions(model);
  const model::Assumption* level = assumption(list, "pressure loss");
  ASSERT_NE(level, nullptr);
  EXPECT_EQ(level->choice, "tested points");
  const model::Assumption* linear = assumption(list, "air_loss.linear");
  ASSERT_NE(linear, nullptr);
  EXPECT_NEAR(linear->value, a, 1e-9);
  EXPECT_NE(linear->source.find("fit to 5 tested points: R2 1.00000, scatter 0.00 %"), std::string::npos)
      << linear->source;
}

TEST(TestedLoss, MayStandOverVolumeOrMassFlow) {
  expect_golden_flow(tested_car(loss_points("volume_flow", "m3/s", face_area)));
  expect_golden_flow(tested_car(loss_points("mass_flow", "kg/s", face_area * 1.2)));
}

TEST(TestedLoss, MayStandInAFile) {
  const std::filesystem::path folder = std::filesystem::path(::testing::TempDir()) / "core_levels";
  std::filesystem::create_directories(folder);
  std::ofstream file(folder / "core.csv");
  file << "face_velocity [m/s],pressure_loss [Pa]\n";
  for (const double v : {2.0, 4.0, 6.0, 8.0}) file << v << "," << a * v + b * v * v << "\n";
  file.close();
  ordered_json car = tested_car({});
  radiator(car)["tested"] = {{"table", "core.csv"}};
  const auto model = model::parse_model(car.dump(), "test.json", folder.string());
  ASSERT_TRUE(model) << describe(model.issues().front());
  const double expected = golden_number("elements", "radiator", "flow");
  EXPECT_NEAR(value(solved(model.value()), "radiator.flow"), expected, 1e-6 * expected);
}

TEST(TestedLoss, ATestOfOnesOwnIsKnownTwiceAsWell) {
  ordered_json car = tested_car(loss_points("face_velocity", "m/s", 1.0));
  const auto sigma = [](const ordered_json& document) {
    const model::Model model = read_text(document.dump());
    const auto& numbers = model.find_element("radiator")->numbers;
    return *numbers.bands.at(losses::find_key(*numbers.kind, "air_loss.quadratic")).sigma;
  };
  EXPECT_NEAR(sigma(car), 0.06 * b, 1e-6);
  radiator(car)["tested"]["by"] = "own_rig";
  EXPECT_NEAR(sigma(car), 0.03 * b, 1e-6);
}

// Beyond the fastest tested point the answer stands on the fit alone; the golden car has 7.6 m/s on the face.
TEST(TestedLoss, BeyondItsPointsItWarns) {
  const auto out_of_range = [](const ordered_json& car) {
    const PointResult result = solved(read_text(car.dump()));
    return std::any_of(result.warnings.begin(), result.warnings.end(), [](const Issue& issue) {
      return issue.code == "out_of_range" && issue.text.find("share_of_tested_velocity") != std::string::npos;
    });
  };
  EXPECT_FALSE(out_of_range(tested_car(loss_points("face_velocity", "m/s", 1.0))));
  ordered_json slow = loss_points("face_velocity", "m/s", 1.0);
  slow.erase(4);
  slow.erase(3);
  slow.push_back({{"face_velocity", "7 m/s"}, {"pressure_loss", text_of(a * 7 + b * 49, "Pa")}});
  EXPECT_TRUE(out_of_range(tested_car(slow)));
}

TEST(TestedLoss, FaultsAndOddCurvesAreNamed) {
  ordered_json few = loss_points("face_velocity", "m/s", 1.0);
  few.erase(0);
  few.erase(0);
  const auto refused = model::parse_model(tested_car(few).dump(), "test.json", ".");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.issues().front().code, "bad_curve");
  EXPECT_EQ(refused.issues().front().place.pointer, "/air/elements/radiator/tested/points");

  ordered_json both = golden_document();
  radiator(both)["tested"] = {{"points", loss_points("face_velocity", "m/s", 1.0)}};
  const auto conflict = model::parse_model(both.dump(), "test.json", ".");
  ASSERT_FALSE(conflict);
  EXPECT_EQ(conflict.issues().front().code, "conflicting_keys");

  // A loss with the power 2.2 of velocity is no core's.
  ordered_json steep = ordered_json::array();
  for (const double v : {2.0, 4.0, 6.0, 8.0}) {
    steep.push_back(
        {{"face_velocity", text_of(v, "m/s")}, {"pressure_loss", text_of(5.0 * std::pow(v, 2.2), "Pa")}});
  }
  EXPECT_TRUE(warned(read_text(tested_car(steep).dump()), "loss_exponent"));
  ordered_json shrouded = tested_car(loss_points("face_velocity", "m/s", 1.0));
  radiator(shrouded)["tested"]["with"] = "shroud_or_grille";
  EXPECT_TRUE(warned(read_text(shrouded.dump()), "tested_with_shroud"));
}

// k_p = mu L/a and F = b/(rho L) of 40 mm at the density and viscosity of the golden test.
TEST(PorousCore, IsTheSameCoreInOtherNumbers) {
  ordered_json car = golden_document();
  radiator(car).erase("air_loss");
  radiator(car)["porous"] = {{"permeability", text_of(1.81e-5 * 0.04 / a, "m2")},
                             {"forchheimer_coefficient", text_of(b / (1.2 * 0.04), "1/m")},
                             {"depth", "40 mm"}};
  expect_golden_flow(car);
  const auto list = model::assumptions(read_text(car.dump()));
  ASSERT_NE(assumption(list, "pressure loss"), nullptr);
  EXPECT_EQ(assumption(list, "pressure loss")->choice, "porous coefficients");
}

/// Heat of the golden radiator at a pair of flows, 60 K between the inlets.
double golden_heat(double air_flow, double liquid_flow) {
  const fluids::Air air = fluids::humid_air(303.15, 1e5, 0.40);
  const double resistance = std::pow(1.2 / air_flow, 0.45) / 3600 + std::pow(2.0 / liquid_flow, 0.8) / 9000;
  const double air_rate = air_flow * air.heat_capacity;
  const double liquid_rate = liquid_flow * 3630.0;
  const double smallest = std::min(air_rate, liquid_rate);
  return 60.0 * smallest *
         cooling::crossflow_both_unmixed<double>(1.0 / (resistance * smallest),
                                                 smallest / std::max(air_rate, liquid_rate));
}

ordered_json heat_car(const std::vector<std::pair<double, double>>& flows) {
  ordered_json points = ordered_json::array();
  for (const auto& [air_flow, liquid_flow] : flows) {
    points.push_back({{"air_flow", text_of(air_flow, "kg/s")},
                      {"liquid_flow", text_of(liquid_flow, "kg/s")},
                      {"inlet_difference", "60 K"},
                      {"heat", text_of(golden_heat(air_flow, liquid_flow), "W")}});
  }
  ordered_json car = golden_document();
  radiator(car).erase("air_conductance");
  radiator(car).erase("liquid_conductance");
  radiator(car)["tested_heat"] = {{"points", points}};
  return car;
}

TEST(TestedHeat, PointsOfTheCoreGiveTheCoreBack) {
  const ordered_json car = heat_car({{0.7, 1.2}, {0.7, 2.6}, {1.4, 1.2}, {1.4, 2.6}});
  const model::Model model = read_text(car.dump());
  EXPECT_NEAR(value(solved(model), "coolant.temperature"), golden_number("loops", "coolant", "temperature"),
              0.02);
  const auto list = model::assumptions(model);
  EXPECT_EQ(assumption(list, "heat of the air side")->choice, "tested points");
  EXPECT_NEAR(assumption(list, "air_conductance.exponent")->value, 0.45, 1e-3);
  EXPECT_NE(assumption(list, "air_conductance.value")->source.find("air exponent fitted"), std::string::npos);
}

// A data sheet's one point: shared 80 to 20, worth 12 %.
TEST(TestedHeat, OnePointIsSharedByCommonPractice) {
  const model::Model model = read_text(heat_car({{1.2, 2.0}}).dump());
  const model::Element& core = *model.find_element("radiator");
  const auto key = [&core](const char* name) { return losses::find_key(*core.numbers.kind, name); };
  const double whole = 1.0 / (1.0 / 3600 + 1.0 / 9000);
  EXPECT_NEAR(core.numbers.value[key("air_conductance.value")], whole / 0.8, 1e-3 * whole);
  EXPECT_NEAR(core.numbers.value[key("liquid_conductance.value")], whole / 0.2, 1e-3 * whole);
  EXPECT_DOUBLE_EQ(*core.numbers.bands.at(key("heat_transfer")).sigma, 0.12);
  // At the point itself nothing depends on the split.
  const PointResult result = solved(model);
  EXPECT_NEAR(value(result, "coolant.temperature"), golden_number("loops", "coolant", "temperature"), 0.6);
}

// The same heat measured on water; on half glycol the liquid side is worse and the coolant hotter.
TEST(TestedHeat, IsTakenFromWaterToTheLoopsLiquid) {
  const auto temperature = [](const ordered_json& test) {
    ordered_json car = heat_car({{1.2, 2.0}});
    car["loops"]["coolant"]["fluid"] = {{"kind", "water_glycol"}, {"glycol_share", 0.5}};
    radiator(car)["tested_heat"].update(test);
    return value(solved(read_text(car.dump())), "coolant.temperature");
  };
  const double on_glycol = temperature(ordered_json::object());
  const double on_water = temperature({{"glycol_share", 0.0}});
  EXPECT_GT(on_water, on_glycol + 0.5);
  EXPECT_LT(on_water, on_glycol + 15.0);
}

TEST(TestedHeat, FaultsAreNamed) {
  ordered_json car = heat_car({{1.2, 2.0}});
  radiator(car)["tested_heat"]["points"][0]["heat"] = "900 kW";
  const auto impossible = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(impossible);
  EXPECT_EQ(impossible.issues().front().code, "effectiveness_out_of_reach");
  EXPECT_EQ(impossible.issues().front().place.pointer, "/air/elements/radiator/tested_heat/points/0");

  car = heat_car({{1.2, 2.0}});
  radiator(car)["tested_heat"]["points"][0].erase("liquid_flow");
  radiator(car)["tested_heat"]["points"][0]["liquid_volume_flow"] = "120 L/min";
  const auto no_density = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(no_density);
  EXPECT_NE(no_density.issues().front().text.find("has no density"), std::string::npos);
  car["loops"]["coolant"]["fluid"] = {{"kind", "water"}};
  EXPECT_TRUE(model::parse_model(car.dump(), "test.json", "."));
}

ordered_json finned_car() {
  ordered_json car = golden_document();
  for (const char* key : {"air_loss", "air_conductance", "free_flow_ratio", "exit_coefficient"})
    radiator(car).erase(key);
  radiator(car)["fins"] = {{"style", "louvred"},       {"fin_pitch", "1.6 mm"},
                           {"fin_height", "8 mm"},     {"fin_thickness", "0.1 mm"},
                           {"tube_pitch", "10 mm"},    {"tube_thickness", "2 mm"},
                           {"depth", "32 mm"},         {"louvre_pitch", "1.2 mm"},
                           {"louvre_angle", "27 deg"}, {"louvre_length", "6.8 mm"}};
  return car;
}

// A louvered core of 32 mm with wide fins: between a 27 and a 42 mm core of the trade, K of 7 to 13 on the
// face (common practice, no source, 25 %), and heat of 5 to 7.5 kW a square meter and kelvin.
TEST(Fins, CoolLikeACoreOfTheirDepth) {
  const model::Model model = read_text(finned_car().dump());
  const PointResult result = solved(model);
  const double loss = value(result, "radiator.face_loss_coefficient");
  EXPECT_GT(loss, 0.75 * 7.0);
  EXPECT_LT(loss, 1.25 * 13.0);
  const double inlet_difference = value(result, "coolant.temperature") - 304.381;
  const double heat = 68e3 / (face_area * inlet_difference);
  EXPECT_GT(heat, 0.8 * 5000.0);
  EXPECT_LT(heat, 1.2 * 7500.0);
  const auto list = model::assumptions(model);
  EXPECT_EQ(assumption(list, "pressure loss")->choice, "geometry of the fins");
  EXPECT_EQ(assumption(list, "heat of the air side")->choice, "geometry of the fins");
  EXPECT_EQ(assumption(list, "heat of the liquid side")->choice, "coefficients of a test");
}

// The loss of the network is the law's own, evaluated apart: friction on the mean density, both ends, heating
// and the dumped head (Kays & London's form of total pressure).
TEST(Fins, LossIsThatOfKaysAndLondon) {
  const PointResult result = solved(read_text(finned_car().dump()));
  const auto& element = result.built.problem.network.elements;
  const auto core =
      std::find_if(element.begin(), element.end(), [](const auto& one) { return one.name == "radiator"; });
  const auto place = static_cast<std::size_t>(core - element.begin());
  const double sigma = 1.5 * 8 / (1.6 * 10);
  const double kc = 0.4 * (1 - sigma * sigma);
  const double ke = (1 - sigma) * (1 - sigma);
  const auto& air = result.built.problem.network.outside.air;
  const double hot = value(result, "radiator.air_temperature_out");
  const double cold = value(result, "core_face.temperature");
  const double before = (value(result, "core_face.total_pressure") + 1e5) / (air.gas_constant * cold);
  const double behind = (value(result, "shroud_box.total_pressure") + 1e5) / (air.gas_constant * hot);
  const double flux = value(result, "radiator.flow") / face_area;
  const double reynolds = flux / sigma * 1.2e-3 / air.viscosity(0.5 * (hot + cold));
  EXPECT_NEAR(value(result, "radiator.fin_reynolds"), reynolds, 1e-6 * reynolds);
  const double head = flux * flux / (2 * sigma * sigma);
  const double heating = result.solution.elements[place].items[1].loss;
  EXPECT_NEAR(heating, (1 + ke) * head * (1 / behind - 1 / before), 1e-6 * heating);
  const double matrix = result.solution.elements[place].items[0].loss;
  const double ends = head * (kc + ke) / before;
  EXPECT_LT(ends, 0.3 * matrix);
  const double diameter = 4 * 1.5e-3 * 8e-3 / (2 * (1.5e-3 + 8e-3));
  const double friction = (matrix - ends) / (head * 4 * 32e-3 / diameter / (0.5 * (before + behind)));
  // Between j and 6 j, where interrupted fins lie (Kays & London 1984).
  EXPECT_GT(friction, 0.03);
  EXPECT_LT(friction, 0.3);
}

// A wide pitch of thin fins with long louvers: every length is that of some core behind the law, not all together.
TEST(Fins, LouversWhoseLawDoesNotMeetAreNamed) {
  const auto warned = [](const ordered_json& car) {
    const PointResult result = solved(read_text(car.dump()));
    return std::any_of(result.warnings.begin(), result.warnings.end(), [](const Issue& issue) {
      return issue.code == "out_of_range" && issue.text.find("louvre_step") != std::string::npos;
    });
  };
  ordered_json car = finned_car();
  EXPECT_FALSE(warned(car));
  radiator(car)["fins"]["fin_pitch"] = "3 mm";
  radiator(car)["fins"]["fin_thickness"] = "0.05 mm";
  radiator(car)["fins"]["louvre_pitch"] = "2.9 mm";
  radiator(car)["fins"]["louvre_angle"] = "20 deg";
  EXPECT_TRUE(warned(car));
}

TEST(Fins, FaultsAreNamed) {
  ordered_json car = finned_car();
  radiator(car)["fins"]["fin_thickness"] = "0.016 mm";
  const auto foil = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(foil);
  EXPECT_NE(foil.issues().front().text.find("hundredth"), std::string::npos);
  car = finned_car();
  radiator(car)["fins"].erase("louvre_angle");
  const auto incomplete = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(incomplete);
  EXPECT_NE(incomplete.issues().front().text.find("louvre_angle"), std::string::npos);
  car = finned_car();
  radiator(car)["fins"]["fin_height"] = "9 mm";
  const auto too_high = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(too_high);
  EXPECT_NE(too_high.issues().front().text.find("exceed tube_pitch"), std::string::npos);
  car = finned_car();
  radiator(car)["fins"].erase("depth");
  const auto no_depth = model::parse_model(car.dump(), "test.json", ".");
  ASSERT_FALSE(no_depth);
  EXPECT_EQ(no_depth.issues().front().code, "missing_key");
}

}  // namespace
}  // namespace corefeed::studies
