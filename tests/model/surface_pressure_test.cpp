// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/surface_pressure.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "corefeed/studies/study.hpp"

// Runs of CFD over ride height and yaw, and points in a table. Expected values are the plane through the
// runs, in closed form; nothing is taken from the program.
namespace corefeed::model {
namespace {

class SurfacePressureFile : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::path(::testing::TempDir()) /
              (std::string("pressure_") + ::testing::UnitTest::GetInstance()->current_test_info()->name());
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::string write(const std::string& name, const std::string& text) const {
    const std::string path = (folder_ / name).string();
    std::ofstream(path) << text;
    return path;
  }

  /// cp = -0.3 - 2 (h - 40 mm)/m + 0.5 yaw/rad at two heights and three yaws; sigma 0.02 at 30 mm, 0.04 at 60
  /// mm.
  static std::string plane(const std::string& opening) {
    std::string rows;
    for (const double height : {30.0, 60.0}) {
      for (const double yaw : {-0.1, 0.0, 0.1}) {
        rows += opening + "," + std::to_string(height) + "," + std::to_string(yaw) + "," +
                std::to_string(-0.3 - 2.0 * (height - 40.0) * 1e-3 + 0.5 * yaw) + "," +
                (height == 30.0 ? "0.02" : "0.04") + "\n";
      }
    }
    return "opening,ride_height [mm],yaw [rad],cp,sigma\n" + rows;
  }

  /// An inlet, a core of a known loss and a vent, with the given sections beside.
  static std::string model(const std::string& sections) {
    return R"({"corefeed": 1, "ambient": {"temperature": "20 degC", "pressure": "100 kPa"},
      "air": {"elements": {
        "mouth": {"kind": "inlet", "to": "a", "area": "300 cm2", "cp": 0.5, "recovery": 0.9},
        "plate": {"kind": "loss", "from": "a", "to": "bay", "area": "300 cm2", "loss": 4.0},
        "louvre": {"kind": "vent", "from": "bay", "area": "400 cm2", "cp": -0.1, "discharge_coefficient": 0.6}},
       "nodes": {"bay": {"kind": "plenum"}}},)" +
           sections + "}";
  }

  Result<Model> read(const std::string& sections) const {
    return parse_model(model(sections), "car.json", folder_.string());
  }

  std::filesystem::path folder_;
};

std::string texts(const std::vector<Issue>& issues) {
  std::string all;
  for (const Issue& issue : issues)
    all += issue.code + " " + issue.place.file + ":" + std::to_string(issue.place.line) + " " +
           issue.place.pointer + " " + issue.text + "\n";
  return all;
}

TEST_F(SurfacePressureFile, GoesStraightBetweenRuns) {
  const auto read = SurfacePressure::read(write("cp.csv", plane("louvre")), {});
  ASSERT_TRUE(read) << texts(read.issues());
  const SurfacePressure::Taken taken = read.value().at("louvre", 0.045, 0.05);
  EXPECT_NEAR(taken.cp, -0.3 - 2.0 * 0.005 + 0.025, 1e-6);  // the runs carry six decimals
  EXPECT_NEAR(taken.sigma, 0.03, 1e-12);
  EXPECT_EQ(taken.held, "");
  EXPECT_NEAR(read.value().at("louvre", 0.060, 0.1).cp, -0.3 - 0.04 + 0.05, 1e-6);
}

TEST_F(SurfacePressureFile, HoldsTheNearestRunAndSaysSo) {
  const auto read = SurfacePressure::read(write("cp.csv", plane("louvre")), {});
  ASSERT_TRUE(read) << texts(read.issues());
  const SurfacePressure::Taken taken = read.value().at("louvre", 0.025, 0.0);
  EXPECT_NEAR(taken.cp, -0.3 + 0.02, 1e-6);
  EXPECT_NE(taken.held.find("ride_height 25 mm (runs from 30 mm to 60 mm)"), std::string::npos) << taken.held;
}

TEST_F(SurfacePressureFile, StandsBetweenThePointsOwnAndTheOpenings) {
  write("cp.csv", plane("louvre"));
  const auto made = read(R"("surface_pressure": {"table": "cp.csv", "axes": ["ride_height", "yaw"]},
    "points": [{"name": "low", "speed": "50 m/s", "ride_height": "30 mm"},
               {"name": "own", "speed": "50 m/s", "ride_height": "30 mm", "cp": {"louvre": -0.7}},
               {"name": "high", "speed": "50 m/s", "ride_height": "70 mm"}])");
  ASSERT_TRUE(made) << texts(made.issues());
  const auto study = studies::run_study(made.value());
  ASSERT_TRUE(study);
  const auto flow = [&](std::size_t point) {
    return *study.value().points[point].solution.value("louvre.flow");
  };
  // The flow of a series of quadratic losses goes with the root of the driving head; recovery 0.9 of 1 - 0.5.
  const double ram = 0.5 + 0.9 * 0.5;
  EXPECT_NEAR(flow(1) / flow(0), std::sqrt((ram + 0.7) / (ram + 0.28)), 2e-3);
  EXPECT_NEAR(flow(2) / flow(0), std::sqrt((ram + 0.34) / (ram + 0.28)), 2e-3);
  const auto warned = [&](std::size_t point) { return texts(study.value().points[point].warnings); };
  EXPECT_NE(warned(2).find("extrapolated"), std::string::npos) << warned(2);
  EXPECT_EQ(warned(0).find("extrapolated"), std::string::npos) << warned(0);
}

