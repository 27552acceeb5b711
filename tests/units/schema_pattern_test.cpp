// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <random>
#include <regex>
#include <string>
#include <vector>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/quantity_kinds.hpp"

namespace corefeed::units {
namespace {

bool matches(const std::string& text, Quantity quantity) {
  static std::vector<std::regex> compiled = [] {
    std::vector<std::regex> list;
    for (const Kind& kind : kinds()) list.emplace_back(schema_pattern(kind.quantity), std::regex::ECMAScript);
    return list;
  }();
  return std::regex_search(text, compiled[static_cast<std::size_t>(quantity)]);
}

TEST(SchemaPattern, MatchesTheExamplesOfItsKind) {
  for (const Kind& kind : kinds()) {
    EXPECT_TRUE(matches(std::string(kind.info.example), kind.quantity)) << kind.info.name;
  }
}

TEST(SchemaPattern, RefusesCommonMistakesInTheEditor) {
  EXPECT_FALSE(matches("420", Quantity::area));
  EXPECT_FALSE(matches("420 kPa", Quantity::area));
  EXPECT_FALSE(matches("4,2 m2", Quantity::area));
  EXPECT_FALSE(matches("420 sqcm", Quantity::area));
  EXPECT_FALSE(matches("cm2", Quantity::area));
  EXPECT_FALSE(matches("420 cm2 wide", Quantity::area));
  EXPECT_FALSE(matches("10 degC", Quantity::temperature_difference));
  EXPECT_FALSE(matches("10 delta_degC", Quantity::temperature));
  EXPECT_FALSE(matches("20 kPa gauge", Quantity::pressure_absolute));
  EXPECT_FALSE(matches("30 deg", Quantity::number));
  EXPECT_FALSE(matches("mmm", Quantity::length));
}

TEST(SchemaPattern, MatchesTheLessCommonFormsOfGoodText) {
  for (const char* text : {"12m2", " 12 m^2 ", "12 m\u00B2", "12 m\u00B7m", "12 (m m)", "12 m3/m",
                           "12 m3 m^-1", "12 m\u00B3 m\u207B\u00B9", "+1.2E+1 m*m"}) {
    EXPECT_TRUE(matches(text, Quantity::area)) << text;
  }
  for (const char* text : {"5 1/m", "5 /m", "5/m", "5 m\u207B\u00B9", "5 1 / (m)"}) {
    EXPECT_TRUE(matches(text, Quantity::per_length)) << text;
  }
  EXPECT_TRUE(matches("20 kPa gauge", Quantity::pressure_gauge));
  EXPECT_TRUE(matches("20 (kPa) gauge", Quantity::pressure_gauge));
  EXPECT_TRUE(matches("30\u00B0C", Quantity::temperature));
}

// Whatever the parser accepts must match: text is drawn from pieces that often make good units.
TEST(SchemaPattern, MatchesWhateverTheParserAccepts) {
  const std::vector<std::string> pieces{
      "1",  " ",  "/",  "*", "(",       ")",        "m",      "2",     "^",   "-1", "kg", "s",
      "Pa", "cm", "mm", "K", "J",       "\u00B7",   "\u00B2", "gauge", "min", "h",  "L",  "degC",
      "W",  "N",  "in", "3", "W/(m K)", "J/(kg K)", " m",     "/s",    " s",  "kPa"};
  std::mt19937 random(3);
  std::vector<int> accepted(kinds().size());
  for (int i = 0; i < 12000; ++i) {
    std::string text = "5 ";
    const std::size_t count = 1 + random() % 6;
    for (std::size_t j = 0; j < count; ++j) text += pieces[random() % pieces.size()];
    for (const Kind& kind : kinds()) {
      if (!parse(text, kind.quantity).ok()) continue;
      ++accepted[static_cast<std::size_t>(kind.quantity)];
      ASSERT_TRUE(matches(text, kind.quantity)) << text << " as " << kind.info.name;
    }
  }
  for (const Quantity quantity : {Quantity::length, Quantity::area, Quantity::pressure_gauge, Quantity::speed,
                                  Quantity::heat_capacity, Quantity::per_length, Quantity::temperature}) {
    EXPECT_GT(accepted[static_cast<std::size_t>(quantity)], 4) << info(quantity).name;
  }
}

}  // namespace
}  // namespace corefeed::units
