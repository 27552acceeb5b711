// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/surface_average.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <string>

// Fields whose mean over a rectangle and the ring around it is known in closed form.
namespace corefeed::proposal {
namespace {

constexpr double long_side = 0.30;
constexpr double short_side = 0.20;
constexpr double diameter = 4.0 * long_side * short_side / (2.0 * (long_side + short_side));

/// A rectangular hole in the plane z = 0.5 m, its middle at x = 1 m, y = -0.2 m.
worker::Measurement panel() {
  worker::Cutout hole;
  hole.name = "cutout 1";
  hole.projected_area = long_side * short_side;
  hole.perimeter = 2.0 * (long_side + short_side);
  hole.center = {1.0, -0.2, 0.5};
  hole.normal = {0, 0, 1};
  const double x = 0.5 * long_side;
  const double y = 0.5 * short_side;
  hole.outlines = {{{1.0 - x, -0.2 - y, 0.5},
                    {1.0 + x, -0.2 - y, 0.5},
                    {1.0 + x, -0.2 + y, 0.5},
                    {1.0 - x, -0.2 + y, 0.5}}};
  worker::Part part;
  part.name = "fender";
  part.kind = "panel";
  part.cutouts = {hole};
  worker::Measurement measurement;
  measurement.parts = {part};
  return measurement;
}

/// Points over a square around the hole, `step` apart; four times as dense on its right half.
SurfaceRun run_of(const std::function<double(double x, double y)>& cp, double step = 0.004,
                  double above = 0.0) {
  SurfaceRun run;
  run.file = "run.csv";
  const auto add = [&](double x, double y) {
    run.points.push_back({1.0 + x, -0.2 + y, 0.5 + above});
    run.cp.push_back(cp(x, y));
  };
  for (double x = -0.4; x < 0.4; x += step) {
    for (double y = -0.4; y < 0.4; y += step) {
      add(x, y);
      if (x <= 0.0) continue;
      add(x + step / 2, y);
      add(x, y + step / 2);
      add(x + step / 2, y + step / 2);
    }
  }
  return run;
}

/// Area of a rectangle with a rounded border of that width around it.
double area_with_ring(double ring) {
  return long_side * short_side + 2.0 * (long_side + short_side) * ring + std::acos(-1.0) * ring * ring;
}

TEST(SurfaceAverage, ConstantFieldIsFoundWithoutSpread) {
  const auto averages = average_surface(panel(), {run_of([](double, double) { return -0.42; })});
  ASSERT_TRUE(averages);
  ASSERT_EQ(averages.value().rows.size(), 1U);
  EXPECT_NEAR(averages.value().rows[0].cp, -0.42, 1e-12);
  EXPECT_NEAR(averages.value().rows[0].sigma, 0.0, 1e-12);
}

// A slope averages to its value in the middle, wherever the points crowd; its spread is the slope times the
// radius of gyration of the region.
TEST(SurfaceAverage, SlopeAveragesToTheMiddleThoughPointsCrowd) {
  const auto averages = average_surface(panel(), {run_of([](double x, double) { return -0.3 + 2.0 * x; })});
  ASSERT_TRUE(averages);
  EXPECT_NEAR(averages.value().rows[0].cp, -0.3, 0.01);
  const double ring = 0.25 * diameter;
  // Second moment of the rectangle with its rounded border along x: core, two end strips, two side strips,
  // corners.
  const double a = 0.5 * long_side;
  const double b = 0.5 * short_side;
  double moment = 0.0;
  double area = 0.0;
  const int steps = 2000;  // midpoint rule over the closed form of the region's width
  for (int i = 0; i < steps; ++i) {
    const double x = (i + 0.5) / steps * (a + ring);
    const double beyond = std::max(0.0, x - a);
    const double half = b + std::sqrt(ring * ring - beyond * beyond);
    moment += x * x * half;
    area += half;
  }
  EXPECT_NEAR(area * 4.0 * (a + ring) / steps, area_with_ring(ring), 1e-5);
  EXPECT_NEAR(averages.value().rows[0].sigma, 2.0 * std::sqrt(moment / area),
              0.02 * 2.0 * std::sqrt(moment / area));
}

TEST(SurfaceAverage, OnlyOpeningAndRingCount) {
  // -1 inside the rectangle, 0 in the ring, 9 beyond: the mean is the share of the rectangle.
  const double ring = 0.25 * diameter;
  const auto field = [&](double x, double y) {
    const double dx = std::max(0.0, std::abs(x) - 0.5 * long_side);
    const double dy = std::max(0.0, std::abs(y) - 0.5 * short_side);
    if (dx == 0.0 && dy == 0.0) return -1.0;
    return std::hypot(dx, dy) <= ring ? 0.0 : 9.0;
  };
  const auto averages = average_surface(panel(), {run_of(field, 0.002)});
  ASSERT_TRUE(averages);
  EXPECT_NEAR(averages.value().rows[0].cp, -long_side * short_side / area_with_ring(ring), 0.02);
}

TEST(SurfaceAverage, PointsFarFromThePlaneAndTooFewAreRefused) {
  const auto flat = [](double, double) { return -0.1; };
  const auto far = average_surface(panel(), {run_of(flat, 0.004, 0.6 * diameter)});
  ASSERT_FALSE(far);
  EXPECT_EQ(far.issues().front().code, "no_points");
  EXPECT_NE(far.issues().front().text.find("cutout 1"), std::string::npos);
  SurfaceRun dense = run_of(flat);
  dense.yaw = 0.0;
  SurfaceRun thin = run_of(flat, 0.3);
  thin.yaw = 0.1;
  thin.file = "thin.csv";
  const auto mixed = average_surface(panel(), {dense, thin});
  ASSERT_FALSE(mixed);
  EXPECT_EQ(mixed.issues().front().code, "too_few_points");
  EXPECT_EQ(mixed.issues().front().place.file, "thin.csv");
  thin.yaw = std::nullopt;
  EXPECT_EQ(average_surface(panel(), {dense, thin}).issues().front().code, "contradiction");
  EXPECT_EQ(average_surface(panel(), {dense, dense}).issues().front().code, "duplicate_run");
}

TEST(SurfaceAverage, RunsAreReadAndWrittenAsTheModelReadsThem) {
  const auto folder = std::filesystem::path(::testing::TempDir()) / "surface_average";
  std::filesystem::create_directories(folder);
  const std::string path = (folder / "runs.csv").string();
  std::ofstream file(path);
  file << "x [mm],y [mm],z [mm],cp,yaw [deg]\n";
  for (const double yaw : {0.0, 3.0}) {
    for (double x = -200; x <= 200; x += 10) {
      for (double y = -150; y <= 150; y += 10)
        file << 1000 + x << "," << -200 + y << ",500," << -0.2 - 0.05 * yaw << "," << yaw << "\n";
    }
  }
  file.close();
  const auto runs = read_surface_runs(path + "@ride_height=30mm");
  ASSERT_TRUE(runs);
  ASSERT_EQ(runs.value().size(), 2U);
  EXPECT_NEAR(*runs.value()[1].ride_height, 0.03, 1e-15);
  AverageOptions options;
  options.names["cutout 1"] = "fender_vent";
  const auto averages = average_surface(panel(), runs.value(), options);
  ASSERT_TRUE(averages);
  EXPECT_EQ(surface_table(averages.value(), runs.value()),
            "opening,ride_height [mm],yaw [deg],cp,sigma\n"
            "fender_vent,30,0,-0.20000,0.00000\nfender_vent,30,3,-0.35000,0.00000\n");
  EXPECT_EQ(read_surface_runs(path + "@yaw=1deg").issues().front().code, "contradiction");
  EXPECT_EQ(read_surface_runs(path + "@speed=30mm").issues().front().code, "unknown_name");
  options.names["cutout 7"] = "x";
  EXPECT_EQ(average_surface(panel(), runs.value(), options).issues().front().code, "unknown_name");
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace corefeed::proposal
