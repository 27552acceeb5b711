// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "corefeed/model/model.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

namespace fs = std::filesystem;
using testing::changed;
using testing::is_given;
using testing::number_of;
using testing::parse;
using testing::sound;

Model invented_car() {
  Result<Model> model = read_model(COREFEED_SOURCE_DIR "/tests/data/golden-model.json");
  EXPECT_TRUE(model.ok()) << describe(model.issues().front());
  return model.ok() ? std::move(model).value() : Model();
}

// Every factor between unit and SI is exact in decimals here, so the doubles must be the nearest ones.
TEST(ReadModel, HasTheInventedCarInSiUnits) {
  const Model car = invented_car();
  EXPECT_EQ(car.title, "Invented front-engined hill-climb car at 180 km/h");
  EXPECT_DOUBLE_EQ(car.temperature, 303.15);
  EXPECT_EQ(car.pressure, 1e5);
  EXPECT_EQ(car.relative_humidity, 0.40);
  EXPECT_EQ(car.frontal_area, 1.90);
  ASSERT_EQ(car.elements.size(), 11u);
  EXPECT_EQ(number_of(car, "nose_inlet", "area"), 0.042);
  EXPECT_EQ(number_of(car, "nose_inlet", "cp"), 0.88);
  EXPECT_EQ(number_of(car, "radiator", "air_loss.linear"), 24.0);
  EXPECT_EQ(number_of(car, "radiator", "air_conductance.value"), 3600.0);
  EXPECT_EQ(number_of(car, "core_gap", "area"), 0.003);
  EXPECT_EQ(number_of(car, "fan", "curve.free_flow"), 0.75);
  EXPECT_DOUBLE_EQ(number_of(car, "fan", "curve.shaft_speed"), 2500.0 * 2.0 * 3.14159265358979323846 / 60.0);
  EXPECT_EQ(number_of(car, "fender_vent", "blocker.gap"), 0.07);
  EXPECT_DOUBLE_EQ(number_of(car, "fender_vent", "jet_angle"), 3.14159265358979323846 / 6.0);
}

TEST(ReadModel, HasTheGraphOfTheInventedCar) {
  const Model car = invented_car();
  EXPECT_EQ(car.find_element("nose_inlet")->from, "");
  EXPECT_EQ(car.find_element("nose_inlet")->to, "duct_mouth");
  EXPECT_EQ(car.find_element("fender_vent")->to, "");
  EXPECT_EQ(car.find_element("radiator")->loop, "coolant");
  EXPECT_EQ(car.find_element("radiator")->pointer, "/air/elements/radiator");
  EXPECT_EQ(car.find_element("nobody"), nullptr);
  ASSERT_EQ(car.nodes.size(), 3u);
  EXPECT_EQ(car.nodes[0].kind, network::NodeKind::duct);
  EXPECT_EQ(car.nodes[1].kind, network::NodeKind::plenum);
}

TEST(ReadModel, HasLoopsPointsAndRequirementsOfTheInventedCar) {
  const Model car = invented_car();
  ASSERT_EQ(car.loops.size(), 2u);
  EXPECT_EQ(car.loops[0].name, "coolant");
  EXPECT_EQ(car.loops[0].flow, 2.0);
  EXPECT_EQ(car.loops[0].heat_load, 68e3);
  EXPECT_EQ(car.loops[0].fluid.heat_capacity(350.0), 3630.0);
  ASSERT_EQ(car.points.size(), 1u);
  EXPECT_EQ(car.points[0].speed, 50.0);
  EXPECT_EQ(car.points[0].fans.at("fan"), losses::FanState::freewheeling);
  ASSERT_EQ(car.requirements.size(), 4u);
  const Requirement& cool = car.requirements[2];
  EXPECT_DOUBLE_EQ(cool.limit, 383.15);
  EXPECT_FALSE(cool.at_least);
  EXPECT_EQ(cool.kind, units::Quantity::temperature);
  EXPECT_EQ(cool.unit, "degC");
  EXPECT_FALSE(cool.confidence.has_value());
  EXPECT_TRUE(cool.at.empty());
}

TEST(ReadModel, TakesStandardValuesWhereAKeyIsAbsent) {
  const Model model = sound();
  EXPECT_TRUE(is_given(model, "mouth", "area"));
  EXPECT_FALSE(is_given(model, "mouth", "recovery"));
  EXPECT_EQ(number_of(model, "mouth", "recovery"), 0.70);
  EXPECT_FALSE(is_given(model, "mouth", "lip_radius"));
  EXPECT_EQ(number_of(model, "radiator", "air_loss.density"), 1.2);
  EXPECT_FALSE(is_given(model, "radiator", "air_loss.density"));
  EXPECT_EQ(model.relative_humidity, 0.0);
  EXPECT_EQ(model.frontal_area, 0.0);
}

