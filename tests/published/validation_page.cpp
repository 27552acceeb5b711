// SPDX-License-Identifier: Apache-2.0
#include "tests/published/validation_page.hpp"

#include <fmt/core.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <utility>

namespace corefeed::published {
namespace {

/// A value half way between two printed digits may fall to either side by its last bit; this moves it off.
double settled(double value) { return value * (1.0 + 1e-9); }

std::string five_digits(double value) {
  // What is zero but for rounding is printed as zero.
  return std::abs(value) < 1e-12 ? "0" : fmt::format("{:.5g}", settled(value));
}

/// Percent of the printed value; of a printed zero the difference itself.
std::string deviation(const Value& value) {
  const double difference = value.ours - value.printed;
  if (value.printed == 0.0) {
    return std::abs(difference) < 1e-12 ? "0" : fmt::format("{:+.2g} (difference)", settled(difference));
  }
  const double percent = 100.0 * difference / std::abs(value.printed);
  return std::abs(percent) < 1e-4 ? "below 0.0001" : fmt::format("{:+.2g}", settled(percent));
}

std::string tolerance_text(const Tolerance& tolerance) {
  const std::string share = fmt::format("{:.4g} %", 100.0 * tolerance.relative);
  const std::string number = fmt::format("{:.4g}", tolerance.absolute);
  if (tolerance.absolute == 0.0) return share;
  return tolerance.relative == 0.0 ? number : share + " or " + number;
}

std::string_view word(Result result) {
  static constexpr std::array<std::string_view, 3> words{"met", "compared", "**not met**"};
  return words[static_cast<std::size_t>(result)];
}

/// A bar would end the table's cell.
std::string cell(std::string_view text) {
  std::string escaped;
  for (const char letter : text) {
    if (letter == '|') escaped += '\\';
    escaped += letter;
  }
  return escaped;
}

std::vector<Row> of_topic(const std::vector<Row>& rows, const Topic& topic) {
  std::vector<Row> own;
  std::copy_if(rows.begin(), rows.end(), std::back_inserter(own),
               [&](const Row& row) { return row.id.starts_with(topic.prefix); });
  return own;
}

std::string summary_line(std::string_view title, const std::vector<Row>& rows) {
  const auto count = [&](Result result) {
    return std::count_if(rows.begin(), rows.end(), [&](const Row& row) { return row.result() == result; });
  };
  const auto met = count(Result::met);
  const auto counting = met + count(Result::not_met);
  const double share =
      counting == 0 ? 100.0 : 100.0 * static_cast<double>(met) / static_cast<double>(counting);
  return fmt::format("| {} | {} | {} | {} | {} | {:.1f} % |\n", title, rows.size(), met,
                     count(Result::compared), count(Result::not_met), settled(share));
}

std::string summary(const std::vector<Row>& rows) {
  std::string text =
      "| topic | rows | met | compared with another author | not met | share met of the rows that count |\n"
      "|---|---|---|---|---|---|\n";
  std::vector<Row> laws;
  for (const Topic& topic : topics()) {
    const std::vector<Row> own = of_topic(rows, topic);
    if (topic.last != 0) laws.insert(laws.end(), own.begin(), own.end());
    text += summary_line(topic.title, own);
  }
  text += summary_line("friction, minor losses and internal-flow aerodynamics", laws);
  return text + summary_line("all", rows);
}

std::string table(const std::vector<Row>& rows) {
  std::string text =
      "| id | what | source | quantity | printed | ours | deviation, % | tolerance | result |\n"
      "|---|---|---|---|---|---|---|---|---|\n";
  for (const Row& row : rows) {
    for (const Value& value : row.values) {
      text += fmt::format("| {} | {} | {} | {} | {} | {} | {} | {} | {} |\n", row.id, cell(row.what),
                          cell(row.source), cell(value.quantity), five_digits(value.printed),
                          five_digits(value.ours), deviation(value), tolerance_text(value.tolerance),
                          word(value.result));
    }
  }
  return text;
}

/// The values of this result that share a remark, "S-ML-38 K 0.1617 for 0.072555", and the remark.
std::string remarks(const std::vector<Row>& rows, Result result) {
  std::vector<std::pair<std::string, std::string>> said;  // remark, values
  for (const Row& row : rows) {
    for (const Value& value : row.values) {
      if (value.result != result) continue;
      const auto same = [&](const auto& one) { return one.first == value.remark; };
      auto place = std::find_if(said.begin(), said.end(), same);
      if (place == said.end()) place = said.insert(place, {value.remark, ""});
      place->second += fmt::format("{}{} {} {} for {}", place->second.empty() ? "" : "; ", row.id,
                                   value.quantity, five_digits(value.ours), five_digits(value.printed));
    }
  }
  std::string text;
  for (const auto& [remark, values] : said) text += fmt::format("- {}: {}\n", values, remark);
  return text;
}

constexpr std::string_view introduction =
    "# Validation\n\n"
    "What books, papers and measurements print, beside what this library gives for the same numbers. The "
    "tests\n"
    "under `tests/published` compute every line and write this page; a test fails when the page differs "
    "from\n"
    "what they write.\n\n"
    "```\n"
    "COREFEED_VALIDATION=docs/validation.md build/release/bin/published_tests\n"
    "```\n\n"
    "A row is met when each of its values lies within the tolerance stated with it, the wider of two where "
    "two\n"
    "stand there. A row is compared where its source states another author's equation than the one the "
    "library\n"
    "uses; the tolerance is then a bound of our own, and the row does not count. Printed values are rounded "
    "to\n"
    "five digits here, deviations are of the full numbers. Sources marked \"memory\" were recalled and not "
    "read\n"
    "again. What else is proved, and by which test: [verification.md](verification.md).\n\n";

std::string content_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// After all tests of one run, where COREFEED_VALIDATION names the file for the page.
class Page : public ::testing::Environment {
 public:
  void TearDown() override {
    const char* path = std::getenv("COREFEED_VALIDATION");
    if (path == nullptr) return;
    const std::vector<Row> rows = recorded();
    const std::string page = validation_page(rows);
    std::ofstream(path, std::ios::binary) << page;
    for (const std::string& id : missing_ids(rows)) ADD_FAILURE() << "no test gives a value of " << id;
    EXPECT_TRUE(content_of(path) == page) << "cannot write " << path;
    EXPECT_TRUE(content_of(COREFEED_SOURCE_DIR "/docs/validation.md") == page)
        << "the checks have changed: put " << path << " in the place of docs/validation.md";
  }
};

// GoogleTest owns the environment.
[[maybe_unused]] ::testing::Environment* const page_writer = ::testing::AddGlobalTestEnvironment(new Page);

}  // namespace

const std::vector<Topic>& topics() {
  static const std::vector<Topic> all{
      {"S-FR-", "Friction", 59}, {"S-ML-", "Minor losses", 111}, {"S-AE-", "Internal-flow aerodynamics", 13},
      {"S-NW-", "Networks", 0},  {"S-FN-", "Fans and pumps", 0}, {"S-HX-", "Heat exchangers", 0},
      {"S-FL-", "Fluids", 0}};
  return all;
}

std::string validation_page(const std::vector<Row>& rows) {
  std::string text(introduction);
  text += "## Summary\n\n" + summary(rows);
  for (const Topic& topic : topics()) {
    const std::vector<Row> own = of_topic(rows, topic);
    if (!own.empty()) text += fmt::format("\n## {}\n\n{}", topic.title, table(own));
  }
  text += "\n## Compared with another author\n\nOurs for theirs, and what lies between.\n\n" +
          remarks(rows, Result::compared);
  text +=
      "\n## Deliberately not met\n\nOurs for the printed value, and why the library stays where it is.\n\n" +
      remarks(rows, Result::not_met);
  return text;
}

std::vector<std::string> missing_ids(const std::vector<Row>& rows) {
  std::vector<std::string> missing;
  for (const Topic& topic : topics()) {
    for (int number = 1; number <= topic.last; ++number) {
      const std::string id = fmt::format("{}{:02}", topic.prefix, number);
      const bool there = std::any_of(rows.begin(), rows.end(), [&](const Row& row) { return row.id == id; });
      if (!there) missing.push_back(id);
    }
  }
  return missing;
}

}  // namespace corefeed::published
