// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cad_bridge/geometry/measure.hpp"

/// Samples whose truth is a part of the measurement's own document: panels, louvres, cores, sheet parts, open
/// shells, vanes, branches. Every key that stands in the truth must be found with its value.
namespace corefeed::geometry {
namespace {

using nlohmann::json;

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

json truth_of(const std::string& name) {
  return json::parse(read_file(COREFEED_SOURCE_DIR "/geometry_samples/" + name + ".truth.json"));
}

std::vector<std::string> scenes() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(COREFEED_SOURCE_DIR "/geometry_samples")) {
    if (entry.path().extension() != ".step") continue;
    if (truth_of(entry.path().stem().string()).contains("expected"))
      names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

/// Relative tolerance by place. Goals of this project: sections of analytic walls 0.02 %, their perimeter
/// 0.05 %, lengths 0.1 %, free area 0.5 %, blocked share 1 %, rim gap 2 %; rims from their edges 1e-6,
/// of cut-outs 1e-5: where a cylinder pierces another the kernel's own edge is an approximation.
double tolerance(const std::string& where, const std::string& key) {
  if (where.find("/stations/") != std::string::npos) return key == "area" ? 2e-4 : 5e-4;
  if (where.find("/pieces/") != std::string::npos) return 0.01;
  if (where.find("/narrowest") != std::string::npos) return 2e-4;
  if (key == "free_area") return 0.005;
  if (key == "share" || key == "gap" || key == "open_perimeter") return 0.01;
  if (where.find("/cutouts/") != std::string::npos && (key == "projected_area" || key == "perimeter"))
    return 1e-5;
  if (key == "gap_area") return 0.02;
  if (key == "face_coverage") return 0.005;
  if (key == "length") return 0.001;
  return 1e-6;
}

void compare(const json& found, const json& expected, const std::string& where);

void compare_direction(const json& found, const json& expected, const std::string& where) {
  double along = 0;
  for (std::size_t i = 0; i < 3; ++i) along += found[i].get<double>() * expected[i].get<double>();
  // Of a panel's hole and of a core either sign will do.
  EXPECT_NEAR(std::abs(along), 1.0, 1e-9) << where << " " << found;
}

void compare_number(double found, double expected, const std::string& where) {
  const std::string key = where.substr(where.rfind('/') + 1);
  EXPECT_NEAR(found, expected, tolerance(where, key) * std::max(std::abs(expected), 1e-9)) << where;
}

void compare_member(const json& found, const std::string& key, const json& expected,
                    const std::string& where) {
  ASSERT_TRUE(found.contains(key)) << where;
  if (key == "normal") return compare_direction(found[key], expected, where);
  if (key != "center") return compare(found[key], expected, where);
  for (std::size_t i = 0; i < 3; ++i)
    EXPECT_NEAR(found[key][i].get<double>(), expected[i].get<double>(), 1e-6) << where;
}

void compare(const json& found, const json& expected, const std::string& where) {
  if (expected.is_object()) {
    for (const auto& [key, value] : expected.items()) compare_member(found, key, value, where + "/" + key);
  } else if (expected.is_array()) {
    ASSERT_EQ(found.size(), expected.size()) << where << " " << found;
    for (std::size_t i = 0; i < expected.size(); ++i)
      compare(found[i], expected[i], where + "/" + std::to_string(i));
  } else if (expected.is_number()) {
    ASSERT_TRUE(found.is_number()) << where;
    compare_number(found.get<double>(), expected.get<double>(), where);
  } else {
    EXPECT_EQ(found, expected) << where;
  }
}

class Scene : public ::testing::TestWithParam<std::string> {};

TEST_P(Scene, IsMeasuredAsItsTruthSays) {
  const json truth = truth_of(GetParam());
  MeasureRequest request;
  request.sections = 3;
  std::istringstream step(read_file(COREFEED_SOURCE_DIR "/geometry_samples/" + GetParam() + ".step"));
  const auto measured = measure_step(step, request);
  ASSERT_TRUE(measured.ok()) << measured.issues().front().text;
  const json document = json::parse(measured.value());
  EXPECT_EQ(document["unit"], truth["unit"]);
  compare(document, truth["expected"], "");
}

INSTANTIATE_TEST_SUITE_P(Files, Scene, ::testing::ValuesIn(scenes()),
                         [](const auto& scene) { return scene.param; });

}  // namespace
}  // namespace corefeed::geometry
