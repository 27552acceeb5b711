// SPDX-License-Identifier: Apache-2.0
#include "tests/published/validation_page.hpp"

#include <gtest/gtest.h>

namespace corefeed::published {
namespace {

std::vector<Row> made_up() {
  const Value near{"K", 1.02, 1.0, relative(0.05), Result::met, ""};
  const Value far{"f|Re", 60.0, 50.0, either(0.1, 2.0), Result::not_met, "for a reason"};
  const Value other{"K", 0.9, 0.0, absolute(1.0), Result::compared, "their law"};
  return {{"S-FR-01", "a book", "one", {near}},
          {"S-FR-02", "a book", "two", {near, far}},
          {"S-FR-03", "a book", "three", {other}}};
}

TEST(ValidationPage, CountsARowAsTheWorstOfItsValues) {
  const std::vector<Row> rows = made_up();
  EXPECT_EQ(rows[0].result(), Result::met);
  EXPECT_EQ(rows[1].result(), Result::not_met);
  EXPECT_EQ(rows[2].result(), Result::compared);
  EXPECT_NE(validation_page(rows).find("| Friction | 3 | 1 | 1 | 1 | 50.0 % |"), std::string::npos);
}

TEST(ValidationPage, ShowsValuesAndReasons) {
  const std::string page = validation_page(made_up());
  for (const char* part :
       {"| S-FR-01 | one | a book | K | 1 | 1.02 | +2 | 5 % | met |",
        "| f\\|Re | 50 | 60 | +20 | 10 % or 2 | **not met** |",
        "| K | 0 | 0.9 | +0.9 (difference) | 1 | compared |", "- S-FR-02 f|Re 60 for 50: for a reason"}) {
    EXPECT_NE(page.find(part), std::string::npos) << part;
  }
}

TEST(ValidationPage, WantsEveryRowOfACompleteTopic) {
  const std::vector<std::string> missing = missing_ids(made_up());
  EXPECT_EQ(missing.size(), 56u + 111u + 13u);
  EXPECT_EQ(missing.front(), "S-FR-04");
  EXPECT_EQ(missing.back(), "S-AE-13");
}

TEST(Tolerance, TakesTheWider) {
  EXPECT_DOUBLE_EQ(either(0.1, 2.0).allowed(-50.0), 5.0);
  EXPECT_DOUBLE_EQ(either(0.1, 2.0).allowed(10.0), 2.0);
  EXPECT_DOUBLE_EQ(relative(0.01).allowed(0.0), 0.0);
}

}  // namespace
}  // namespace corefeed::published
