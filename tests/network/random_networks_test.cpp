// SPDX-License-Identifier: Apache-2.0
#include "tests/network/random_networks.hpp"

#include <gtest/gtest.h>

#include <set>

#include "tests/network/survey.hpp"

namespace corefeed::network::testing {
namespace {

TEST(RandomNetworks, SameSeedMakesTheSameNetwork) {
  for (const std::uint64_t seed : {1U, 77U, 4321U}) {
    EXPECT_EQ(description(random_case(seed)), description(random_case(seed)));
    EXPECT_NE(description(random_case(seed)), description(random_case(seed + 1)));
  }
}

TEST(RandomNetworks, EveryKindWithALawAppears) {
  std::set<std::string_view> met;
  std::size_t fewest = 1000;
  std::size_t most = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const cooling::Case problem = random_case(seed);
    fewest = std::min(fewest, problem.network.elements.size());
    most = std::max(most, problem.network.elements.size());
    for (const Element& element : problem.network.elements) met.insert(element.kind->name);
  }
  for (const losses::Kind* kind : losses::kinds()) {
    // A supply stands in loops; in air it is a vent or inlet of given flow, which the solver need not find.
    const bool for_air =
        kind->law != nullptr && kind->carries != losses::Carries::liquid && kind->name != "supply";
    if (for_air) {
      EXPECT_TRUE(met.contains(kind->name)) << kind->name;
    }
  }
  EXPECT_GE(fewest, 5U);
  EXPECT_GT(most, 55U);
}

// A tolerance that any state meets ends the search at the start. Most of these are driven on until they
// close.
TEST(RandomNetworks, StateThatDoesNotCloseSaysSo) {
  int open = 0;
  for (std::uint64_t seed = 1; seed <= 24; ++seed) {
    const cooling::Solution loose =
        cooling::solve(random_case(seed), {.tolerance = 1e30, .look_for_others = false});
    if (!loose.converged) continue;
    const bool told = loose.explanation.find("a balance closes only to") != std::string::npos;
    EXPECT_EQ(told, !loose.certificate.met()) << seed << ": " << loose.explanation;
    open += !loose.certificate.met();
  }
  EXPECT_GT(open, 0);
}

TEST(RandomNetworks, MonotoneFamilyIsMonotone) {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    for (const Element& element : random_monotone_case(seed).network.elements) {
      EXPECT_TRUE(is_monotone(element) || element.feeds != none) << element.name;
    }
  }
}

/// Networks that once failed, each for the reason beside it.
struct Cured {
  Family family;
  std::uint64_t seed;
  const char* was;
};

class CuredNetworks : public ::testing::TestWithParam<Cured> {};

TEST_P(CuredNetworks, StaySolved) {
  const Surveyed found = survey_case(case_of(GetParam().family, GetParam().seed));
  EXPECT_NE(found.ending, Ending::failed) << GetParam().was << ": " << found.words;
}

INSTANTIATE_TEST_SUITE_P(
    Seeds, CuredNetworks,
    ::testing::Values(
        Cured{Family::monotone, 1276,
              "Newton's method stuck where a coefficient of twelve decades meets a leak"},
        Cured{Family::monotone, 1827, "the same at a flap"},
        Cured{Family::unheated, 1272, "junction at a plenum jumped where a leg turned round"},
        Cured{Family::unheated, 1482, "the same with running fans"},
        Cured{Family::unheated, 1938, "the same beside a contraction"},
        Cured{Family::all, 1757, "effectiveness without digits at capacity ratios near zero"},
        Cured{Family::all, 1730, "leaving temperature jumped where the flow of an uneven core turned round"},
        Cured{Family::all, 1004, "loop without air at the start of the search"},
        Cured{Family::all, 1030, "loop started too cold to have a slope"},
        Cured{Family::all, 435, "unheated core's leaving temperature jumped as its flow turned"},
        Cured{Family::all, 6823, "pole of the spreading behind a core that cools its air"},
        Cured{Family::all, 954, "continuation turned back at a kink"},
        Cured{Family::all, 2746, "the same where a loop is held at its highest temperature"},
        Cured{Family::all, 15526, "air stands still in a part between closed flaps"},
        Cured{Family::unheated, 7540, "trace of outside air beside next to no flow"},
        Cured{Family::all, 124088, "the same in air that crawls"},
        Cured{Family::all, 394918, "a trace of outside air larger than what a certificate sees in still air"},
        Cured{Family::all, 327229, "the same, with nothing that drives any air"},
        Cured{Family::all, 940083, "homotopy that needs more than a few draws"},
        Cured{Family::all, 974816, "the same, without a steady temperature"},
        Cured{Family::all, 286963, "vent with a table without a slope at rest"},
        Cured{Family::all, 35910, "homotopy without a first point at a core"},
        Cured{Family::unheated, 8372, "ring of air that nothing enters"},
        Cured{Family::monotone, 11102, "no flow at all, and balances on no scale"},
        Cured{Family::all, 16752, "ended at the tolerance with a balance just above it"},
        Cured{Family::monotone, 7230, "screen without a loss between held pressures"}));

}  // namespace
}  // namespace corefeed::network::testing
