// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/envelope.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "tests/support/golden.hpp"

namespace corefeed::studies {
namespace {

using corefeed::testing::golden_document;

/// The golden car with runs of CFD over ride height and yaw: the vent's suction fades as the car rises and
/// turns.
class EnvelopeTest : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("envelope_" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
    std::ofstream(folder_ / "cp.csv") << "opening,ride_height [mm],yaw [deg],cp\n"
                                         "fender_vent,30,0,-0.42\nfender_vent,30,6,-0.30\n"
                                         "fender_vent,50,0,-0.38\nfender_vent,50,6,-0.10\n";
    nlohmann::ordered_json document = golden_document();
    document["surface_pressure"] = {{"table", "cp.csv"}};
    document["points"][0]["ride_height"] = "30 mm";
    document["points"][0]["yaw"] = "0 deg";
    document["points"].push_back(document["points"][0]);
    document["points"][1]["name"] = "slower";
    document["points"][1]["speed"] = "150 km/h";
    model_ = model::parse_model(document.dump(), "test.json", folder_.string()).value();
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::filesystem::path folder_;
  model::Model model_;
};

constexpr double degree = 3.14159265358979323846 / 180.0;

TEST_F(EnvelopeTest, EveryRunAtEverySpeedIsACell) {
  const std::vector<Envelope> all = envelopes(model_);
  ASSERT_EQ(all.size(), 1U);  // the two points differ in speed alone
  const Envelope& envelope = all.front();
  EXPECT_EQ(envelope.points, (std::vector<std::string>{"fast straight", "slower"}));
  ASSERT_EQ(envelope.cells.size(), 8U);
  EXPECT_DOUBLE_EQ(envelope.cells[0].speed, 150.0 / 3.6);
  EXPECT_NEAR(*envelope.cells[1].yaw, 6.0 * degree, 1e-12);
  EXPECT_NEAR(*envelope.cells[2].ride_height, 0.050, 1e-12);
  for (const EnvelopeCell& cell : envelope.cells) {
    EXPECT_TRUE(cell.solved);
    EXPECT_TRUE(cell.extrapolated.empty());
  }
}

TEST_F(EnvelopeTest, ACellIsThePointSolvedByItself) {
  const Envelope envelope = envelopes(model_).at(0);
  model::Point point = model_.points[0];
  point.ride_height = 0.050;
  point.yaw = 6.0 * degree;
  const PointResult alone = solve_point(model_, point, {});
  const EnvelopeCell& cell = envelope.cells[7];
  EXPECT_DOUBLE_EQ(cell.speed, point.speed);
  // Two ways to write 6 degrees differ in the last digit.
  EXPECT_NEAR(cell.requirements[0]->value, *alone.solution.value("radiator.flow"), 1e-9);
}

TEST_F(EnvelopeTest, TheWorstCellIsTheOneWithoutSuction) {
  const Envelope envelope = envelopes(model_).at(0);
  for (std::size_t r = 0; r < model_.requirements.size(); ++r) {
    ASSERT_TRUE(envelope.worst[r].has_value());
    const EnvelopeCell& worst = envelope.cells[*envelope.worst[r]];
    EXPECT_NEAR(*worst.ride_height, 0.050, 1e-12) << model_.requirements[r].name;
    EXPECT_NEAR(*worst.yaw, 6.0 * degree, 1e-12) << model_.requirements[r].name;
    EXPECT_DOUBLE_EQ(worst.speed, 150.0 / 3.6) << model_.requirements[r].name;
  }
}

TEST_F(EnvelopeTest, BeyondTheRunsACellSaysSo) {
  EnvelopeQuestion question;
  question.yaws = {0.0, 8.0 * degree};
  const Envelope envelope = envelopes(model_, question).at(0);
  for (const EnvelopeCell& cell : envelope.cells) {
    const bool beyond = *cell.yaw > 6.5 * degree;
    EXPECT_EQ(beyond, cell.extrapolated.find("yaw") != std::string::npos) << cell.extrapolated;
  }
}

TEST_F(EnvelopeTest, ARequirementOfOtherPointsIsLeftOut) {
  model_.points[1].heat_load["coolant"] = 50e3;
  model_.requirements[0].at = {"slower"};
  const std::vector<Envelope> all = envelopes(model_);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_FALSE(all[0].worst[0].has_value());
  EXPECT_TRUE(all[1].worst[0].has_value());
}

TEST_F(EnvelopeTest, WithoutRunsNothingIsLookedOver) {
  model_.surface_pressure.reset();
  EXPECT_TRUE(envelopes(model_).empty());
}

TEST_F(EnvelopeTest, TheHardestPointStandsFirst) {
  const Result<Study> study = run_study(model_);
  const std::vector<PointRank> ranks = hardest_first(study.value());
  ASSERT_EQ(ranks.size(), 2U);
  EXPECT_EQ(ranks[0].point, "slower");
  EXPECT_LE(ranks[0].sigmas, ranks[1].sigmas);
  EXPECT_EQ(ranks[1].point, "fast straight");
}

}  // namespace
}  // namespace corefeed::studies
