// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/session/session.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "corefeed/interruption.hpp"

namespace corefeed::session {
namespace {

const std::string golden = std::string(COREFEED_SOURCE_DIR) + "/tests/data/golden-model.json";

class Session : public testing::Test {
 protected:
  void SetUp() override {
    Result<model::Model> read = load({.path = golden});
    ASSERT_TRUE(read.ok());
    model = std::move(read).value();
  }
  std::string refusal(const std::string& name, const Given& given) {
    const std::vector<Issue> issues = set_number(model, name, given);
    if (issues.empty()) return "";
    EXPECT_EQ(issues.front().status, Status::usage);
    return issues.front().code;
  }
  model::Model model;
};

TEST_F(Session, NumbersAreSetAsTextOrInSi) {
  EXPECT_EQ(refusal("radiator.face_area", std::string("1900 cm2")), "");
  EXPECT_EQ(get_number(model, "radiator.face_area").value(), 0.19);
  EXPECT_EQ(refusal("radiator.face_area", 0.2), "");
  EXPECT_EQ(get_number(model, "radiator.face_area").value(), 0.2);
  const auto read = parse(model::write_model(model), "text", COREFEED_SOURCE_DIR "/tests/data", {});
  ASSERT_TRUE(read.ok());
  EXPECT_EQ(get_number(read.value(), "radiator.face_area").value(), 0.2);
}

TEST_F(Session, WrongNumbersAreRefusedAndChangeNothing) {
  const double before = get_number(model, "radiator.face_area").value();
  EXPECT_EQ(refusal("radiator.face_aera", 0.2), "unknown_parameter");
  EXPECT_EQ(refusal("radiator.face_area", std::string("2 kg")), "wrong_dimension");
  EXPECT_EQ(refusal("radiator.face_area", std::string("2")), "missing_unit");
  EXPECT_EQ(refusal("radiator.face_area", 0.0), "out_of_bounds");
  EXPECT_EQ(refusal("radiator.face_area", std::nan("")), "out_of_bounds");
  EXPECT_EQ(refusal("radiator.free_flow_ratio", 2.0), "out_of_bounds");
  EXPECT_EQ(get_number(model, "radiator.face_area").value(), before);
}

TEST_F(Session, AnswersToASizeQuestionNameTheOption) {
  const SizeNames names{.vary = "--vary", .until = "--until", .range = "--range", .points = "--point"};
  const SizeWords sound{.vary = {"radiator.face_area"}, .until = "radiator.flow >= 1 kg/s"};
  SizeWords words = sound;
  words.range = {Given(std::string("100 cm2")), Given(0.5)};
  const auto question = size_question(model, words, names);
  ASSERT_TRUE(question.ok());
  EXPECT_EQ(question.value().lowest, 0.01);
  EXPECT_EQ(question.value().highest, 0.5);
  const auto said = [&](const SizeWords& wrong) {
    const auto refused = size_question(model, wrong, names);
    EXPECT_FALSE(refused.ok());
    EXPECT_EQ(worst_status(refused.issues()), Status::usage);
    return refused.issues().front().text.substr(0, 7);
  };
  words.range = {Given(std::string("1 kg")), Given(0.5)};
  EXPECT_EQ(said(words), "--range");
  words = sound;
  words.until = "radiator.flaw >= 1 kg/s";
  EXPECT_EQ(said(words), "--until");
  words = sound;
  words.points = {"nowhere"};
  EXPECT_EQ(said(words), "--point");
}

TEST(ShortNames, AreStemsWhereTheseDiffer) {
  EXPECT_EQ(short_names({"a/car.json", "b/other.json"}), (std::vector<std::string>{"car", "other"}));
  EXPECT_EQ(short_names({"a/car.json", "b/car.json"}),
            (std::vector<std::string>{"a/car.json", "b/car.json"}));
}

TEST_F(Session, AStudyEndsWhereTheHostSaysSo) {
  struct Stop {};
  studies::StudyOptions options;
  options.sampling.samples = 20'000;
  int asked = 0;
  const Interruptible outer([] { FAIL() << "the last question lent is the one that is asked"; });
  {
    const Interruptible inner([&asked] {
      if (++asked == 10) throw Stop();
    });
    EXPECT_THROW(static_cast<void>(studies::run_study(model, options)), Stop);
  }
  EXPECT_EQ(asked, 10);
}

}  // namespace
}  // namespace corefeed::session
