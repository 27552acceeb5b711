// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <ostream>
#include <string>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

namespace fs = std::filesystem;
using testing::changed;

/// A folder of its own for the model's tables, taken away behind the test.
class CurveReader : public ::testing::Test {
 protected:
  CurveReader()
      : folder_(fs::temp_directory_path() /
                ("curve_reader_" + std::to_string(::getpid()) + "_" +
                 ::testing::UnitTest::GetInstance()->current_test_info()->name())) {
    fs::create_directories(folder_ / "car");
  }
  ~CurveReader() override {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / "car" / name, std::ios::binary) << text;
  }
  std::string car() const { return (folder_ / "car").string(); }
  Result<Model> parse(const std::string& text) const { return parse_model(text, "car.json", car()); }

  fs::path folder_;
};

/// The small model with an element beside the core, on the line of its seal.
std::string with(const std::string& element) {
  return changed(R"("seal": {)", "\"part\": " + element + R"(, "seal": {)");
}

std::string tested(const std::string& curve) {
  return with(R"({"kind": "tested_loss", "from": "face", "to": "bay", "curve": )" + curve + "}");
}

const losses::Curve& curve_of(const Model& model, std::string_view key) {
  const Numbers& numbers = model.find_element("part")->numbers;
  return *numbers.curves.at(losses::find_key(*numbers.kind, key));
}

const losses::Curve* read_curve_of(const Result<Model>& model, std::string_view key = "curve.points") {
  EXPECT_TRUE(model.ok()) << describe(model.issues().front());
  return model.ok() ? &curve_of(model.value(), key) : nullptr;
}

void expect_points(const losses::Curve* curve, const std::vector<double>& x, const std::vector<double>& y) {
  ASSERT_NE(curve, nullptr);
  ASSERT_EQ(curve->x().size(), x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    EXPECT_DOUBLE_EQ(curve->x()[i], x[i]);
    EXPECT_DOUBLE_EQ(curve->y()[i], y[i]);
  }
}

// It is the only fault that is told, and nothing looks at the curve that is not there.
TEST_F(CurveReader, AMisspeltCurveIsToldByItsKey) {
  const auto model =
      parse(with(R"({"kind": "tested_loss", "from": "face", "to": "bay", "curv": {"points": "loss.csv"}})"));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1u);
  EXPECT_EQ(model.issues().front().code, "unknown_key");
  EXPECT_NE(model.issues().front().text.find("\"curve\""), std::string::npos) << model.issues().front().text;
}

TEST_F(CurveReader, TakesPointsWithTheirUnits) {
  const auto model = parse(tested(R"({"points": [{"volume_flow": "360 m3/h", "pressure_loss": "0.22 mbar"},
      {"pressure_loss": "80 Pa", "volume_flow": "0.2 m3/s"}], "density": "1.18 kg/m3"})"));
  expect_points(read_curve_of(model), {0.0, 0.1, 0.2}, {0.0, 22.0, 80.0});
  EXPECT_EQ(testing::number_of(model.value(), "part", "curve.density"), 1.18);
  EXPECT_TRUE(testing::is_given(model.value(), "part", "curve.points"));
}

TEST_F(CurveReader, KnowsWhichAbscissaThePointsHave) {
  const auto text = [](const char* area) {
    return with(R"({"kind": "tested_loss", "from": "face", "to": "bay", )" + std::string(area) +
                R"("curve": {"points": [{"velocity": "5 m/s", "pressure_loss": "10 Pa"},
                   {"velocity": "36 km/h", "pressure_loss": "40 Pa"}]}})");
  };
  const auto model = parse(text(R"("area": "300 cm2", )"));
  expect_points(read_curve_of(model), {0.0, 5.0, 10.0}, {0.0, 10.0, 40.0});
  EXPECT_EQ(curve_of(model.value(), "curve.points").abscissa(), 1u);
  const auto without = parse(text(""));
  ASSERT_FALSE(without.ok());
  EXPECT_EQ(without.issues()[0].code, "contradiction");
  EXPECT_EQ(without.issues()[0].place.pointer, "/air/elements/part");
}

TEST_F(CurveReader, TakesATableWithCommas) {
  write("filter.csv", "volume_flow [m3/s],remark,pressure_loss [Pa]\n0.1,fine,22\n0.2,,80\n0.4,loud,300.5\n");
  expect_points(read_curve_of(parse(tested(R"({"table": "filter.csv"})"))), {0.0, 0.1, 0.2, 0.4},
                {0.0, 22.0, 80.0, 300.5});
}

TEST_F(CurveReader, TakesATableWithSemicolonsAndDecimalCommas) {
  write("filter.csv", "pressure_loss [mbar];volume_flow [l/s]\r\n0,0;0\r\n0,22;100\r\n0,805;200,5\r\n");
  expect_points(read_curve_of(parse(tested(R"({"table": "filter.csv"})"))), {0.0, 0.1, 0.2005},
                {0.0, 22.0, 80.5});
}

