// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/plausible.hpp"

#include <gtest/gtest.h>

#include <ostream>

#include "tests/model/small_model.hpp"

namespace corefeed::model {
namespace {

using testing::changed;
using testing::parse;

struct Slip {
  const char* name;
  std::string_view from, to;
  std::string pointer;
  std::string fragment;
  friend std::ostream& operator<<(std::ostream& out, const Slip& slip) { return out << slip.name; }
};

class Slips : public ::testing::TestWithParam<Slip> {};

TEST_P(Slips, AreWarnedOfWithWhatWasMeant) {
  const Result<Model> model = parse(changed(GetParam().from, GetParam().to));
  ASSERT_TRUE(model.ok()) << describe(model.issues().front());
  const std::vector<Issue> warnings = implausible_numbers(model.value());
  ASSERT_EQ(warnings.size(), 1u);
  EXPECT_EQ(warnings[0].code, "implausible");
  EXPECT_EQ(warnings[0].severity, Severity::warning);
  EXPECT_EQ(warnings[0].place.pointer, GetParam().pointer);
  EXPECT_GT(warnings[0].place.line, 1);
  EXPECT_NE(warnings[0].text.find(GetParam().fragment), std::string::npos) << warnings[0].text;
}

INSTANTIATE_TEST_SUITE_P(
    OfUnits, Slips,
    ::testing::Values(Slip{"Area", R"("area": "400 cm2")", R"("area": "400 m2")", "/air/elements/mouth/area",
                           "\"400 m2\" is not usual in a car's cooling (0.001 cm2 to 40000 cm2 is); did you "
                           "mean \"400 cm2\"?"},
                      Slip{"Length", R"("length": "300 mm")", R"("length": "300 m")",
                           "/air/elements/cone/length", "did you mean \"300 mm\"?"},
                      Slip{"Loss", R"("linear": "24 Pa s/m")", R"("linear": "24 kPa s/m")",
                           "/air/elements/radiator/air_loss/linear", "did you mean \"24 Pa s/m\"?"},
                      Slip{"OwnValue", R"("area": "400 cm2")", R"("area": {"value": "400m2"})",
                           "/air/elements/mouth/area", "did you mean \"400cm2\"?"},
                      Slip{"Heat", R"("heat_load": "40 kW")", R"("heat_load": "40 W")",
                           "/loops/coolant/heat_load", "did you mean \"40 kW\"?"}),
    [](const auto& slip) { return std::string(slip.param.name); });

TEST(Plausible, TheSmallModelAndTheSamplesAre) {
  const Result<Model> model = parse(changed("", ""));
  ASSERT_TRUE(model.ok());
  EXPECT_TRUE(implausible_numbers(model.value()).empty());
  for (const char* name : {"oil_loop.corefeed", "oil_cooler_bench.corefeed"}) {
    const Result<Model> sample = read_model(std::string(COREFEED_SOURCE_DIR "/geometry_samples/") + name);
    ASSERT_TRUE(sample.ok()) << describe(sample.issues().front());
    for (const Issue& issue : implausible_numbers(sample.value())) ADD_FAILURE() << describe(issue);
  }
}

/// The widest section of an area is the round one: 200 cm2 have 159.6 mm, by hand.
TEST(Plausible, AHydraulicDiameterFitsItsArea) {
  const auto warnings = [](const std::string& diameter) {
    const Result<Model> model = parse(changed(
        R"("seal": {"kind": "leak", "from": "face", "to": "bay", "area": "20 cm2"})",
        R"("seal": {"kind": "duct", "from": "face", "to": "bay", "length": "1 m", "area": "200 cm2", "hydraulic_diameter": ")" +
            diameter + "\"}"));
    EXPECT_TRUE(model.ok()) << (model.ok() ? "" : describe(model.issues().front()));
    return implausible_numbers(model.value());
  };
  EXPECT_TRUE(warnings("160 mm").empty());
  const std::vector<Issue> wide = warnings("180 mm");
  ASSERT_EQ(wide.size(), 1u);
  EXPECT_EQ(wide[0].place.pointer, "/air/elements/seal/hydraulic_diameter");
  EXPECT_NE(wide[0].text.find("180 mm is more than any section of 200 cm2 has; a round one has 159.6 mm"),
            std::string::npos)
      << wide[0].text;
}

}  // namespace
}  // namespace corefeed::model
