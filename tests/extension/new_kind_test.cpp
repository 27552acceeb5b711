// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "corefeed/model/model.hpp"
#include "corefeed/reports/explain.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/studies/study.hpp"

// A kind is one file: the library knows nothing of "honeycomb", this program adds laws/honeycomb.cpp to the
// table of laws, and reader, schema, results, warnings, uncertainty, explain and docs have it.
namespace corefeed {
namespace {

constexpr const char* car = R"({
 "corefeed": 1, "title": "straightener",
 "ambient": {"temperature": "20 degC", "pressure": "101325 Pa"},
 "air": {"elements": {
   "mouth": {"kind": "inlet", "to": "in", "area": "400 cm2", "cp": 0.9, "recovery": 0.95},
   "straightener": {"kind": "honeycomb", "from": "in", "to": "out", "area": "400 cm2", "cell_depth": "200 mm"},
   "outlet": {"kind": "vent", "from": "out", "area": "400 cm2", "cp": -0.2, "discharge_coefficient": 0.62}}},
 "points": [{"name": "fast", "speed": "160 km/h"}],
 "requirements": [{"quantity": "straightener.velocity", "at_least": "5 m/s"}]
})";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

TEST(NewKind, IsReadSolvedJudgedAndReported) {
  const Result<model::Model> model = model::parse_model(car, "car", ".");
  ASSERT_TRUE(model.ok()) << describe(model.issues().front());
  const Result<studies::Study> study = studies::run_study(model.value());
  ASSERT_TRUE(study.ok());
  EXPECT_EQ(study.value().status, Status::done);
  const auto json = nlohmann::json::parse(reports::study_json(model.value(), study.value(), {}));
  const auto& point = json.at("points").at(0);
  const auto& element = point.at("elements").at("straightener");
  EXPECT_EQ(element.at("kind"), "honeycomb");
  const double velocity = element.at("velocity").get<double>();
  // K = 20 * 0.2 on the element's own head; its density is that of 1 atm to within the ram pressure.
  EXPECT_NEAR(element.at("pressure_loss").get<double>(), 4.0 * 0.5 * 1.204 * velocity * velocity,
              0.02 * element.at("pressure_loss").get<double>());
  bool warned = false;
  for (const auto& warning : point.at("warnings")) {
    warned = warned || (warning.at("code") == "out_of_range" && warning.at("element") == "straightener");
  }
  EXPECT_TRUE(warned);
  bool assumed = false;
  for (const auto& one : point.at("assumptions")) {
    assumed = assumed || (one.at("element") == "straightener" && one.at("parameter") == "law" &&
                          one.at("tag") == "closure");
  }
  EXPECT_TRUE(assumed);
}

TEST(NewKind, HasItsKeysInTheSchema) {
  const auto schema = nlohmann::json::parse(model::schema());
  const auto& form = schema.at("definitions").at("element_honeycomb");
  EXPECT_TRUE(form.at("properties").contains("cell_depth"));
  EXPECT_TRUE(schema.at("definitions").contains("piece_honeycomb"));
}

TEST(NewKind, StandsInExplainAndInTheDocsPage) {
  EXPECT_TRUE(has(reports::explain(*losses::find_kind("honeycomb")), "depth of the cells along the flow"));
  EXPECT_TRUE(has(reports::explain(*losses::find_kind("honeycomb")), "Worked value: "));
  EXPECT_TRUE(has(reports::explain_all(), "a straightener made for a test"));
  EXPECT_TRUE(has(reports::laws_page(), "## Honeycomb"));
}

TEST(NewKind, HelpsWithAMisspeltKey) {
  std::string text = car;
  text.replace(text.find("cell_depth"), 10, "cell_dept");
  const Result<model::Model> model = model::parse_model(text, "car", ".");
  ASSERT_FALSE(model.ok());
  ASSERT_EQ(model.issues().size(), 1U);
  EXPECT_TRUE(has(model.issues().front().text, "did you mean \"cell_depth\"?"));
}

}  // namespace
}  // namespace corefeed