TEST(ReadModel, DoesNotMindTheOrderOfElements) {
  const std::string seal = R"(      "seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"},)"
                           "\n";
  std::string text = changed(seal, "");
  text = changed("    \"elements\": {\n", "    \"elements\": {\n" + seal, text);
  const Model model = sound(text);
  EXPECT_EQ(model.elements.front().name, "seal");
  EXPECT_EQ(number_of(model, "seal", "area"), 0.002);
}

TEST(ReadModel, IgnoresRemarksAndTheSchemaKeyEverywhere) {
  std::string text = changed("\"title\"", R"("$schema": "corefeed.json", "x-owner": [1, 2], "title")");
  text = changed(R"("mouth": {)", R"("x-old": {"kind": "nothing"}, "mouth": {"x-note": "by hand", )", text);
  text = changed(R"("air_loss": {)", R"("air_loss": {"x-test": 7, )", text);
  text = changed(R"("coolant": {)", R"("x-oil": null, "coolant": {"x-note": 1, )", text);
  text = changed(R"("face": {)", R"("x-node": 1, "face": {"x-note": 1, )", text);
  text = changed(R"("speed": "180 km/h")",
                 R"("speed": "180 km/h", "x-day": 1, "cp": {"x-run": 12, "mouth": 0.7})", text);
  const Model model = sound(text);
  EXPECT_EQ(model.elements.size(), 5u);
  EXPECT_EQ(model.loops.size(), 1u);
  EXPECT_EQ(model.points[0].cp.size(), 1u);
}

TEST(ReadModel, TakesTheUsersOwnBand) {
  std::string text =
      changed(R"("cp": 0.8)", R"("cp": {"value": 0.75, "sigma": 0.02, "source": "tufts, run 12"})");
  text = changed(R"("area": "20 cm2")", R"("area": {"value": "25 cm2", "sigma": "300 mm2"})", text);
  text = changed(R"("heat_load": "40 kW")", R"("heat_load": {"value": "41 kW", "sigma": "2 kW"})", text);
  const Model model = sound(text);
  EXPECT_EQ(number_of(model, "mouth", "cp"), 0.75);
  const Numbers& mouth = model.find_element("mouth")->numbers;
  const OwnBand& cp = mouth.bands.at(losses::find_key(*mouth.kind, "cp"));
  EXPECT_EQ(cp.sigma, 0.02);
  EXPECT_EQ(cp.source, "tufts, run 12");
  const Numbers& seal = model.find_element("seal")->numbers;
  EXPECT_EQ(number_of(model, "seal", "area"), 0.0025);
  EXPECT_DOUBLE_EQ(seal.bands.at(losses::find_key(*seal.kind, "area")).sigma.value(), 3e-4);
  EXPECT_EQ(model.loops[0].heat_load, 41e3);
  EXPECT_EQ(model.loops[0].heat_load_band.sigma, 2e3);
  EXPECT_FALSE(model.loops[0].flow_band.sigma.has_value());
}

TEST(ReadModel, AppliesAVariantAsAMergePatch) {
  const std::string text = changed(
      "  \"requirements\": [",
      R"(  "variants": {"wide": {"air": {"elements": {"outlet": {"area": "700 cm2"}, "seal": null}}}, "x-idea": 1},)"
      "\n  \"requirements\": [");
  const Model base = sound(text);
  EXPECT_EQ(variant_names(base), std::vector<std::string>{"wide"});
  EXPECT_EQ(number_of(base, "outlet", "area"), 0.05);
  // Without the leak two elements alone meet at "bay" and at "face", which the model still describes.
  const Model wide = sound(text, testing::variant("wide"));
  EXPECT_EQ(number_of(wide, "outlet", "area"), 0.07);
  EXPECT_EQ(wide.find_element("seal"), nullptr);
  EXPECT_NE(wide.hash, base.hash);
}

TEST(ReadModel, HashesTheContentAndNotTheLayout) {
  EXPECT_EQ(sound().hash, sound(changed("\"title\": \"small\"", "\"title\":    \"small\"")).hash);
  EXPECT_NE(sound().hash, sound(changed("400 cm2", "401 cm2")).hash);
  EXPECT_EQ(sound().hash.size(), 40u);
}

TEST(ReadModel, WritesATextThatReadsBackTheSame) {
  const Model model = sound();
  const Model again = sound(write_model(model));
  EXPECT_EQ(again.hash, model.hash);
  EXPECT_EQ(write_model(again), write_model(model));
}

