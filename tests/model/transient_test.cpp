// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "tests/model/small_model.hpp"

/// Keys of a loop that only its temperature over time needs.
namespace corefeed::model {
namespace {

using testing::changed;
using testing::parse;
using testing::sound;

std::string with(const std::string& keys) {
  const std::string seal = R"("seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"},)";
  const std::string fan = R"("blower": {"kind": "fan", "from": "face", "to": "bay", "area": "200 cm2",
    "curve": {"shutoff_pressure": "100 Pa", "free_flow": "0.2 m3/s", "shaft_speed": "2000 rpm"}},)";
  return changed(R"("heat_load": "40 kW")", R"("heat_load": "40 kW", )" + keys, changed(seal, seal + fan));
}

Issue fault(const std::string& keys) {
  const Result<Model> model = parse(with(keys));
  EXPECT_FALSE(model.ok()) << keys;
  return model.ok() ? Issue() : model.issues().front();
}

TEST(Transient, IsAbsentUnlessGiven) {
  const Model model = sound();
  const Transient& transient = model.loops.front().transient;
  EXPECT_FALSE(transient.thermal_mass || transient.temperature_limit || transient.start_temperature);
  EXPECT_FALSE(transient.thermostat);
  EXPECT_TRUE(transient.fan_control.empty());
}

TEST(Transient, ReadsItsKeys) {
  const Model model = sound(with(R"("thermal_mass": "60 kJ/K", "temperature_limit": "115 degC",
    "start_temperature": "353.15 K",
    "thermostat": {"opens_at": "82 degC", "fully_open_at": "95 degC", "hysteresis": "4 K", "closed_share": 0.05},
    "fan_control": {"blower": {"on_above": "98 degC", "off_below": "93 degC", "off_state": "stopped"}})"));
  const Transient& transient = model.loops.front().transient;
  EXPECT_DOUBLE_EQ(*transient.thermal_mass, 60e3);
  EXPECT_DOUBLE_EQ(*transient.temperature_limit, 388.15);
  EXPECT_DOUBLE_EQ(*transient.start_temperature, 353.15);
  ASSERT_TRUE(transient.thermostat.has_value());
  EXPECT_DOUBLE_EQ(transient.thermostat->opens_at, 355.15);
  EXPECT_DOUBLE_EQ(transient.thermostat->fully_open_at, 368.15);
  EXPECT_DOUBLE_EQ(transient.thermostat->hysteresis, 4.0);
  EXPECT_DOUBLE_EQ(transient.thermostat->lag, 7.0);
  EXPECT_DOUBLE_EQ(transient.thermostat->closed_share, 0.05);
  ASSERT_EQ(transient.fan_control.size(), 1U);
  EXPECT_EQ(transient.fan_control[0].fan, "blower");
  EXPECT_DOUBLE_EQ(transient.fan_control[0].on_above, 371.15);
  EXPECT_DOUBLE_EQ(transient.fan_control[0].off_below, 366.15);
  EXPECT_EQ(transient.fan_control[0].off_state, losses::FanState::stopped);
}

struct Fault {
  const char* keys;
  const char* code;
  const char* pointer;
};

class WrongTransient : public ::testing::TestWithParam<Fault> {};

TEST_P(WrongTransient, IsRefusedWithThePlace) {
  const Issue issue = fault(GetParam().keys);
  EXPECT_EQ(issue.code, GetParam().code) << issue.text;
  EXPECT_EQ(issue.place.pointer, std::string("/loops/coolant") + GetParam().pointer) << issue.text;
  EXPECT_GT(issue.place.line, 0);
}

INSTANTIATE_TEST_SUITE_P(
    Transient, WrongTransient,
    ::testing::Values(
        Fault{R"("thermal_mass": "60 kJ")", "wrong_dimension", "/thermal_mass"},
        Fault{R"("thermal_mass": 60000)", "missing_unit", "/thermal_mass"},
        Fault{R"("thermal_mass": "0 kJ/K")", "out_of_bounds", "/thermal_mass"},
        Fault{R"("thermal_mas": "60 kJ/K")", "unknown_key", "/thermal_mas"},
        Fault{R"("temperature_limit": "900 degC")", "out_of_bounds", "/temperature_limit"},
        Fault{R"("thermostat": "82 degC")", "wrong_type", "/thermostat"},
        Fault{R"("thermostat": {"opens_at": "82 degC"})", "missing_key", "/thermostat"},
        Fault{R"("thermostat": {"opens_at": "95 degC", "fully_open_at": "82 degC"})", "contradiction",
              "/thermostat/fully_open_at"},
        Fault{R"("thermostat": {"opens_at": "82 degC", "fully_open_at": "95 degC", "hysteresis": "3 degC"})",
              "wrong_dimension", "/thermostat/hysteresis"},
        Fault{R"("thermostat": {"opens_at": "82 degC", "fully_open_at": "95 degC", "lag": "0 s"})",
              "out_of_bounds", "/thermostat/lag"},
        Fault{R"("fan_control": {"blowr": {"on_above": "98 degC", "off_below": "93 degC"}})", "unknown_name",
              "/fan_control/blowr"},
        Fault{R"("fan_control": {"seal": {"on_above": "98 degC", "off_below": "93 degC"}})", "unknown_name",
              "/fan_control/seal"},
        Fault{R"("fan_control": {"blower": {"on_above": "93 degC", "off_below": "98 degC"}})",
              "contradiction", "/fan_control/blower/off_below"},
        Fault{R"("fan_control": {"blower": {"on_above": "93 degC"}})", "missing_key", "/fan_control/blower"},
        Fault{
            R"("fan_control": {"blower": {"on_above": "98 degC", "off_below": "93 degC", "off_state": "on"}})",
            "unknown_name", "/fan_control/blower/off_state"}));

TEST(Transient, OneLoopSwitchesAFan) {
  const std::string control = R"("fan_control": {"blower": {"on_above": "98 degC", "off_below": "93 degC"}})";
  std::string text = with(control);
  const std::string radiator = R"("loop": "coolant"},)";
  text = changed(radiator,
                 radiator + R"("cooler": {"kind": "core", "from": "face", "to": "bay", "face_area": "300 cm2",
    "air_loss": {"linear": "24 Pa s/m", "quadratic": "6 Pa s2/m2"}, "air_conductance": {"value": "360 W/K", "flow": "0.2 kg/s"},
    "liquid_conductance": {"value": "500 W/K", "flow": "0.5 kg/s"}, "loop": "oil"},)",
                 text);
  text = changed(R"("coolant": {"fluid")",
                 R"("oil": {"fluid": {"kind": "water"}, "flow": "1 kg/s", "heat_load": "5 kW", )" + control +
                     R"(}, "coolant": {"fluid")",
                 text);
  const Result<Model> model = parse(text);
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(model.issues().front().code, "contradiction");
  EXPECT_EQ(model.issues().front().place.pointer, "/loops/coolant/fan_control/blower");
}

}  // namespace
}  // namespace corefeed::model
