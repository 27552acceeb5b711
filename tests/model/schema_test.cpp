// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

#include "corefeed/model/model.hpp"
#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using nlohmann::json;
using testing::changed;
using testing::parse;

const json& the_schema() {
  static const json parsed = json::parse(schema());
  return parsed;
}

const json& definition(const std::string& name) { return the_schema().at("definitions").at(name); }

/// Collects the targets of every "$ref" below a value.
void collect_references(const json& value, std::set<std::string>& found) {
  for (const auto& [key, member] : value.items()) {
    if (key == "$ref") {
      found.insert(member.get<std::string>());
    } else if (member.is_structured()) {
      collect_references(member, found);
    }
  }
}

TEST(Schema, IsADraft07DocumentThatReadsBack) {
  EXPECT_EQ(the_schema().at("$schema"), "http://json-schema.org/draft-07/schema#");
  EXPECT_TRUE(parse_document(schema(), "schema.json").ok());
  EXPECT_EQ(schema(), schema());
}

TEST(Schema, RefersToItsOwnDefinitionsAlone) {
  std::set<std::string> references;
  collect_references(the_schema(), references);
  EXPECT_GT(references.size(), 20u);
  for (const std::string& reference : references) {
    EXPECT_TRUE(the_schema().contains(json::json_pointer(reference.substr(1)))) << reference;
  }
}

TEST(Schema, HasEveryKindWithEveryKeyOfItsRow) {
  const json& in_air = definition("element").at("properties").at("kind").at("enum");
  const json& in_loops = definition("loop_element").at("properties").at("kind").at("enum");
  for (const losses::Kind* kind : losses::kinds()) {
    const std::string name(kind->name);
    const std::string word(losses::word_of(*kind));
    const auto stands = [&word](const json& list) {
      return std::find(list.begin(), list.end(), word) != list.end();
    };
    EXPECT_TRUE(stands(in_air) || !losses::may_carry(*kind, false)) << name;
    EXPECT_TRUE(stands(in_loops) || !losses::may_carry(*kind, true)) << name;
    EXPECT_TRUE(stands(in_air) == losses::may_carry(*kind, false) || !kind->word.empty()) << name;
    const json& form = definition("element_" + name);
    EXPECT_EQ(form.at("additionalProperties"), false) << name;
    for (const losses::Key& key : kind->keys) {
      std::string path = "/properties/" + std::string(key.name);
      const std::size_t dot = path.find('.');
      if (dot != std::string::npos) path.replace(dot, 1, "/properties/");
      ASSERT_TRUE(form.contains(json::json_pointer(path))) << name << path;
      const std::string text = form.at(json::json_pointer(path)).at("description").get<std::string>();
      EXPECT_NE(text.find(key.meaning), std::string::npos) << name << path;
    }
  }
}

TEST(Schema, ListsTheWordsOfAChoice) {
  const json& style = definition("element_bend").at("properties").at("style");
  EXPECT_EQ(style.at("enum"), (json{"smooth", "mitre", "segmented", "vaned", "stamped"}));
  EXPECT_EQ(style.at("default"), "smooth");
}

/// Members of an object of the model that the schema's form of it does not have.
std::vector<std::string> unknown_members(const json& object, const json& form) {
  std::vector<std::string> unknown;
  for (const auto& [key, value] : object.items()) {
    if (!form.at("properties").contains(key)) unknown.push_back(key);
  }
  return unknown;
}

TEST(Schema, KnowsEveryKeyOfTheInventedCar) {
  std::ifstream file(COREFEED_SOURCE_DIR "/tests/data/golden-model.json");
  const json car = json::parse(file);
  const std::vector<std::string> none;
  EXPECT_EQ(unknown_members(car, the_schema()), none);
  EXPECT_EQ(unknown_members(car.at("ambient"), definition("ambient")), none);
  EXPECT_EQ(unknown_members(car.at("points").at(0), definition("point")), none);
  for (const json& requirement : car.at("requirements")) {
    EXPECT_EQ(unknown_members(requirement, definition("requirement")), none);
  }
  for (const json& loop : car.at("loops")) EXPECT_EQ(unknown_members(loop, definition("loop")), none);
  for (const json& element : car.at("air").at("elements")) {
    const json& form = definition("element_" + element.at("kind").get<std::string>());
    EXPECT_EQ(unknown_members(element, form), none);
    for (const auto& [key, value] : element.items()) {
      if (!value.is_object()) continue;
      EXPECT_EQ(unknown_members(value, form.at("properties").at(key)), none) << key;
    }
  }
}

/// Whether the reader takes a number at both bounds that the schema states, and refuses it beyond.
void expect_same_bounds(const json& form, std::string_view from, const std::string& before,
                        const std::string& after) {
  const double lowest = form.at("minimum").get<double>();
  const double highest = form.at("maximum").get<double>();
  const auto accepted = [&](double value) {
    return parse(changed(from, before + json(value).dump() + after)).ok();
  };
  EXPECT_TRUE(accepted(lowest)) << before << lowest;
  EXPECT_TRUE(accepted(highest)) << before << highest;
  EXPECT_FALSE(accepted(lowest - 1e-6)) << before << lowest;
  EXPECT_FALSE(accepted(highest + 1e-6)) << before << highest;
}

TEST(Schema, HasTheBoundsThatTheReaderKeeps) {
  const auto key = [](const char* name, const char* of) -> const json& {
    return definition(name).at("properties").at(of);
  };
  expect_same_bounds(key("ambient", "relative_humidity"), R"("pressure": "100 kPa")",
                     R"("pressure": "100 kPa", "relative_humidity": )", "");
  expect_same_bounds(key("requirement", "confidence"), R"("at_least")", R"("confidence": )",
                     R"(, "at_least")");
  expect_same_bounds(key("point", "cp").at("additionalProperties"), R"("speed")", R"("cp": {"mouth": )",
                     R"(}, "speed")");
  expect_same_bounds(key("element_inlet", "cp").at("anyOf").at(0), R"("cp": 0.8)", R"("cp": )", "");
  const json& fluids = key("loop", "fluid").at("allOf");
  const auto glycol = std::find_if(fluids.begin(), fluids.end(), [](const json& one) {
    return one.at("then").at("properties").contains("glycol_share");
  });
  ASSERT_NE(glycol, fluids.end());
  expect_same_bounds(glycol->at("then").at("properties").at("glycol_share"), R"({"kind": "water"})",
                     R"({"kind": "water_glycol", "glycol_share": )", "}");
}

TEST(Schema, PiecesAreKindsWithTwoEndsThatDoNotHeat) {
  const json& pieces = definition("piece").at("properties").at("kind").at("enum");
  const auto has = [&pieces](const char* kind) {
    return std::find(pieces.begin(), pieces.end(), kind) != pieces.end();
  };
  EXPECT_TRUE(has("bend") && has("duct") && has("diffuser") && has("step") && has("loss"));
  EXPECT_FALSE(has("inlet") || has("vent") || has("core") || has("duct_path"));
  EXPECT_FALSE(definition("piece_duct").at("properties").contains("from"));
}

}  // namespace
}  // namespace corefeed::model
