// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/oil_grade.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace corefeed::fluids {
namespace {

TEST(OilGrade, TheHotNumberRules) {
  EXPECT_DOUBLE_EQ(oil_grade("10W-60")->lowest, 21.9e-6);
  EXPECT_DOUBLE_EQ(oil_grade("10W-60")->below, 26.1e-6);
  EXPECT_DOUBLE_EQ(oil_grade("20W-50")->lowest, oil_grade("50")->lowest);
}

TEST(OilGrade, LightMultigradesOf40MayBeThinnerUnderShear) {
  EXPECT_DOUBLE_EQ(oil_grade("5W-40")->high_shear, 3.5e-3);
  EXPECT_DOUBLE_EQ(oil_grade("15W-40")->high_shear, 3.7e-3);
  EXPECT_DOUBLE_EQ(oil_grade("40")->high_shear, 3.7e-3);
}

TEST(OilGrade, WinterGradesAloneHaveNoUpperEnd) {
  EXPECT_TRUE(std::isinf(oil_grade("10W")->below));
  EXPECT_EQ(oil_grade("10W")->high_shear, 0.0);
}

TEST(OilGrade, OtherWordsAreNone) {
  for (const char* word : {"", "W", "10", "10W-", "-40", "40-10W", "75W-90", "10w-40"})
    EXPECT_FALSE(oil_grade(word).has_value()) << word;
}

}  // namespace
}  // namespace corefeed::fluids
