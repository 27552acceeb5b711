// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/sweep_rows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "corefeed/model/csv_table.hpp"
#include "tests/reports/small_study.hpp"

namespace corefeed::reports {
namespace {

/// A sweep of the small car whose point has a name that needs quotes.
class SweepRows : public ::testing::Test {
 protected:
  SweepRows()
      : model_(model::parse_model(testing::changed(R"("name": "fast")", R"("name": "fast, \"dry\"")"),
                                  "small.json", "")
                   .value()),
        plan_(studies::SweepPlan::make(model_, {.axes = {{{"outlet.area"}, {0.05, 0.1 / 3.0}}},
                                                .points = {"fast, \"dry\""},
                                                .shown = {"radiator.flow", "car.cooling_drag"}})
                  .value()) {}

  std::string text(RowFormat format) const {
    const model::Value facts = sweep_facts(plan_, {{"outlet.area=500cm2,333cm2"}, "", ""}, format, {});
    return row_header(plan_, facts, format) + row_lines(plan_, rows_, format);
  }

  model::Model model_;
  studies::SweepPlan plan_;
  studies::SweptRows rows_{0, {1.0 / 3.0, -2e-7, std::nan(""), std::nan("")}, {"", "the \"reason\""}};
};

TEST_F(SweepRows, CsvIsReadByOurOwnReader) {
  const std::string csv = text(RowFormat::csv);
  EXPECT_EQ(csv.substr(0, csv.find('\n')),
            "row,point,outlet.area [m2],radiator.flow [kg/s],car.cooling_drag [N],converged");
  const auto table = model::parse_csv(csv, "rows.csv");
  ASSERT_TRUE(table.ok()) << describe(table.issues().front());
  EXPECT_EQ(table.value().rows(), 2U);
  EXPECT_EQ(table.value().text(0, 1), "fast, \"dry\"");
  // To the bit.
  EXPECT_EQ(table.value().number(0, 3).value(), 1.0 / 3.0);
  EXPECT_EQ(table.value().number(0, 4).value(), -2e-7);
  EXPECT_EQ(table.value().number(1, 2).value(), 0.1 / 3.0);
  EXPECT_EQ(table.value().text(1, 3), "");
  EXPECT_EQ(table.value().text(0, 5), "1");
  EXPECT_EQ(table.value().text(1, 5), "0");
}

TEST_F(SweepRows, EveryJsonLineIsAnObject) {
  std::vector<nlohmann::json> lines;
  const std::string all = text(RowFormat::json_lines);
  for (std::size_t at = 0; at < all.size(); at = all.find('\n', at) + 1)
    lines.push_back(nlohmann::json::parse(all.substr(at, all.find('\n', at) - at)));
  ASSERT_EQ(lines.size(), 3U);
  EXPECT_EQ(lines[0]["options"]["over"][0], "outlet.area=500cm2,333cm2");
  EXPECT_EQ(lines[0]["slice"]["rows"], 2);
  EXPECT_EQ(lines[0]["columns"], (std::vector<std::string>{"row", "point", "outlet.area", "radiator.flow",
                                                           "car.cooling_drag", "converged"}));
  EXPECT_EQ(lines[1]["point"], "fast, \"dry\"");
  EXPECT_EQ(lines[1]["radiator.flow"], 1.0 / 3.0);
  EXPECT_EQ(lines[1]["converged"], true);
  EXPECT_FALSE(lines[1].contains("reason"));
  EXPECT_EQ(lines[2]["row"], 2);
  EXPECT_TRUE(lines[2]["radiator.flow"].is_null());
  EXPECT_EQ(lines[2]["converged"], false);
  EXPECT_EQ(lines[2]["reason"], "the \"reason\"");
}

/// A line that was cut anywhere must not pass for a row.
TEST_F(SweepRows, MarksAreThoseOfWholeLinesAlone) {
  for (const RowFormat format : {RowFormat::csv, RowFormat::json_lines}) {
    const std::string lines = row_lines(plan_, rows_, format);
    const std::size_t first_end = lines.find('\n');
    const std::string first = lines.substr(0, first_end);
    const std::string second = lines.substr(first_end + 1, lines.size() - first_end - 2);
    const auto mark = read_row_mark(first, format);
    ASSERT_TRUE(mark.has_value());
    EXPECT_EQ(mark->row, 1U);
    EXPECT_TRUE(mark->converged);
    const auto other = read_row_mark(second, format);
    ASSERT_TRUE(other.has_value());
    EXPECT_EQ(other->row, 2U);
    EXPECT_FALSE(other->converged);
    EXPECT_FALSE(read_row_mark(first.substr(0, first.size() - 1), format).has_value());
    EXPECT_FALSE(read_row_mark(first.substr(1), format).has_value());
    EXPECT_FALSE(read_row_mark("", format).has_value());
  }
}

TEST_F(SweepRows, SlicesShareTheBlocksOut) {
  const auto plan = studies::SweepPlan::make(
      model_, {.axes = {studies::read_axis(model_, "outlet.area=300cm2:500cm2:1000").value()}});
  ASSERT_TRUE(plan.ok());
  ASSERT_GT(plan.value().blocks(), 7U);
  std::size_t next = 0;
  for (std::size_t index = 1; index <= 7; ++index) {
    const SweepSlice slice{index, 7};
    EXPECT_EQ(slice.first_block(plan.value()), next);
    next = slice.last_block(plan.value());
    EXPECT_GT(next, slice.first_block(plan.value()));
  }
  EXPECT_EQ(next, plan.value().blocks());
}

}  // namespace
}  // namespace corefeed::reports
