// SPDX-License-Identifier: Apache-2.0
#include "tests/cad_bridge/geometry/accuracy.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

namespace corefeed::geometry::accuracy {
namespace {

class Accuracy : public ::testing::TestWithParam<std::string> {
 protected:
  static std::string page() {
    std::ifstream file(COREFEED_SOURCE_DIR "/docs/measuring.md", std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
  }
};

/// Every number meets its goal, and the table of the docs asks for the same ones. What was measured there may
/// differ in the last digits from machine to machine.
TEST_P(Accuracy, MeetsTheGoalsOfThePage) {
  const Comparison comparison = compare_sample(GetParam());
  for (const std::string& fault : comparison.faults) ADD_FAILURE() << fault;
  EXPECT_FALSE(comparison.rows.empty());
  const std::string docs = page();
  for (const Row& row : comparison.rows) {
    EXPECT_LE(row.error, row.goal) << row.quantity << ": " << row.measured << ", truth " << row.truth << " "
                                   << row.unit;
    const Cells cells = cells_of(row);
    const auto at = docs.find("| " + cells.part + " | " + cells.quantity + " | " + cells.truth + " |");
    ASSERT_NE(at, std::string::npos) << "docs/measuring.md lacks the row\n" << line(row);
    const std::string rest = docs.substr(at, docs.find('\n', at) - at);
    EXPECT_TRUE(rest.ends_with("| " + cells.goal + " |")) << rest;
  }
}

INSTANTIATE_TEST_SUITE_P(Parts, Accuracy, ::testing::ValuesIn(sample_names()),
                         [](const auto& part) { return part.param; });

}  // namespace
}  // namespace corefeed::geometry::accuracy
