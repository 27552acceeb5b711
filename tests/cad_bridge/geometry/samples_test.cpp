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

/// Where sections, bends and pieces of every flow volume with two ends lie; how large they are is compared in
/// accuracy_test.cpp. The truth beside each file was written by the program that made the shapes and verified
/// there against exact sections of the kernel.
namespace corefeed::geometry {
namespace {

using nlohmann::json;

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> samples() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(COREFEED_SOURCE_DIR "/geometry_samples")) {
    if (entry.path().extension() != ".step") continue;
    const std::string name = entry.path().stem().string();
    const std::string truth = COREFEED_SOURCE_DIR "/geometry_samples/" + name + ".truth.json";
    if (json::parse(read_file(truth)).contains("path")) names.push_back(name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

double distance(const json& a, const json& b) {
  return std::hypot(a[0].get<double>() - b[0].get<double>(), a[1].get<double>() - b[1].get<double>(),
                    a[2].get<double>() - b[2].get<double>());
}

/// The measured part and the truth of one sample; `reversed` where the file's ends have no direction and the
/// path was found the other way round.
class Sample : public ::testing::TestWithParam<std::string> {
 protected:
  void SetUp() override {
    const std::string stem = COREFEED_SOURCE_DIR "/geometry_samples/" + GetParam();
    truth = json::parse(read_file(stem + ".truth.json"));
    MeasureRequest request;
    request.file = GetParam() + ".step";
    for (const json& station : truth["path"]["stations"])
      request.at.push_back(station["share"].get<double>());
    const std::size_t count = request.at.size();
    for (std::size_t i = 0; i < count; ++i) request.at.push_back(1.0 - request.at[i]);
    std::istringstream step(read_file(stem + ".step"));
    const auto measured = measure_step(step, request);
    ASSERT_TRUE(measured.ok()) << (measured.ok() ? "" : measured.issues().front().text);
    const json document = json::parse(measured.value());
    for (const json& one : document["parts"]) {
      if (!one["paths"].empty()) part = one;
    }
    ASSERT_FALSE(part.is_null());
    path = part["paths"][0];
    const json& first = path["stations"].front()["center"];
    reversed =
        distance(first, truth["openings"][0]["center"]) > distance(first, truth["openings"][1]["center"]);
  }

  double measured_distance(const json& truth_distance) const {
    const double d = truth_distance.get<double>();
    return reversed ? path["length"].get<double>() - d : d;
  }

  json truth, part, path;
  bool reversed = false;
};

TEST_P(Sample, Openings) {
  ASSERT_EQ(part["openings"].size(), truth["openings"].size());
  for (const json& expected : truth["openings"]) {
    const auto nearest = std::min_element(
        part["openings"].begin(), part["openings"].end(), [&expected](const json& a, const json& b) {
          return distance(a["center"], expected["center"]) < distance(b["center"], expected["center"]);
        });
    EXPECT_LT(distance((*nearest)["center"], expected["center"]), 1e-7);
  }
}

TEST_P(Sample, Stations) {
  const double length = truth["path"]["length"].get<double>();
  for (const json& expected : truth["path"]["stations"]) {
    const double wanted = measured_distance(length * expected["share"].get<double>());
    const auto nearest = std::min_element(path["stations"].begin(), path["stations"].end(),
                                          [wanted](const json& a, const json& b) {
                                            return std::abs(a["distance"].get<double>() - wanted) <
                                                   std::abs(b["distance"].get<double>() - wanted);
                                          });
    EXPECT_LT(distance((*nearest)["center"], expected["center"]), 1e-4) << expected["share"];
    const double sense = reversed ? -1.0 : 1.0;
    for (std::size_t i = 0; i < 3; ++i) {
      EXPECT_NEAR(sense * (*nearest)["tangent"][i].get<double>(), expected["tangent"][i].get<double>(), 1e-3);
    }
  }
}

/// Whatever the number of sections, the last one is the end face and no cut beside it.
TEST_P(Sample, EndStationsAreTheOpenings) {
  const std::size_t first = reversed ? 1 : 0;
  for (const std::size_t end : {first, 1 - first}) {
    const json& station = end == first ? path["stations"].front() : path["stations"].back();
    const double area = truth["openings"][end]["area"].get<double>();
    EXPECT_NEAR(station["area"].get<double>(), area, 1e-6 * area);
    EXPECT_LT(distance(station["center"], truth["openings"][end]["center"]), 1e-7);
  }
}

std::vector<json> pieces_of(const json& path, std::string_view kind) {
  std::vector<json> found;
  for (const json& piece : path["pieces"]) {
    if (piece["kind"] == kind) found.push_back(piece);
  }
  return found;
}

TEST_P(Sample, Bends) {
  if (truth["path"].contains("free_form")) return;
  std::vector<json> bends = pieces_of(path, "bend");
  if (reversed) std::reverse(bends.begin(), bends.end());
  const json& expected = truth["path"]["bend"];
  ASSERT_EQ(bends.size(), expected.size());
  for (std::size_t i = 0; i < bends.size(); ++i) {
    const double from = measured_distance(expected[i][reversed ? "to" : "from"]);
    const double to = measured_distance(expected[i][reversed ? "from" : "to"]);
    EXPECT_NEAR(bends[i]["from"].get<double>(), from, 0.003);
    EXPECT_NEAR(bends[i]["to"].get<double>(), to, 0.003);
  }
}

TEST_P(Sample, ConeAngle) {
  if (!truth["path"].contains("cone_angle")) return;
  const auto narrowing = pieces_of(path, "contraction");
  const auto widening = pieces_of(path, "diffuser");
  ASSERT_EQ(narrowing.size() + widening.size(), 1U);
  const json& cone = narrowing.empty() ? widening[0] : narrowing[0];
  const double tenth_of_degree = 0.1 * 3.14159265358979323846 / 180.0;
  EXPECT_NEAR(cone["angle"].get<double>(), truth["path"]["cone_angle"].get<double>(), tenth_of_degree);
  EXPECT_EQ(cone["shape"], "conical");
}

/// Neighbors fit: what one piece ends with, the next begins with; a bend may share its stretch with a change
/// of area.
TEST_P(Sample, PiecesJoin) {
  const auto begins = [](const json& piece) {
    return piece[piece.contains("inlet_area") ? "inlet_area" : "area"].get<double>();
  };
  const auto ends = [](const json& piece) {
    return piece[piece.contains("outlet_area") ? "outlet_area" : "area"].get<double>();
  };
  const json& pieces = path["pieces"];
  ASSERT_FALSE(pieces.empty());
  for (std::size_t i = 1; i < pieces.size(); ++i) {
    const bool shared = pieces[i]["from"].get<double>() < pieces[i - 1]["to"].get<double>() - 1e-9;
    if (shared) {
      EXPECT_TRUE(pieces[i]["kind"] == "bend" || pieces[i - 1]["kind"] == "bend") << i;
      continue;
    }
    EXPECT_NEAR(pieces[i]["from"].get<double>(), pieces[i - 1]["to"].get<double>(), 1e-9);
    EXPECT_NEAR(begins(pieces[i]), ends(pieces[i - 1]), 0.01 * ends(pieces[i - 1])) << i;
  }
}

TEST_P(Sample, Narrowest) {
  if (!truth["path"].contains("narrowest")) return;
  const double area = truth["path"]["narrowest"]["area"].get<double>();
  const double place = measured_distance(truth["path"]["narrowest"]["distance"]);
  EXPECT_NEAR(path["narrowest"]["distance"].get<double>(), place, 0.0061);  // half a rib is 6 mm
  if (GetParam() == "nose_duct_ribbed") return;                             // a rib is no contraction
  const auto narrowing = pieces_of(path, "contraction");
  ASSERT_EQ(narrowing.size(), 1U);
  EXPECT_NEAR(narrowing[0]["outlet_area"].get<double>(), area, 0.01 * area);
  EXPECT_NEAR(narrowing[0]["to"].get<double>(), truth["path"]["narrowest"]["distance"].get<double>(), 0.005);
}

INSTANTIATE_TEST_SUITE_P(Files, Sample, ::testing::ValuesIn(samples()),
                         [](const auto& sample) { return sample.param; });

}  // namespace
}  // namespace corefeed::geometry