TEST(ReadModel, ReadsADuctPathFromItsPieces) {
  const std::string text = changed(
      R"("cone": {"kind": "diffuser", "from": "front", "to": "face", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "length": "300 mm"})",
      R"("nose": {"kind": "duct_path", "from": "front", "to": "face", "feeds": "radiator", "pieces": [
        {"kind": "duct", "length": "0.4 m", "area": "400 cm2", "hydraulic_diameter": "200 mm"},
        {"kind": "diffuser", "inlet_area": "400 cm2", "outlet_area": "1500 cm2", "angle": "20 deg"}]})");
  const Model model = sound(text);
  const Element& nose = *model.find_element("nose");
  EXPECT_EQ(nose.feeds, "radiator");
  ASSERT_EQ(nose.pieces.size(), 2u);
  EXPECT_EQ(nose.pieces[0].name, "nose/1 duct");
  EXPECT_EQ(nose.pieces[1].name, "nose/2 diffuser");
  EXPECT_EQ(nose.pieces[1].numbers.value[losses::find_key(*nose.pieces[1].numbers.kind, "outlet_area")],
            0.15);
}

TEST(ReadModel, ReadsEveryFluid) {
  const auto with = [](std::string_view fluid) {
    return sound(changed(R"({"kind": "water"})", fluid)).loops.front().fluid;
  };
  EXPECT_EQ(with(R"x({"kind": "constant", "heat_capacity": "3.5 kJ/(kg K)"})x").heat_capacity(300.0), 3500.0);
  // Water at 20 degC: 4184 J/(kg K) (IAPWS-IF97, from memory); glycol and oil below it. 1 % tells them apart.
  EXPECT_NEAR(with(R"({"kind": "water"})").heat_capacity(293.15), 4184.0, 42.0);
  EXPECT_NEAR(with(R"({"kind": "water_glycol", "glycol_share": 0.0})").heat_capacity(293.15), 4184.0, 42.0);
  EXPECT_LT(with(R"({"kind": "water_glycol", "glycol_share": 0.5})").heat_capacity(293.15), 3700.0);
  EXPECT_LT(
      with(R"({"kind": "oil", "viscosity_40": "85 cSt", "viscosity_100": "14 cSt"})").heat_capacity(293.15),
      2500.0);
}

TEST(ReadModel, TakesMeasuredNumbersWhereTheModelHasNone) {
  const GeometrySource source = [](const Element&) -> Result<MeasuredElement> {
    MeasuredElement measured;
    measured.numbers = {{"area", 0.061}};
    return measured;
  };
  const std::string geometry = R"("geometry": {"file": "body.step", "opening": "louvre"})";
  const Model model = sound(changed(R"("area": "500 cm2")", geometry), testing::measuring(source));
  EXPECT_EQ(number_of(model, "outlet", "area"), 0.061);
  EXPECT_NE(model.find_element("outlet")->numbers.measured, 0u);
  EXPECT_EQ(model.find_element("outlet")->geometry->opening, "louvre");
  // What is written beside it wins, and the result says so.
  const Model own =
      sound(changed(R"("area": "500 cm2")", R"("area": "500 cm2", )" + geometry), testing::measuring(source));
  EXPECT_EQ(number_of(own, "outlet", "area"), 0.05);
  EXPECT_EQ(own.find_element("outlet")->numbers.measured, 0u);
  ASSERT_EQ(own.warnings.size(), 1u);
  EXPECT_EQ(own.warnings[0].code, "measurement_overridden");
  EXPECT_EQ(own.warnings[0].place.pointer, "/air/elements/outlet/area");
  EXPECT_NE(own.warnings[0].text.find("610 cm2"), std::string::npos) << own.warnings[0].text;
}

TEST(ReadModel, ReadsAFileBesideOthers) {
  std::string folder = (fs::temp_directory_path() / "corefeed-model-XXXXXX").string();
  ASSERT_NE(mkdtemp(folder.data()), nullptr);
  const std::string path = folder + "/car.corefeed";
  std::ofstream(path, std::ios::binary) << testing::small_text;
  const Result<Model> model = read_model(path);
  ASSERT_TRUE(model.ok());
  EXPECT_EQ(model.value().file, path);
  const Result<Model> missing = read_model(folder + "/none.json");
  ASSERT_FALSE(missing.ok());
  EXPECT_EQ(missing.issues().front().code, "missing_file");
  EXPECT_EQ(missing.issues().front().status, Status::input);
  fs::remove_all(folder);
}

}  // namespace
}  // namespace corefeed::model
