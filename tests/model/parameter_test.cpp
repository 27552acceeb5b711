// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/parameter.hpp"

#include <gtest/gtest.h>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::number_of;
using testing::sound;

Parameter parameter(const Model& model, std::string_view name) {
  const Result<Parameter> found = find_parameter(model, name);
  EXPECT_TRUE(found.ok()) << describe(found.issues().front());
  return found.ok() ? found.value() : Parameter();
}

std::string refusal(std::string_view name) {
  const Result<Parameter> found = find_parameter(sound(), name);
  if (found.ok()) return "accepted";
  EXPECT_EQ(found.issues().front().code, "unknown_parameter");
  EXPECT_EQ(found.issues().front().status, Status::usage);
  return found.issues().front().text;
}

/// The document's value at a pointer after setting and writing a number.
const Value* written(Model& model, const std::string& name, double value, const std::string& pointer) {
  const Parameter one = parameter(model, name);
  set_parameter(model, one, value);
  write_parameter(model, one);
  return find_value(model.document.root, pointer);
}

TEST(Parameter, FindsNumbersOfElementsLoopsAmbientAndPoints) {
  const Model model = sound();
  EXPECT_EQ(parameter_value(model, parameter(model, "outlet.area")), 0.05);
  EXPECT_EQ(parameter_value(model, parameter(model, "radiator.air_loss.linear")), 24.0);
  EXPECT_EQ(parameter_value(model, parameter(model, "coolant.flow")), 2.0);
  EXPECT_EQ(parameter_value(model, parameter(model, "coolant.heat_load")), 40e3);
  EXPECT_DOUBLE_EQ(parameter_value(model, parameter(model, "ambient.temperature")), 293.15);
  EXPECT_EQ(parameter_value(model, parameter(model, "ambient.pressure")), 1e5);
  EXPECT_EQ(parameter_value(model, parameter(model, "speed")), 50.0);
  EXPECT_EQ(parameter_value(model, parameter(model, "yaw")), 0.0);
}

TEST(Parameter, HasTheQuantityAndBoundsOfItsKey) {
  const Model model = sound();
  const Parameter area = parameter(model, "outlet.area");
  EXPECT_EQ(area.quantity, units::Quantity::area);
  EXPECT_EQ(area.lowest, 0.0);
  EXPECT_TRUE(area.above_lowest);
  const Parameter cp = parameter(model, "mouth.cp");
  EXPECT_EQ(cp.quantity, units::Quantity::number);
  EXPECT_EQ(cp.highest, 1.2);
}

TEST(Parameter, RefusesWhatIsNoNumberOfTheModel) {
  EXPECT_NE(refusal("outlet.aera").find("did you mean \"outlet.area\"?"), std::string::npos);
  EXPECT_NE(refusal("outlt.area").find("did you mean \"outlet.area\"?"), std::string::npos);
  EXPECT_NE(refusal("banana").find("name it ELEMENT.key"), std::string::npos);
  // A word to choose and the name of another element are no numbers.
  EXPECT_NE(refusal("cone.shape"), "accepted");
  EXPECT_NE(refusal("radiator.loop"), "accepted");
  EXPECT_NE(refusal("radiator.air_loss"), "accepted");
}

TEST(Parameter, SettingGivesTheNumberAndLeavesTheDocument) {
  Model model = sound();
  EXPECT_FALSE(testing::is_given(model, "mouth", "recovery"));
  set_parameter(model, parameter(model, "mouth.recovery"), 0.9);
  EXPECT_TRUE(testing::is_given(model, "mouth", "recovery"));
  EXPECT_EQ(number_of(model, "mouth", "recovery"), 0.9);
  EXPECT_EQ(find_value(model.document.root, "/air/elements/mouth/recovery"), nullptr);
}

TEST(Parameter, WritesInTheUnitOfTheModel) {
  Model model = sound();
  EXPECT_EQ(parameter_unit(model, parameter(model, "outlet.area")), "cm2");
  EXPECT_EQ(written(model, "outlet.area", 0.0612, "/air/elements/outlet/area")->text, "612 cm2");
  EXPECT_EQ(written(model, "cone.length", 0.25, "/air/elements/cone/length")->text, "250 mm");
  EXPECT_EQ(written(model, "ambient.temperature", 303.15, "/ambient/temperature")->text, "30 degC");
  EXPECT_EQ(written(model, "mouth.cp", 0.7, "/air/elements/mouth/cp")->number, 0.7);
  EXPECT_EQ(written(model, "radiator.air_loss.linear", 30.0, "/air/elements/radiator/air_loss/linear")->text,
            "30 Pa s/m");
}

TEST(Parameter, KeepsTheBandBesideAValueOfTheUsersOwn) {
  Model model = sound(changed(R"("area": "500 cm2")", R"("area": {"value": "0.05 m2", "sigma": "5 cm2"})"));
  EXPECT_EQ(parameter_unit(model, parameter(model, "outlet.area")), "m2");
  EXPECT_EQ(written(model, "outlet.area", 0.06, "/air/elements/outlet/area/value")->text, "0.06 m2");
  EXPECT_EQ(find_value(model.document.root, "/air/elements/outlet/area/sigma")->text, "5 cm2");
}

TEST(Parameter, WritesAKeyThatDidNotStandThere) {
  Model model = sound();
  EXPECT_EQ(written(model, "mouth.recovery", 0.9, "/air/elements/mouth/recovery")->number, 0.9);
  EXPECT_EQ(written(model, "outlet.jet_angle", 0.0, "/air/elements/outlet/jet_angle")->text, "0 deg");
  EXPECT_EQ(written(model, "outlet.blocker.gap", 0.07, "/air/elements/outlet/blocker/gap")->text, "70 mm");
  EXPECT_EQ(written(model, "radiator.air_loss.density", 1.1, "/air/elements/radiator/air_loss/density")->text,
            "1.1 kg/m3");
}

TEST(Parameter, OfThePointsSetsAllOfThem) {
  Model model =
      sound(changed(R"({"name": "fast", "speed": "180 km/h"})",
                    R"({"name": "fast", "speed": "180 km/h"}, {"name": "slow", "speed": "25 m/s"})"));
  EXPECT_EQ(written(model, "speed", 30.0, "/points/0/speed")->text, "108 km/h");
  EXPECT_EQ(model.points[0].speed, 30.0);
  EXPECT_EQ(model.points[1].speed, 30.0);
  EXPECT_EQ(find_value(model.document.root, "/points/1/speed")->text, "108 km/h");
}

TEST(Parameter, ReadsBackWhatWasWritten) {
  Model model = sound();
  for (const auto& [name, value] : {std::pair{"outlet.area", 0.0612345678901},
                                    {"mouth.cp", 1.0 / 3.0},
                                    {"coolant.flow", 1.23456789},
                                    {"ambient.temperature", 301.23456789},
                                    {"radiator.air_loss.quadratic", 7.7777777777},
                                    {"speed", 41.4141414141}}) {
    const Parameter one = parameter(model, name);
    set_parameter(model, one, value);
    write_parameter(model, one);
    const Model again = sound(write_model(model));
    // Eight digits in the user's unit; a plain number keeps all.
    EXPECT_NEAR(parameter_value(again, parameter(again, name)), value, 1e-8 * value) << name;
  }
  const Model again = sound(write_model(model));
  EXPECT_EQ(number_of(again, "mouth", "cp"), 1.0 / 3.0);
}

}  // namespace
}  // namespace corefeed::model
