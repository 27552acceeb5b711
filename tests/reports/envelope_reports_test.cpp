// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include "corefeed/reports/json.hpp"
#include "corefeed/reports/page.hpp"
#include "corefeed/reports/text.hpp"
#include "tests/reports/small_study.hpp"
#include "tests/support/stalling_fan.hpp"

namespace corefeed::reports {
namespace {

using studies::Envelope;
using studies::EnvelopeCell;
using studies::Verdict;

constexpr double one_degree = 3.14159265358979323846 / 180.0;

/// An envelope as it stands on the page and in the JSON.
class EnvelopeReports : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() / ("envelope_reports_" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
    // The suction of the outlet fades as the small car rises and turns.
    document_ = nlohmann::ordered_json::parse(testing::small_text());
    document_["surface_pressure"] = {{"table", "runs.csv"}};
    for (auto& point : document_["points"]) {
      point["ride_height"] = "30 mm";
      point["yaw"] = "0 deg";
    }
    write_table(
        "opening,ride_height [mm],yaw [deg],cp\n"
        "outlet,30,0,-0.5\noutlet,30,6,-0.4\noutlet,50,0,-0.3\noutlet,50,6,-0.1\n");
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  void write_table(std::string_view text) { std::ofstream(folder_ / "runs.csv") << text; }

  void solve(const studies::EnvelopeQuestion& question = {}) {
    Result<model::Model> model = model::parse_model(document_.dump(), "small.json", folder_.string());
    ASSERT_TRUE(model.ok()) << describe(model.issues().front());
    model_ = std::move(model).value();
    study_ = studies::run_study(model_).value();
    outlook_ = {};
    outlook_.ranking = studies::hardest_first(study_);
    outlook_.envelopes = studies::envelopes(model_, question);
    // The page is well-formed XML on purpose.
    const std::string text = report_page(model_, study_, page_content(model_, study_, {}, outlook_));
    page_ = pugi::xml_document();
    ASSERT_TRUE(page_.load_string(text.c_str()));
    json_ = nlohmann::json::parse(study_json(model_, study_, {}, &outlook_)).at("envelopes");
  }

  /// What the text of a check says of the envelope.
  std::string text() const {
    const std::string all = check_text(model_, study_, outlook_);
    const std::size_t at = all.find("\nthe envelope of ");
    return at == std::string::npos ? "" : all.substr(at + 1, all.find("\n\n", at + 1) - at);
  }

  std::string words(const char* path) const {
    std::string text;
    for (const auto& found : page_.select_nodes((std::string(path) + "//text()").c_str()))
      text += std::string(found.node().value()) + " ";
    return text;
  }
  std::string words() const { return words("//section[@id='envelope']"); }
  bool says(const std::string& text) const { return words().find(text) != std::string::npos; }

  std::vector<std::string> each(const pugi::xml_node& from, const char* path) const {
    std::vector<std::string> texts;
    for (const auto& found : from.select_nodes(path))
      texts.emplace_back(found.attribute() ? found.attribute().value() : found.node().text().get());
    return texts;
  }
  /// The map of a requirement, counted over all envelopes.
  pugi::xml_node map(std::size_t number) const {
    const auto all = page_.select_nodes("//section[@id='envelope']//figure//svg");
    return number < all.size() ? all[number].node() : pugi::xml_node();
  }
  std::string caption(std::size_t number) const {
    const auto all = page_.select_nodes("//section[@id='envelope']//figcaption");
    return number < all.size() ? all[number].node().text().get() : "";
  }

  /// A fan with several states where the outlet sees 0.35, and one where it sees suction.
  void stall() {
    document_ = corefeed::testing::stalling_document();
    document_["surface_pressure"] = {{"table", "runs.csv"}};
    document_["air"]["elements"]["outlet"].erase("cp");
    document_["points"][0]["yaw"] = "0 deg";
    write_table("opening,yaw [deg],cp\noutlet,0,-0.5\noutlet,9,0.35\n");
  }

  std::filesystem::path folder_;
  nlohmann::ordered_json document_;
  model::Model model_;
  studies::Study study_;
  studies::Outlook outlook_;
  pugi::xml_document page_;
  nlohmann::json json_;
};

std::string class_of(Verdict verdict) {
  if (verdict == Verdict::met) return "met";
  return verdict == Verdict::not_met ? "not-met" : "too-close";
}

TEST_F(EnvelopeReports, EachCellOfTheMapIsACellOfTheEnvelope) {
  solve();
  ASSERT_EQ(outlook_.envelopes.size(), 1u);
  const Envelope& envelope = outlook_.envelopes.front();
  ASSERT_EQ(envelope.cells.size(), 8u);
  for (std::size_t r = 0; r < model_.requirements.size(); ++r) {
    // The first requirement is in kg/s, the second in degC.
    const double zero = r == 0 ? 0.0 : 273.15;
    const std::vector<std::string> values = each(map(r), ".//text[@class='value']");
    const std::vector<std::string> marks = each(map(r), ".//g/@class");
    ASSERT_EQ(values.size(), 8u);
    ASSERT_EQ(marks.size(), 8u);
    for (std::size_t c = 0; c < 8; ++c) {
      const studies::EnvelopeValue& value = *envelope.cells[c].requirements[r];
      EXPECT_EQ(values[c], fmt::format("{:.3g}", value.value - zero));
      EXPECT_EQ(marks[c], "verdict-mark " + class_of(value.verdict));
    }
    EXPECT_EQ(each(map(r), ".//text[@class='title']"), (std::vector<std::string>{"60 km/h", "180 km/h"}));
    const std::vector<std::string> labels = each(map(r), ".//text[not(@class)]");
    EXPECT_EQ(std::vector<std::string>(labels.begin(), labels.begin() + 6),
              (std::vector<std::string>{"30 mm", "50 mm", "0 deg", "6 deg", "ride height", "yaw"}));
  }
}

TEST_F(EnvelopeReports, TheCaptionCountsAndNamesTheWorst) {
  document_["requirements"][0]["at_least"] = "0.37 kg/s";
  solve();
  const Envelope& envelope = outlook_.envelopes.front();
  for (std::size_t r = 0; r < model_.requirements.size(); ++r) {
    const auto count = [&](Verdict verdict) {
      return std::count_if(envelope.cells.begin(), envelope.cells.end(), [&](const EnvelopeCell& cell) {
        return cell.requirements[r]->verdict == verdict;
      });
    };
    // The text counts the same.
    EXPECT_NE(text().find(fmt::format("{} of 8", count(Verdict::met))), std::string::npos) << text();
    const auto part = [&](Verdict verdict, const char* word) {
      return count(verdict) == 0 ? std::string() : fmt::format(", {} {}", count(verdict), word);
    };
    const std::string begin = fmt::format("{} of 8 cells met", count(Verdict::met)) +
                              part(Verdict::too_close, "too close to call") +
                              part(Verdict::not_met, "not met") + ". Worst (framed): ";
    EXPECT_EQ(caption(r).substr(0, begin.size()), begin);
    // Slow, high and turned there is the least suction.
    EXPECT_TRUE(caption(r).ends_with(" at 60 km/h, ride height 50 mm, yaw 6 deg.")) << caption(r);
    // What is read aloud is what stands below.
    EXPECT_STREQ(map(r).child("desc").text().get(), caption(r).c_str());
  }
  // All three verdicts are there to be counted.
  EXPECT_TRUE(caption(0).starts_with("4 of 8 cells met, 2 too close to call, 2 not met.")) << caption(0);
}

TEST_F(EnvelopeReports, TheWorstCellAloneIsFramed) {
  solve();
  for (std::size_t r = 0; r < model_.requirements.size(); ++r) {
    const auto boxes = map(r).select_nodes(".//rect[starts-with(@class,'cell ')]");
    const auto frames = map(r).select_nodes(".//rect[@class='frame']");
    ASSERT_EQ(frames.size(), 1u);
    const pugi::xml_node box = boxes[*outlook_.envelopes.front().worst[r]].node();
    const pugi::xml_node frame = frames[0].node();
    EXPECT_NEAR(frame.attribute("x").as_double(), box.attribute("x").as_double() + 2.0, 0.11);
    EXPECT_NEAR(frame.attribute("y").as_double(), box.attribute("y").as_double() + 2.0, 0.11);
  }
}

TEST_F(EnvelopeReports, HeadingsSayWhatIsShownInWhichUnitAndTheLimit) {
  solve();
  EXPECT_EQ(each(page_, "//section[@id='envelope']//h3"),
            (std::vector<std::string>{"fed: radiator.flow, kg/s, >= 0.2 kg/s",
                                      "cool: coolant.temperature, degC, <= 70 degC"}));
  EXPECT_TRUE(says("With the heat loads and fans of fast, slow.")) << words();
}

TEST_F(EnvelopeReports, LargeValuesStandWithoutAnExponent) {
  document_["requirements"][0] = {
      {"name", "head"}, {"quantity", "radiator.pressure_loss"}, {"at_least", "1 Pa"}};
  document_["points"][0]["speed"] = "300 km/h";
  document_["points"][1]["speed"] = "280 km/h";
  solve();
  const std::vector<std::string> values = each(map(0), ".//text[@class='value']");
  ASSERT_EQ(values.size(), 8u);
  const double fast = outlook_.envelopes.front().cells[4].requirements[0]->value;
  ASSERT_GT(fast, 1000.0);
  EXPECT_EQ(values[4], fmt::format("{:.0f}", 10.0 * std::round(0.1 * fast)));
  // The margin in the table of requirements is as large.
  const studies::JudgedRequirement& judged = study_.requirements.front();
  const double margin = judged.judgments[judged.worst].margin;
  ASSERT_GT(margin, 1000.0);
  const std::string table = words("//section[@id='requirements']");
  EXPECT_NE(table.find(fmt::format("+{:.0f} Pa", 10.0 * std::round(0.1 * margin))), std::string::npos)
      << table;
}

TEST_F(EnvelopeReports, BeyondTheRunsACornerIsMarked) {
  studies::EnvelopeQuestion question;
  question.yaws = {0.0, 8.0 * one_degree};
  solve(question);
  const auto flags = map(0).select_nodes(".//path[@class='flag']");
  const auto boxes = map(0).select_nodes(".//rect[starts-with(@class,'cell ')]");
  ASSERT_EQ(flags.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) {
    // Every second cell is at 8 deg; its mark begins at the upper right corner.
    const pugi::xml_node box = boxes[2 * i + 1].node();
    const double right = box.attribute("x").as_double() + box.attribute("width").as_double();
    double x = 0.0;
    ASSERT_EQ(std::sscanf(flags[i].node().attribute("d").value(), "M%lf", &x), 1);
    EXPECT_NEAR(x, right, 0.11);
  }
  EXPECT_NE(caption(0).find("; 4 beyond the runs (corner marked). Worst"), std::string::npos) << caption(0);
  EXPECT_TRUE(caption(0).ends_with("yaw 8 deg (beyond the runs).")) << caption(0);
  EXPECT_TRUE(json_[0]["cells"][0]["extrapolated"].is_null());
  EXPECT_EQ(json_[0]["cells"][1]["extrapolated"], "yaw 8 deg (runs from 0 deg to 6 deg)");
}

TEST_F(EnvelopeReports, AxesThatTheRunsDoNotVaryAreNotNamed) {
  write_table("opening,yaw [deg],cp\noutlet,0,-0.5\noutlet,6,-0.4\n");
  solve();
  const std::vector<std::string> labels = each(map(0), ".//text[not(@class)]");
  EXPECT_EQ(std::count(labels.begin(), labels.end(), "yaw"), 2) << "one for each speed";
  EXPECT_FALSE(says("ride height"));
  EXPECT_TRUE(json_[0]["cells"][0]["ride_height"].is_null());
  EXPECT_NEAR(json_[0]["cells"][1]["yaw"].get<double>(), 6.0 * one_degree, 1e-12);
  EXPECT_EQ(json_[0]["cells"].size(), 4u);
}

TEST_F(EnvelopeReports, PointsWithOtherHeatHaveTheirOwn) {
  document_["points"][1]["heat_load"] = {{"coolant", "20 kW"}};
  document_["requirements"][0]["at"] = {"fast"};
  solve();
  ASSERT_EQ(json_.size(), 2u);
  EXPECT_EQ(json_[0]["points"], nlohmann::json({"fast"}));
  EXPECT_EQ(json_[1]["points"], nlohmann::json({"slow"}));
  EXPECT_TRUE(says("With the heat loads and fans of fast."));
  EXPECT_TRUE(says("With the heat loads and fans of slow."));
  // "fed" speaks of the fast point alone.
  const std::vector<std::string> heads = each(page_, "//section[@id='envelope']//h3");
  ASSERT_EQ(heads.size(), 3u);
  for (const std::size_t cool : {1u, 2u}) EXPECT_EQ(heads[cool].substr(0, 5), "cool:");
  ASSERT_EQ(json_[1]["worst"].size(), 1u);
  EXPECT_EQ(json_[1]["worst"][0]["requirement"], "cool");
  for (const auto& cell : json_[1]["cells"]) EXPECT_EQ(cell["requirements"].size(), 1u);
}

TEST_F(EnvelopeReports, ManyPointsOfOneEnvelopeAreCounted) {
  for (const char* speed : {"70 km/h", "80 km/h", "90 km/h"}) {
    nlohmann::ordered_json point = document_["points"][0];
    point["name"] = point["speed"] = speed;
    document_["points"].push_back(point);
  }
  solve();
  EXPECT_TRUE(says("With the heat loads and fans of fast and 4 more points.")) << words();
}

TEST_F(EnvelopeReports, JsonHoldsEveryCellInSiUnits) {
  solve();
  ASSERT_EQ(json_.size(), 1u);
  const Envelope& envelope = outlook_.envelopes.front();
  EXPECT_EQ(json_[0]["points"], nlohmann::json({"fast", "slow"}));
  ASSERT_EQ(json_[0]["cells"].size(), 8u);
  for (std::size_t c = 0; c < 8; ++c) {
    const nlohmann::json& cell = json_[0]["cells"][c];
    // Yaw runs fastest, then ride height, then speed.
    EXPECT_NEAR(cell["speed"].get<double>(), (c < 4 ? 60.0 : 180.0) / 3.6, 1e-12);
    EXPECT_NEAR(cell["ride_height"].get<double>(), c % 4 < 2 ? 0.03 : 0.05, 1e-12);
    EXPECT_NEAR(cell["yaw"].get<double>(), c % 2 == 0 ? 0.0 : 6.0 * one_degree, 1e-12);
    EXPECT_EQ(cell["solved"], true);
    EXPECT_TRUE(cell["explanation"].is_null() && cell["extrapolated"].is_null());
    ASSERT_EQ(cell["requirements"].size(), 2u);
    for (std::size_t r = 0; r < 2; ++r) {
      const nlohmann::json& one = cell["requirements"][r];
      const studies::EnvelopeValue& value = *envelope.cells[c].requirements[r];
      const double limit = r == 0 ? 0.2 : 273.15 + 70.0;
      EXPECT_EQ(one["name"], r == 0 ? "fed" : "cool");
      EXPECT_EQ(one["value"].get<double>(), value.value);
      EXPECT_NEAR(one["margin"].get<double>(), (r == 0 ? 1.0 : -1.0) * (value.value - limit), 1e-9);
      EXPECT_EQ(one["sigma"].get<double>(), value.sigma);
      EXPECT_EQ(one["verdict"], studies::verdict_name(value.verdict));
    }
  }
}

TEST_F(EnvelopeReports, JsonNamesTheWorstByVerdictAndMargin) {
  solve();
  ASSERT_EQ(json_[0]["worst"].size(), 2u);
  for (const auto& worst : json_[0]["worst"]) {
    const auto margin_at = [&](std::size_t cell) {
      for (const auto& one : json_[0]["cells"][cell]["requirements"]) {
        if (one["name"] == worst["requirement"]) return one["margin"].get<double>();
      }
      return std::nan("");
    };
    const auto cell = worst["cell"].get<std::size_t>();
    // Here the smallest margin has the worst verdict too.
    for (std::size_t c = 0; c < 8; ++c) EXPECT_LE(margin_at(cell), margin_at(c));
  }
}

TEST_F(EnvelopeReports, ACellWithSeveralStatesHasNoValueAndSaysWhy) {
  stall();
  solve();
  const Envelope& envelope = outlook_.envelopes.front();
  ASSERT_TRUE(envelope.cells[0].solved);
  ASSERT_FALSE(envelope.cells[1].solved);
  EXPECT_EQ(each(map(0), ".//g/@class"),
            (std::vector<std::string>{"verdict-mark met", "verdict-mark unsolved"}));
  EXPECT_EQ(each(map(0), ".//text[@class='value']")[1], "none");
  EXPECT_TRUE(caption(0).starts_with("1 of 2 cells met, 1 without one solution. Worst (framed): "))
      << caption(0);
  EXPECT_TRUE(caption(0).ends_with("at 93 km/h, yaw 0 deg.")) << caption(0);
  const std::string trouble = words("//section[@id='envelope']//p[@class='trouble']");
  EXPECT_TRUE(trouble.starts_with("No one solution at 93 km/h, yaw 9 deg: ")) << trouble;
  EXPECT_NE(trouble.find("3 operating points found, 2 of them stable"), std::string::npos) << trouble;
  const nlohmann::json& cell = json_[0]["cells"][1];
  EXPECT_EQ(cell["solved"], false);
  EXPECT_EQ(cell["explanation"], envelope.cells[1].explanation);
  EXPECT_TRUE(cell["requirements"].empty());
  EXPECT_EQ(json_[0]["worst"][0]["cell"], 0);
}

TEST_F(EnvelopeReports, WithoutAnySolutionTheReasonsStand) {
  stall();
  write_table("opening,yaw [deg],cp\noutlet,0,0.34\noutlet,9,0.35\n");
  solve();
  EXPECT_FALSE(map(0));
  EXPECT_TRUE(says("With the heat loads and fans of level.")) << words();
  EXPECT_TRUE(says("No one solution at 93 km/h, yaw 0 deg: ")) << words();
  EXPECT_TRUE(says("No one solution at 93 km/h, yaw 9 deg: ")) << words();
  EXPECT_FALSE(page_.select_node("//section[@id='envelope']//p[@class='legend']"));
  EXPECT_TRUE(json_[0]["worst"].empty());
  // The text has no table without rows either.
  EXPECT_TRUE(text().starts_with(
      "the envelope of level: 1 speed x 2 yaw angles\n  93 km/h, yaw 0 deg: no one solution: "))
      << text();
}

TEST_F(EnvelopeReports, WithoutRequirementsThereIsNothingToShow) {
  document_.erase("requirements");
  solve();
  EXPECT_EQ(outlook_.envelopes.size(), 1u);
  EXPECT_EQ(text(), "");
  EXPECT_FALSE(page_.select_node("//section[@id='envelope']"));
  EXPECT_FALSE(page_.select_node("//a[@href='#envelope']"));
}

TEST_F(EnvelopeReports, ThePageLooksOverItWithoutBeingAsked) {
  solve();
  const std::string asked = words();
  outlook_.envelopes.clear();
  const std::string text = report_page(model_, study_, page_content(model_, study_, {}, outlook_));
  ASSERT_TRUE(page_.load_string(text.c_str()));
  EXPECT_EQ(words(), asked);
}

}  // namespace
}  // namespace corefeed::reports
