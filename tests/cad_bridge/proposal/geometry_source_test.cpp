// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/geometry_source.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace corefeed::proposal {
namespace {

worker::Piece piece(std::string kind, double from, double to, std::map<std::string, double> numbers,
                    std::map<std::string, std::string> choices = {}) {
  return {std::move(kind), from, to, std::move(numbers), std::move(choices), "a reason"};
}

/// A duct that runs straight, bends while it widens, and ends.
worker::Measurement measured() {
  worker::Measurement measurement;
  worker::Part part;
  part.name = "car/nose_duct";
  worker::Opening mouth;
  mouth.name = "nose_duct.from";
  mouth.area = 0.042;
  worker::Opening end;
  end.name = "nose_duct.to";
  end.area = 0.15;
  part.openings = {mouth, end};
  worker::Path path;
  path.pieces = {
      piece("duct", 0.0, 0.2, {{"length", 0.2}, {"area", 0.042}, {"hydraulic_diameter", 0.19}}),
      piece("bend", 0.2, 0.4, {{"angle", 0.4}, {"radius", 0.5}, {"area", 0.06}, {"hydraulic_diameter", 0.2}},
            {{"style", "smooth"}}),
      piece("diffuser", 0.2, 0.4,
            {{"inlet_area", 0.042}, {"outlet_area", 0.15}, {"length", 0.2}, {"angle", 0.5}},
            {{"shape", "pyramidal"}})};
  part.paths = {path};
  measurement.parts = {part};
  return measurement;
}

model::Element asking(std::string_view kind, std::string part, std::string opening) {
  model::Element element;
  element.name = "asking";
  element.numbers.kind = losses::find_kind(kind);
  element.geometry =
      model::GeometryReference{"nose_duct.step", "nose_duct.step", std::move(part), std::move(opening)};
  return element;
}

double number(const model::Piece& one, std::string_view key) {
  return one.numbers.value[losses::find_key(*one.numbers.kind, key)];
}
bool given(const model::Piece& one, std::string_view key) {
  return (one.numbers.given >> losses::find_key(*one.numbers.kind, key) & 1U) != 0;
}

TEST(GeometrySource, PathBecomesPieces) {
  const auto made = element_from(measured(), asking("duct_path", "nose_duct", ""));
  ASSERT_TRUE(made.ok()) << describe(made.issues().front());
  const auto& pieces = made.value().pieces;
  ASSERT_EQ(pieces.size(), 3U);
  EXPECT_EQ(pieces[0].numbers.kind->name, "duct");
  EXPECT_DOUBLE_EQ(number(pieces[0], "length"), 0.2);
  EXPECT_EQ(pieces[0].reason, "a reason");
  EXPECT_DOUBLE_EQ(number(pieces[1], "radius"), 0.5);
  EXPECT_DOUBLE_EQ(number(pieces[1], "entrance_loss"), 0.5);  // the kind's standard value
  EXPECT_FALSE(given(pieces[1], "entrance_loss"));
  EXPECT_DOUBLE_EQ(number(pieces[2], "shape"), 2.0);  // pyramidal is the third choice
  EXPECT_EQ(pieces[2].numbers.measured, pieces[2].numbers.given);
}

TEST(GeometrySource, FrictionOfASharedStretchCountsOnce) {
  const auto made = element_from(measured(), asking("duct_path", "nose_duct", ""));
  ASSERT_TRUE(made.ok());
  // The bend pays the friction; without its length the diffuser pays the expansion alone.
  EXPECT_FALSE(given(made.value().pieces[2], "length"));
  EXPECT_TRUE(given(made.value().pieces[2], "angle"));
}

TEST(GeometrySource, OpeningGivesItsArea) {
  const auto made = element_from(measured(), asking("inlet", "nose_duct", "nose_duct.from"));
  ASSERT_TRUE(made.ok());
  ASSERT_EQ(made.value().numbers.size(), 1U);
  EXPECT_EQ(made.value().numbers[0].first, "area");
  EXPECT_DOUBLE_EQ(made.value().numbers[0].second, 0.042);
}

TEST(GeometrySource, TheOnlyPartNeedsNoName) {
  EXPECT_TRUE(element_from(measured(), asking("duct_path", "", "")).ok());
}

TEST(GeometrySource, CandidatesAreListed) {
  const auto no_part = element_from(measured(), asking("duct_path", "nose", ""));
  ASSERT_FALSE(no_part.ok());
  EXPECT_EQ(no_part.issues().front().code, "unknown_part");
  EXPECT_NE(no_part.issues().front().text.find("car/nose_duct"), std::string::npos);
  const auto no_opening = element_from(measured(), asking("inlet", "nose_duct", "mouth"));
  ASSERT_FALSE(no_opening.ok());
  EXPECT_EQ(no_opening.issues().front().code, "unknown_opening");
  EXPECT_NE(no_opening.issues().front().text.find("nose_duct.from"), std::string::npos);
  worker::Measurement two = measured();
  two.parts.push_back(two.parts.front());
  two.parts.back().name = "car/copy/nose_duct";
  const auto several = element_from(two, asking("duct_path", "nose_duct", ""));
  ASSERT_FALSE(several.ok());
  EXPECT_EQ(several.issues().front().code, "several_parts");
}

TEST(GeometrySource, ABranchedPartIsNoPath) {
  worker::Measurement branched = measured();
  branched.parts.front().paths.clear();
  const auto made = element_from(branched, asking("duct_path", "nose_duct", ""));
  ASSERT_FALSE(made.ok());
  EXPECT_EQ(made.issues().front().code, "no_path");
}

}  // namespace
}  // namespace corefeed::proposal