TEST_F(CurveReader, TakesAVelocityColumn) {
  write("mesh.csv", "velocity [m/s],pressure_loss [Pa]\n5,10\n10,40\n");
  const auto model = parse(with(R"({"kind": "tested_loss", "from": "face", "to": "bay", "area": "300 cm2",
      "curve": {"table": "mesh.csv"}})"));
  expect_points(read_curve_of(model), {0.0, 5.0, 10.0}, {0.0, 10.0, 40.0});
  EXPECT_EQ(curve_of(model.value(), "curve.points").abscissa(), 1u);
}

// A vent's table stands under one key, points or file, in plain numbers.
TEST_F(CurveReader, TakesAVentsTableBothWays) {
  write("vent.csv", "velocity_ratio,pressure_coefficient\n0.5,1.05\n1,3.2\n");
  const auto vent = [](const std::string& table) {
    return with(R"({"kind": "vent", "from": "bay", "area": "100 cm2", "cp": -0.2, "table": )" + table + "}");
  };
  expect_points(read_curve_of(parse(vent(R"("vent.csv")")), "table"), {0.0, 0.5, 1.0}, {0.0, 1.05, 3.2});
  expect_points(read_curve_of(parse(vent(R"([{"velocity_ratio": 0.5, "pressure_coefficient": 1.05},
      {"velocity_ratio": 1, "pressure_coefficient": 3.2}])")),
                              "table"),
                {0.0, 0.5, 1.0}, {0.0, 1.05, 3.2});
}

// A fan's curve begins where it was tested and may fall below zero.
TEST_F(CurveReader, TakesAFansPointsAsTheyAre) {
  write("fan.csv", "volume_flow [m3/s],pressure_rise [Pa]\n0.1,190\n0.5,120\n0.9,-20\n");
  const auto model = parse(with(R"({"kind": "fan", "from": "face", "to": "bay", "area": "500 cm2",
      "curve": {"table": "fan.csv", "pressure": "static"}})"));
  expect_points(read_curve_of(model), {0.1, 0.5, 0.9}, {190.0, 120.0, -20.0});
}

TEST_F(CurveReader, RefusesPointsBesideATable) {
  write("filter.csv", "volume_flow [m3/s],pressure_loss [Pa]\n0.1,22\n0.2,80\n");
  const auto model = parse(tested(R"({"table": "filter.csv", "points": [
      {"volume_flow": "0.1 m3/s", "pressure_loss": "22 Pa"},
      {"volume_flow": "0.2 m3/s", "pressure_loss": "80 Pa"}]})"));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1u);
  EXPECT_EQ(model.issues()[0].code, "conflicting_keys");
  EXPECT_EQ(model.issues()[0].place.pointer, "/air/elements/part/curve/table");
  EXPECT_EQ(model.issues()[0].place.line, 10);
  EXPECT_NE(model.issues()[0].text.find("points, table stand together; keep one of them"), std::string::npos);
}

TEST_F(CurveReader, RefusesATableThatIsNotThere) {
  const auto model = parse(tested(R"({"table": "filter.csv"})"));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(model.issues()[0].status, Status::input);
  EXPECT_NE(describe(model.issues()[0]).find("filter.csv"), std::string::npos);
}

TEST_F(CurveReader, RefusesATableOutsideTheModelsFolder) {
  std::ofstream(folder_ / "filter.csv") << "volume_flow [m3/s],pressure_loss [Pa]\n0.1,22\n0.2,80\n";
  const std::string text = tested(R"({"table": "../filter.csv"})");
  const auto model = parse(text);
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1u);
  EXPECT_EQ(model.issues()[0].code, "file_outside");
  EXPECT_EQ(model.issues()[0].place.pointer, "/air/elements/part/curve/table");
  EXPECT_EQ(model.issues()[0].place.line, 10);
  EXPECT_NE(model.issues()[0].text.find("--allow-root"), std::string::npos);
  EXPECT_TRUE(parse_model(text, "car.json", car(), testing::allowing(folder_.string())).ok());
}

/// One way to get points wrong.
struct PointFault {
  const char* name;
  std::string curve;  ///< value of the key "curve"
  std::string code;
  std::string pointer;  ///< behind /air/elements/part
  std::string fragment;
  friend std::ostream& operator<<(std::ostream& out, const PointFault& fault) { return out << fault.name; }
};

class CurvePointErrors : public ::testing::TestWithParam<PointFault> {};

