// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/junit.hpp"

#include <gtest/gtest.h>

#include <pugixml.hpp>

#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

using testing::changed;
using testing::solved;
using testing::Solved;

class Junit : public ::testing::Test {
 protected:
  /// Writes and reads the XML of a study.
  void load(const Solved& one, const studies::StudyOptions& options = {}) {
    text = junit(one.model, one.study, options);
    ASSERT_TRUE(document.load_string(text.c_str()));
    suites = document.child("testsuites");
  }
  pugi::xml_node suite(const char* name) const {
    return suites.find_child_by_attribute("testsuite", "name", name);
  }
  pugi::xml_node test(const char* point, const char* name) const {
    return suite(point).find_child_by_attribute("testcase", "name", name);
  }

  std::string text;
  pugi::xml_document document;
  pugi::xml_node suites;
};

TEST_F(Junit, HasASuitePerPointAndATestPerRequirement) {
  load(solved());
  for (const char* point : {"fast", "slow"}) {
    ASSERT_TRUE(suite(point)) << point;
    EXPECT_EQ(suite(point).attribute("tests").as_int(), 3);
    EXPECT_EQ(suite(point).attribute("errors").as_int(), 0);
    EXPECT_TRUE(test(point, "solved"));
    EXPECT_FALSE(test(point, "solved").first_child());
    EXPECT_STREQ(test(point, "fed").attribute("classname").value(), "a \"small\" car & more");
    EXPECT_STREQ(test(point, "fed").attribute("file").value(), "small.json");
  }
  EXPECT_EQ(test("fast", "fed").attribute("line").as_int(), 23);
  EXPECT_EQ(test("fast", "cool").attribute("line").as_int(), 24);
  EXPECT_EQ(test("fast", "solved").attribute("line").as_int(), 20);
  EXPECT_EQ(test("slow", "solved").attribute("line").as_int(), 21);
}

TEST_F(Junit, FailsWhereARequirementIsNotMetAndSaysHowFar) {
  load(solved(changed(R"("at_most": "70 degC")", R"("at_most": "40 degC")")));
  const pugi::xml_node failure = test("slow", "cool").child("failure");
  ASSERT_TRUE(failure);
  EXPECT_STREQ(failure.attribute("type").value(), "not met");
  const std::string message = failure.attribute("message").value();
  EXPECT_NE(message.find("coolant.temperature is "), std::string::npos) << message;
  EXPECT_NE(message.find(" degC, at most 40 degC is required: not met (margin -"), std::string::npos)
      << message;
  // The margin and the spread are differences of temperature.
  EXPECT_NE(message.find(" K, sigma "), std::string::npos) << message;
  EXPECT_EQ(message.find("-2"), message.find("-2", message.find("margin"))) << message;
  EXPECT_EQ(suite("slow").attribute("failures").as_int(), 1);
  EXPECT_FALSE(test("slow", "fed").first_child());
}

TEST_F(Junit, WhatIsTooCloseFailsOnlyWhereCertaintyIsAsked) {
  const double hot = solved().study.points[1].solution.value("coolant.temperature").value();
  const std::string limit =
      "\"at_most\": \"" + units::write(hot + 0.1, units::Quantity::temperature, "degC") + "\"";
  const Solved close = solved(changed(R"("at_most": "70 degC")", limit));
  load(close);
  EXPECT_FALSE(test("slow", "cool").first_child());
  load(solved(changed(R"("at_most": "70 degC")", limit + R"(, "confidence": 0.9)")));
  EXPECT_STREQ(test("slow", "cool").child("failure").attribute("type").value(), "too close to call");
  studies::StudyOptions strict;
  strict.strict = true;
  load(close, strict);
  EXPECT_STREQ(test("slow", "cool").child("failure").attribute("type").value(), "too close to call");
  EXPECT_TRUE(test("slow", "within range"));
}

TEST_F(Junit, AStrictCheckFailsOnWhatIsOutOfRange) {
  studies::StudyOptions strict;
  strict.strict = true;
  // 100 mm from 400 to 1500 cm2 open at 93 degrees, beyond the 60 of the diffuser's law.
  const Solved small = solved(changed(R"("length": "500 mm")", R"("length": "100 mm")"), strict);
  load(small, strict);
  EXPECT_STREQ(test("fast", "within range").child("failure").attribute("type").value(), "out_of_range");
  EXPECT_EQ(small.study.status, Status::requirement_not_met);
}

/// What the check itself counts, the file counts too.
TEST_F(Junit, AStrictCheckFailsOnPressuresFromBeyondTheRuns) {
  Solved small = solved();
  Issue beyond;
  beyond.code = "extrapolated";
  beyond.severity = Severity::warning;
  beyond.text = "ride height beyond the runs";
  small.study.points[0].warnings.push_back(beyond);
  studies::StudyOptions strict;
  strict.strict = true;
  load(small, strict);
  EXPECT_STREQ(test("fast", "within range").child("failure").attribute("type").value(), "extrapolated");
  EXPECT_FALSE(test("slow", "within range").first_child());
}

TEST_F(Junit, APointWithoutSolutionIsAnError) {
  load(solved(testing::small_text(), testing::hopeless()));
  EXPECT_EQ(suite("fast").attribute("tests").as_int(), 1);
  EXPECT_EQ(suite("fast").attribute("errors").as_int(), 1);
  EXPECT_EQ(suite("fast").attribute("failures").as_int(), 0);
  const pugi::xml_node error = test("fast", "solved").child("error");
  ASSERT_TRUE(error);
  EXPECT_GT(std::string(error.attribute("message").value()).size(), 10u);
}

TEST_F(Junit, IsWellFormedWhateverNamesHold) {
  Solved odd = solved(changed(R"("name": "fed")", R"("name": "a\u0001b <\"'> \ufffe \u00e4")"));
  odd.model.file = "b\xFF.json";
  load(odd);
  EXPECT_TRUE(test("fast", "a\uFFFDb <\"'> \uFFFD \u00E4")) << text;
  EXPECT_STREQ(test("fast", "cool").attribute("file").value(), "b\uFFFD.json");
  EXPECT_EQ(text.find('\x01'), std::string::npos);
}

TEST_F(Junit, IsTheSameTextForTheSameStudy) {
  const Solved one = solved();
  EXPECT_EQ(junit(one.model, one.study), junit(one.model, one.study));
  EXPECT_EQ(junit(one.model, one.study), junit(one.model, solved().study));
}

}  // namespace
}  // namespace corefeed::reports
