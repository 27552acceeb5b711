// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/explain.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <sstream>

namespace corefeed::reports {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

/// Text with every run of blanks and line breaks as one blank, so that wrapping does not matter.
std::string flowing(const std::string& text) {
  std::istringstream stream(text);
  std::string result;
  for (std::string word; stream >> word;) result += (result.empty() ? "" : " ") + word;
  return result;
}

std::string page(const char* kind) { return explain(*losses::find_kind(kind)); }

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

TEST(Explain, SaysEverythingThatTheRowHolds) {
  for (const losses::Kind* kind : losses::kinds()) {
    const std::string text = flowing(explain(*kind));
    for (const std::string_view part : {kind->title, kind->meaning, kind->formula, kind->reference,
                                        kind->reversed, kind->range, kind->source}) {
      EXPECT_TRUE(has(text, flowing(std::string(part)))) << kind->name << ": " << part;
    }
    for (const losses::Key& key : kind->keys) {
      EXPECT_TRUE(has(text, std::string(key.name) + ": " + flowing(std::string(key.meaning))))
          << kind->name << key.name;
      EXPECT_TRUE(has(text, flowing(std::string(key.source)))) << kind->name << key.name;
      for (const std::string_view word : key.choices) EXPECT_TRUE(has(text, word)) << kind->name << key.name;
    }
    for (const losses::Reported& row : kind->reported)
      EXPECT_TRUE(has(text, flowing(std::string(row.meaning))));
  }
}

TEST(Explain, KeepsToAHundredColumns) {
  for (const losses::Kind* kind : losses::kinds()) {
    for (const std::string& line : lines_of(explain(*kind)))
      EXPECT_LE(line.size(), 100u) << kind->name << ": " << line;
  }
}

TEST(Explain, ShowsKeysInTheUnitsOfTheTrade) {
  const auto row = [](const char* kind, std::string_view key) {
    for (const std::string& line : lines_of(page(kind))) {
      if (line.starts_with("  " + std::string(key) + " ")) return flowing(line);
    }
    return std::string("no such key");
  };
  EXPECT_EQ(row("vent", "area"), "area A_v cm2 required above 0 2 %");
  EXPECT_EQ(row("vent", "cp"), "cp Cp here or by point -6 to 1.2 varies");
  EXPECT_EQ(row("vent", "jet_angle"), "jet_angle theta deg 90 deg 0 to 180 deg");
  EXPECT_EQ(row("vent", "discharge_coefficient"), "discharge_coefficient Cd optional over 0 to 1 8 %");
  EXPECT_EQ(row("inlet", "cp"), "cp Cp here or by point -6 to 1.2 0.05");
  EXPECT_EQ(row("duct", "roughness"), "roughness e mm 0.02 mm from 0 50 %");
  EXPECT_EQ(row("bend", "style"), "style smooth a word");
  EXPECT_EQ(row("core", "loop"), "loop optional name of a loop");
}

TEST(Explain, SaysWhichKeysBelongTogetherAndWhenItWarns) {
  EXPECT_TRUE(has(page("vent"), "- exactly one of discharge_coefficient, open_fraction, table\n"));
  EXPECT_TRUE(has(page("vent"), "- blocker.gap needs blocker.perimeter\n"));
  EXPECT_TRUE(has(page("inlet"), "- at most one of lip_loss, lip_radius, lip_projection, lip_cone\n"));
  EXPECT_TRUE(has(page("diffuser"), "- at least one of expansion_loss, length, angle\n"));
  EXPECT_TRUE(has(flowing(page("core")), "- outside -15 m/s to 15 m/s, face_velocity is beyond"));
  EXPECT_TRUE(has(page("vent"), "closure of ours between known limits"));
  EXPECT_TRUE(has(page("duct"), "Band: 3 % of the loss, 1-sigma\n"));
  EXPECT_TRUE(has(page("duct"), "Parts of the loss: friction, entrance and exit\n"));
}

TEST(Explain, ListsEveryKindOnALineOfItsOwn) {
  const std::vector<std::string> lines = lines_of(explain_all());
  ASSERT_EQ(lines.size(), losses::kinds().size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    EXPECT_TRUE(lines[i].starts_with(losses::kinds()[i]->name)) << lines[i];
    EXPECT_TRUE(has(lines[i], losses::kinds()[i]->meaning)) << lines[i];
  }
}

TEST(LawsPage, IsWhatStandsInTheDocs) {
  std::ifstream file(COREFEED_SOURCE_DIR "/docs/laws.md", std::ios::binary);
  const std::string docs{std::istreambuf_iterator<char>(file), {}};
  const std::string page = laws_page();
  if (docs != page) std::ofstream(COREFEED_BINARY_DIR "/laws.md", std::ios::binary) << page;
  EXPECT_TRUE(docs == page) << "the laws have changed: put " COREFEED_BINARY_DIR
                               "/laws.md in the place of docs/laws.md";
}

TEST(LawsPage, HasTablesThatHoldTogether) {
  std::ptrdiff_t columns = 0;
  for (const std::string& line : lines_of(laws_page())) {
    if (!line.starts_with("|")) {
      columns = 0;
      continue;
    }
    std::ptrdiff_t bars = std::count(line.begin(), line.end(), '|');
    for (std::size_t at = line.find("\\|"); at != std::string::npos; at = line.find("\\|", at + 2)) --bars;
    if (columns == 0) columns = bars;
    EXPECT_EQ(bars, columns) << line;
  }
}

}  // namespace
}  // namespace corefeed::reports