TEST_P(CurvePointErrors, AreTheOnlyIssueWithPlaceAndHelp) {
  const PointFault& fault = GetParam();
  const auto model = testing::parse(tested(fault.curve));
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1u) << describe(model.issues()[0]) << "\n" << describe(model.issues()[1]);
  const Issue& issue = model.issues()[0];
  EXPECT_EQ(issue.code, fault.code);
  EXPECT_EQ(issue.status, Status::input);
  EXPECT_EQ(issue.place.file, "car.json");
  EXPECT_EQ(issue.place.line, 10);
  EXPECT_EQ(issue.place.pointer, "/air/elements/part" + fault.pointer);
  EXPECT_NE(issue.text.find(fault.fragment), std::string::npos) << issue.text;
}

constexpr const char* first = R"({"volume_flow": "0.1 m3/s", "pressure_loss": "22 Pa"})";
std::string list(const std::string& more) {
  return R"({"points": [)" + std::string(first) + (more.empty() ? "" : ", ") + more + "]}";
}

const PointFault point_faults[] = {
    {"NoCurve", "{}", "missing_key", "", "name of a CSV file under \"table\""},
    {"OnePoint", list(""), "bad_curve", "/curve/points", "1 points are too few for a curve; give at least 2"},
    {"NoPoint", R"({"points": []})", "bad_curve", "/curve/points", "0 points are too few"},
    {"NumberForPoints", R"({"points": 3})", "wrong_type", "/curve/points",
     "expected a list of points or the name of a CSV file with the columns \"volume_flow [m3/h]\""},
    {"NumberForAPoint", list("7"), "wrong_type", "/curve/points/1", "found 7, expected"},
    {"BareNumber", list(R"({"volume_flow": "0.2 m3/s", "pressure_loss": 80})"), "missing_unit",
     "/curve/points/1/pressure_loss", "\"80 Pa\""},
    {"WrongUnit", list(R"({"volume_flow": "0.2 kg/s", "pressure_loss": "80 Pa"})"), "wrong_dimension",
     "/curve/points/1/volume_flow", "kg/s"},
    {"NoOrdinate", list(R"({"volume_flow": "0.2 m3/s"})"), "missing_key", "/curve/points/1",
     "\"pressure_loss\" is missing: loss of total pressure in the test"},
    {"NoAbscissa", R"({"points": [{"pressure_loss": "80 Pa"}]})", "missing_key", "/curve/points/0",
     "needs \"volume_flow\" or \"velocity\" beside \"pressure_loss\""},
    {"MixedAbscissas", list(R"({"volume_flow": "0.2 m3/s", "velocity": "5 m/s", "pressure_loss": "80 Pa"})"),
     "unknown_key", "/curve/points/1/velocity", "unknown key \"velocity\""},
    {"MisspeltOrdinate", list(R"({"volume_flow": "0.2 m3/s", "presure_loss": "80 Pa"})"), "unknown_key",
     "/curve/points/1/presure_loss", "did you mean \"pressure_loss\"?"},
    {"OutOfOrder", list(R"({"volume_flow": "0.05 m3/s", "pressure_loss": "80 Pa"})"), "bad_curve",
     "/curve/points", "180 m3/h at point 2 follows 360 m3/h at point 1; the points have to stand in rising"},
    {"Twice", list(first), "bad_curve", "/curve/points", "each once"},
    {"FallingLoss", list(R"({"volume_flow": "0.2 m3/s", "pressure_loss": "20 Pa"})"), "bad_curve",
     "/curve/points", "falls from 22 Pa to 20 Pa at point 2; a loss rises with the flow"},
    {"NegativeFlow",
     R"({"points": [{"volume_flow": "-0.1 m3/s", "pressure_loss": "-22 Pa"}, )" + std::string(first) + "]}",
     "bad_curve", "/curve/points", "-360 m3/h at point 1 is negative; the curve begins at zero"},
    {"NegativeLoss",
     R"({"points": [{"volume_flow": "0.05 m3/s", "pressure_loss": "-5 Pa"}, )" + std::string(first) + "]}",
     "bad_curve", "/curve/points", "-5 Pa at point 1; a loss is positive"},
    {"LossAtRest",
     R"({"points": [{"volume_flow": "0 m3/s", "pressure_loss": "5 Pa"}, )" + std::string(first) + "]}",
     "bad_curve", "/curve/points", "at zero volume_flow the pressure_loss is zero, found 5 Pa at point 1"},
};

INSTANTIATE_TEST_SUITE_P(Points, CurvePointErrors, ::testing::ValuesIn(point_faults),
                         [](const auto& one) { return std::string(one.param.name); });

/// One way to get a table wrong; the issue stands in the table's own file.
struct TableFault {
  const char* name;
  std::string text;
  std::string code;
  int line;
  std::string fragment;
};