TEST_F(SurfacePressureFile, ItsSigmaIsTheBand) {
  write("cp.csv", plane("louvre"));
  const auto made = read(R"("surface_pressure": {"table": "cp.csv"},
    "points": [{"name": "low", "speed": "50 m/s", "ride_height": "30 mm"},
               {"name": "high", "speed": "50 m/s", "ride_height": "60 mm"}])");
  ASSERT_TRUE(made) << texts(made.issues());
  const auto study = studies::run_study(made.value());
  ASSERT_TRUE(study);
  for (const std::size_t place : {std::size_t{0}, std::size_t{1}}) {
    const auto spread = studies::uncertainty_of(made.value(), study.value().points[place], "louvre.flow");
    const auto moves = [](const studies::Influence& one) { return one.parameter == "louvre.cp"; };
    EXPECT_EQ(std::count_if(spread.influences.begin(), spread.influences.end(), moves), 1);
    for (const studies::Influence& one : spread.influences) {
      if (!moves(one)) continue;
      EXPECT_NEAR(one.effect, one.derivative * (place == 0 ? 0.02 : 0.04), 1e-12);
      EXPECT_LT(one.derivative, 0.0);
    }
  }
}

TEST_F(SurfacePressureFile, PointsStandInATable) {
  write("points.csv",
        "name,speed [km/h],ride_height [mm],yaw [deg],cp.louvre\n"
        "straight,180,40,0,-0.2\nhairpin,60,45,3,-0.1\n");
  const auto made = read(R"("points": {"table": "points.csv"})");
  ASSERT_TRUE(made) << texts(made.issues());
  ASSERT_EQ(made.value().points.size(), 2U);
  const Point& hairpin = made.value().points[1];
  EXPECT_EQ(hairpin.name, "hairpin");
  EXPECT_NEAR(hairpin.speed, 60.0 / 3.6, 1e-12);
  EXPECT_NEAR(*hairpin.ride_height, 0.045, 1e-12);
  EXPECT_NEAR(hairpin.yaw, 3.0 * 3.14159265358979 / 180.0, 1e-12);
  EXPECT_EQ(hairpin.cp.at("louvre"), -0.1);
}

struct Wrong {
  std::string table;
  std::string sections;
  std::string words;  ///< of the message
};

TEST_F(SurfacePressureFile, FaultsAreNamedWithTheirPlace) {
  const std::string point = R"("points": [{"name": "a", "speed": "50 m/s", "ride_height": "40 mm"}])";
  const std::string named = R"("surface_pressure": {"table": "cp.csv"},)";
  const Wrong wrong[] = {
      {plane("louver"), named + point, "did you mean \"louvre\""},
      {plane("louvre"), named + R"("points": [{"name": "a", "speed": "50 m/s"}])", "no \"ride_height\""},
      {plane("louvre") + "louvre,30,0.1,-0.2,0.02\n", named + point, "duplicate_run"},
      {plane("louvre") + "mouth,30,0.1,-0.2,0.02\n", named + point, "missing_run"},
      {plane("louvre") + "louvre,45,0.1,-9,0.02\n", named + point, "cp.csv:8"},
      {"opening,cp,heights\nlouvre,-0.1,3\n", named + point, "no column \"heights\""},
      {plane("louvre"), R"("surface_pressure": {"tabel": "cp.csv"},)" + point, "did you mean \"table\""},
      {plane("louvre"), R"("surface_pressure": {"table": "../cp.csv"},)" + point, "file_outside"},
      {"name,speed [km/h]\n,100\n", R"("points": {"table": "cp.csv"})", "empty_cell"},
      {"name,speed [km/h],fans.fan\nx,100,idle\n", R"("points": {"table": "cp.csv"})", "no state of a fan"},
      {"name,yaw [deg]\nx,3\n", R"("points": {"table": "cp.csv"})", "\"speed\""},
      {"name,speed [km/h],rideheight [mm]\nx,100,3\n", R"("points": {"table": "cp.csv"})",
       "did you mean \"ride_height\""},
  };
  for (const Wrong& one : wrong) {
    write("cp.csv", one.table);
    const auto made = read(one.sections);
    ASSERT_FALSE(made) << one.words;
    EXPECT_NE(texts(made.issues()).find(one.words), std::string::npos) << one.words << " in:\n"
                                                                       << texts(made.issues());
  }
}

}  // namespace
}  // namespace corefeed::model
