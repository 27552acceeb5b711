// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/trace.hpp"

#include <gtest/gtest.h>

#include <fstream>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::sound;

/// The small model with a fan that its loop may switch.
Model car(const std::string& control = "") {
  const std::string seal = R"("seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"},)";
  const std::string fan = R"("blower": {"kind": "fan", "from": "face", "to": "bay", "area": "200 cm2",
    "curve": {"shutoff_pressure": "100 Pa", "free_flow": "0.2 m3/s", "shaft_speed": "2000 rpm"}},)";
  return sound(
      changed(R"("heat_load": "40 kW")", R"("heat_load": "40 kW")" + control, changed(seal, seal + fan)));
}

Result<Trace> parse(const std::string& text, const std::string& control = "") {
  return parse_trace(text, "lap.csv", car(control));
}

Issue fault(const std::string& text, const std::string& control = "") {
  const Result<Trace> trace = parse(text, control);
  EXPECT_FALSE(trace.ok()) << text;
  return trace.ok() ? Issue() : trace.issues().front();
}

TEST(Trace, ReadsNumbersInTheirUnitsFromTimeZero) {
  const Result<Trace> read = parse(
      "time [s],speed [km/h],yaw [deg],heat_load.coolant [kW],fans.blower\n"
      "10,36,0,20,on\n10.5,72,90,30,stopped\n12,0,-45,0,freewheeling\n");
  ASSERT_TRUE(read.ok()) << describe(read.issues().front());
  const Trace& trace = read.value();
  EXPECT_EQ(trace.time, (std::vector<double>{0.0, 0.5, 2.0}));
  EXPECT_DOUBLE_EQ(trace.speed[1], 20.0);
  EXPECT_NEAR(trace.yaw[1], 1.5707963267948966, 1e-15);
  EXPECT_DOUBLE_EQ(trace.heat_load.at("coolant")[1], 30e3);
  EXPECT_EQ(trace.fans.at("blower")[1], losses::FanState::stopped);
  EXPECT_EQ(trace.duration(), 2.0);
  EXPECT_TRUE(trace.warnings.empty());
}

TEST(Trace, SemicolonsAndDecimalCommasWork) {
  const Result<Trace> trace = parse("time [s];speed [m/s]\n0;10,5\n1,5;20\n");
  ASSERT_TRUE(trace.ok());
  EXPECT_EQ(trace.value().speed.front(), 10.5);
}

TEST(Trace, SaysWhichColumnsDoNothing) {
  const Result<Trace> trace =
      parse("time [s],speed [m/s],engine_speed [rpm],ride_height [mm]\n0,10,5000,30\n1,20,6000,25\n");
  ASSERT_TRUE(trace.ok());
  ASSERT_EQ(trace.value().warnings.size(), 2U);
  EXPECT_EQ(trace.value().warnings[0].severity, Severity::note);
  EXPECT_NE(trace.value().warnings[0].text.find("engine_speed"), std::string::npos);
}

struct Fault {
  const char* text;
  const char* code;
  int line;
  int column;
  const char* words;
};

class WrongTrace : public ::testing::TestWithParam<Fault> {};

TEST_P(WrongTrace, IsRefusedWithThePlace) {
  const Fault& expected = GetParam();
  const Issue issue = fault(expected.text);
  EXPECT_EQ(issue.code, expected.code) << issue.text;
  EXPECT_EQ(issue.place.file, "lap.csv");
  EXPECT_EQ(issue.place.line, expected.line) << issue.text;
  EXPECT_EQ(issue.place.column, expected.column) << issue.text;
  EXPECT_EQ(issue.status, Status::input);
  EXPECT_NE(issue.text.find(expected.words), std::string::npos) << issue.text;
}

INSTANTIATE_TEST_SUITE_P(
    Trace, WrongTrace,
    ::testing::Values(
        Fault{"time [s]\n0\n1\n", "missing_column", 1, 0, "speed"},
        Fault{"time [s],sped [m/s]\n0,1\n1,1\n", "missing_column", 1, 0, "did you mean \"sped\""},
        Fault{"time [s],speed [m/s],gear\n0,1,1\n1,1,1\n", "unknown_column", 1, 0, "heat_load.coolant"},
        Fault{"time [s],speed [m/s],heat_load.coolnt [W]\n0,1,1\n1,1,1\n", "unknown_name", 1, 0,
              "did you mean \"coolant\""},
        Fault{"time [s],speed [m/s],fans.blowr\n0,1,on\n1,1,on\n", "unknown_name", 1, 0,
              "did you mean \"blower\""},
        Fault{"time [s],speed [m/s],fans.blower\n0,1,on\n1,1,off\n", "unknown_name", 3, 5, "freewheeling"},
        Fault{"time [s],speed [m/s],fans.blower [W]\n0,1,on\n1,1,on\n", "wrong_dimension", 1, 0, "words"},
        Fault{"time [s],speed\n0,1\n1,1\n", "missing_unit", 1, 0, "speed [km/h]"},
        Fault{"time [s],speed [kW]\n0,1\n1,1\n", "wrong_dimension", 1, 0, "speed [km/h]"},
        Fault{"time [s],speed [m/s]\n0,1\n1,nan\n", "not_a_number", 3, 3, "nan"},
        Fault{"time [s],speed [m/s]\n0,1\n1,\n", "empty_cell", 3, 3, "empty"},
        Fault{"time [s],speed [m/s]\n0,1\n1,-3\n", "out_of_bounds", 3, 3, "speed"},
        Fault{"time [s],speed [m/s]\n0,1\n1,130\n", "out_of_bounds", 3, 3, "432 km/h"},
        Fault{"time [s],speed [m/s],heat_load.coolant [kW]\n0,1,5\n1,1,-5\n", "out_of_bounds", 3, 5, "-5 kW"},
        Fault{"time [s],speed [m/s]\n0,1\n2,1\n2,1\n", "time_not_rising", 4, 1, "rising"},
        Fault{"time [s],speed [m/s]\n0,1\n", "too_few_rows", 1, 0, "two"},
        Fault{"time [s],speed [m/s]\n0,1,4\n1,1\n", "ragged_row", 2, 1, "cells"},
        Fault{"", "no_header", 0, 0, "empty"}));

TEST(Trace, FanOfTheControlTakesNoColumn) {
  const std::string control =
      R"(, "fan_control": {"blower": {"on_above": "95 degC", "off_below": "90 degC"}})";
  const Issue issue = fault("time [s],speed [m/s],fans.blower\n0,1,on\n1,1,on\n", control);
  EXPECT_EQ(issue.code, "contradiction");
  EXPECT_NE(issue.text.find("fan_control"), std::string::npos);
}

TEST(Trace, EveryFaultIsToldUpToTwenty) {
  std::string text = "time [s],speed [m/s]\n";
  for (int row = 0; row < 30; ++row) text += std::to_string(row) + ",-1\n";
  const Result<Trace> trace = parse(text);
  ASSERT_FALSE(trace.ok());
  EXPECT_EQ(trace.issues().size(), 21U);
  EXPECT_EQ(trace.issues().back().code, "more_errors");
}

TEST(Trace, MissingFileIsNamed) {
  const Result<Trace> trace = read_trace("/nowhere/lap.csv", car());
  ASSERT_FALSE(trace.ok());
  EXPECT_EQ(trace.issues().front().code, "missing_file");
}

}  // namespace
}  // namespace corefeed::model