const TableFault table_faults[] = {
    {"NoOrdinate", "volume_flow [m3/s],loss [Pa]\n0.1,22\n0.2,80\n", "missing_column", 1, "pressure_loss"},
    {"NoAbscissa", "flow [m3/s],pressure_loss [Pa]\n0.1,22\n0.2,80\n", "missing_column", 1, "volume_flow"},
    {"NoUnit", "volume_flow,pressure_loss [Pa]\n0.1,22\n0.2,80\n", "missing_unit", 1,
     "its unit is missing; head it \"volume_flow [m3/h]\""},
    {"WrongUnit", "volume_flow [m3/s],pressure_loss [kg]\n0.1,22\n0.2,80\n", "wrong_dimension", 1,
     "head it \"pressure_loss [Pa]\""},
    {"UnknownUnit", "volume_flow [cubits],pressure_loss [Pa]\n0.1,22\n0.2,80\n", "unknown_unit", 1, "cubits"},
    {"Word", "volume_flow [m3/s],pressure_loss [Pa]\n0.1,22\n0.2,lots\n", "not_a_number", 3, "lots"},
    {"EmptyCell", "volume_flow [m3/s],pressure_loss [Pa]\n0.1,\n0.2,80\n", "empty_cell", 2, "empty"},
    {"Ragged", "volume_flow [m3/s],pressure_loss [Pa]\n0.1,22\n0.2\n", "ragged_row", 3, ""},
    {"NoRows", "volume_flow [m3/s],pressure_loss [Pa]\n", "no_rows", 1, ""},
};

TEST_F(CurveReader, NamesLineAndColumnOfAFaultyTable) {
  for (const TableFault& fault : table_faults) {
    write("filter.csv", fault.text);
    const auto model = parse(tested(R"({"table": "filter.csv"})"));
    ASSERT_FALSE(model.ok()) << fault.name;
    EXPECT_EQ(model.issues().size(), 1u) << fault.name;
    const Issue& issue = model.issues()[0];
    EXPECT_EQ(issue.code, fault.code) << fault.name;
    EXPECT_EQ(issue.status, Status::input) << fault.name;
    EXPECT_TRUE(issue.place.file.ends_with("filter.csv")) << fault.name << " " << issue.place.file;
    EXPECT_EQ(issue.place.line, fault.line) << fault.name << ": " << describe(issue);
    EXPECT_NE(issue.text.find(fault.fragment), std::string::npos) << issue.text;
  }
}

// What is wrong between rows is told at the model's key, with the line of the table.
TEST_F(CurveReader, NamesTheRowsThatDoNotFit) {
  const auto fault = [this](const std::string& rows) {
    write("filter.csv", "volume_flow [m3/s],pressure_loss [Pa]\n" + rows);
    const auto model = parse(tested(R"({"table": "filter.csv"})"));
    EXPECT_FALSE(model.ok());
    if (model.ok()) return std::string("accepted");
    EXPECT_EQ(model.issues().size(), 1u);
    EXPECT_EQ(model.issues()[0].code, "bad_curve");
    EXPECT_EQ(model.issues()[0].place.pointer, "/air/elements/part/curve/table");
    EXPECT_EQ(model.issues()[0].place.line, 10);
    return model.issues()[0].text;
  };
  EXPECT_NE(fault("0.2,80\n# a remark\n0.1,22\n")
                .find("360 m3/h at line 4 of filter.csv follows 720 m3/h at line 2"),
            std::string::npos);
  EXPECT_NE(fault("0.1,22\n0.2,20\n").find("20 Pa at line 3 of filter.csv"), std::string::npos);
  EXPECT_NE(fault("0.1,22\n").find("1 points are too few"), std::string::npos);
}

TEST_F(CurveReader, RefusesAUnitOnAPlainNumber) {
  write("vent.csv", "velocity_ratio [m/s],pressure_coefficient\n0.5,1.05\n1,3.2\n");
  const auto model =
      parse(with(R"({"kind": "vent", "from": "bay", "area": "100 cm2", "cp": -0.2, "table": "vent.csv"})"));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(model.issues()[0].code, "wrong_dimension");
  EXPECT_NE(model.issues()[0].text.find("it is a plain number"), std::string::npos);
}

TEST_F(CurveReader, AFanNeedsThreePoints) {
  const auto model = parse(with(R"({"kind": "fan", "from": "face", "to": "bay", "area": "500 cm2",
      "curve": {"points": [{"volume_flow": "0.1 m3/s", "pressure_rise": "190 Pa"},
                           {"volume_flow": "0.9 m3/s", "pressure_rise": "-20 Pa"}]}})"));
  ASSERT_FALSE(model.ok());
  EXPECT_EQ(model.issues()[0].code, "bad_curve");
  EXPECT_NE(model.issues()[0].text.find("at least 3"), std::string::npos);
}

}  // namespace
}  // namespace corefeed::model
