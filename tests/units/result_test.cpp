// SPDX-License-Identifier: Apache-2.0
#include "corefeed/result.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "corefeed/printable.hpp"

namespace corefeed {
namespace {

Issue issue_with(Status status, Severity severity = Severity::error) {
  Issue issue;
  issue.status = status;
  issue.severity = severity;
  return issue;
}

TEST(Result, HoldsAValueOrIssues) {
  const Result<int> good = 7;
  ASSERT_TRUE(good.ok());
  EXPECT_EQ(good.value(), 7);
  const Result<int> bad = issue_with(Status::usage);
  ASSERT_FALSE(bad);
  ASSERT_EQ(bad.issues().size(), 1u);
  EXPECT_EQ(bad.issues()[0].status, Status::usage);
}

TEST(Quoted, KeepsPrintableTextOfAnyScript) {
  EXPECT_EQ(quoted("420 cm2"), "\"420 cm2\"");
  EXPECT_EQ(quoted("K\u00FChler \u51B7\u5374 \U0001F3CE"), "\"K\u00FChler \u51B7\u5374 \U0001F3CE\"");
  EXPECT_EQ(quoted(""), "\"\"");
}

TEST(Quoted, EscapesWhatEndsTheQuotationOrSteersATerminal) {
  EXPECT_EQ(quoted("a\"b\\c"), R"("a\"b\\c")");
  EXPECT_EQ(quoted("a\nb\tc\rd"), R"("a\nb\tc\rd")");
  EXPECT_EQ(quoted("\x1b[31mred"), R"("\x1b[31mred")");
  EXPECT_EQ(quoted(std::string_view("\0\x7f", 2)), R"("\x00\x7f")");
  EXPECT_EQ(quoted("\u009B"), R"("\u{009b}")");
  EXPECT_EQ(quoted("5\u00A0m"), R"("5\u{00a0}m")");
  EXPECT_EQ(quoted("\u202Eevil\u2066\u200B\uFEFF"), R"("\u{202e}evil\u{2066}\u{200b}\u{feff}")");
}

TEST(Quoted, EscapesBytesThatAreNoUtf8) {
  EXPECT_EQ(quoted("\xff"), R"("\xff")");
  EXPECT_EQ(quoted("\xc3"), R"("\xc3")");                          // cut
  EXPECT_EQ(quoted("\xc0\xaf"), R"("\xc0\xaf")");                  // over-long
  EXPECT_EQ(quoted("\xe0\x80\xaf"), R"("\xe0\x80\xaf")");          // over-long
  EXPECT_EQ(quoted("\xed\xa0\x80"), R"("\xed\xa0\x80")");          // surrogate
  EXPECT_EQ(quoted("\xf4\x90\x80\x80"), R"("\xf4\x90\x80\x80")");  // beyond U+10FFFF
  EXPECT_EQ(quoted("\xb0 C"), R"("\xb0 C")");                      // a degree sign in Latin-1
}

TEST(Quoted, CutsAfterEightyCharactersNotBytes) {
  const std::string eighty(80, 'x');
  EXPECT_EQ(quoted(eighty), '"' + eighty + '"');
  EXPECT_EQ(quoted(eighty + "y"), '"' + eighty + "\"...");
  std::string wide;
  for (int i = 0; i < 80; ++i) wide += "\u00FC";
  EXPECT_EQ(quoted(wide), '"' + wide + '"');
  EXPECT_EQ(quoted(wide + "\u00FC"), '"' + wide + "\"...");
}

TEST(Quoted, AnyTwoBytesGivePrintableText) {
  for (int first = 0; first < 256; ++first) {
    for (int second = 0; second < 256; ++second) {
      const std::string bytes{static_cast<char>(first), static_cast<char>(second)};
      const std::string text = quoted(bytes);
      const bool control = std::any_of(text.begin(), text.end(), [](char c) {
        return static_cast<unsigned char>(c) < 0x20 || c == '\x7f';
      });
      ASSERT_FALSE(control) << first << ' ' << second;
      ASSERT_GE(text.size(), 3u);
    }
  }
}

TEST(Describe, LeavesOutWhatIsUnknown) {
  Issue issue;
  issue.code = "unknown_key";
  issue.text = "\"aera\" is no key of an inlet; did you mean \"area\"?";
  EXPECT_EQ(describe(issue), "unknown_key: " + issue.text);
  issue.place.file = "car.json";
  EXPECT_EQ(describe(issue), "car.json: unknown_key: " + issue.text);
  issue.place.column = 9;  // a column without its line says nothing
  EXPECT_EQ(describe(issue), "car.json: unknown_key: " + issue.text);
  issue.place.line = 12;
  EXPECT_EQ(describe(issue), "car.json:12:9: unknown_key: " + issue.text);
  issue.place.column = 0;
  issue.place.pointer = "/air/elements/nose/aera";
  EXPECT_EQ(describe(issue), "car.json:12: /air/elements/nose/aera: unknown_key: " + issue.text);
  issue.place.file.clear();
  EXPECT_EQ(describe(issue), "line 12: /air/elements/nose/aera: unknown_key: " + issue.text);
}

TEST(Describe, EscapesNamesOfFilesAndKeys) {
  Issue issue;
  issue.text = "text";
  issue.place.file = "a\x1b[2J.json";
  issue.place.pointer = "/k\n" + std::string(1000, 'x');
  const std::string text = describe(issue);
  EXPECT_EQ(text.substr(0, 16), R"(a\x1b[2J.json: /)");
  EXPECT_EQ(text.find('\n'), std::string::npos);
  EXPECT_LT(text.size(), 500u);
}

/// Names of parts and points get into texts from files that others made.
TEST(Describe, EscapesTheTextAndKeepsItShort) {
  Issue issue;
  issue.text = "the part a\x1b[2J\u202Eb\nc has \"no\" opening";
  EXPECT_EQ(describe(issue), R"(the part a\x1b[2J\u{202e}b\nc has "no" opening)");
  for (const char* character : {"x", "\x1b", "\u202E", "\U000E0001", "\xFF"}) {
    issue.text.clear();
    for (int i = 0; i < 100'000; ++i) issue.text += character;
    EXPECT_LE(describe(issue).size(), 64u * 1024u);
    EXPECT_TRUE(describe(issue).ends_with("..."));
  }
}

TEST(Printable, KeepsLinesAndTabsOfAPage) {
  EXPECT_EQ(printable("a\tb\n420 cm\u00B2 \u00B1 5\n"), "a\tb\n420 cm\u00B2 \u00B1 5\n");
  EXPECT_EQ(printable("a\x1b[2Jb\rc\xFF"), R"(a\x1b[2Jb\rc\xff)");
}

TEST(WorstStatus, FollowsTheOrderOfSeverity) {
  const std::vector<Status> order{
      Status::internal, Status::output,      Status::limit, Status::geometry,
      Status::input,    Status::no_solution, Status::usage, Status::requirement_not_met};
  std::vector<Issue> issues;
  for (auto status = order.rbegin(); status != order.rend(); ++status) {
    issues.push_back(issue_with(*status));
    EXPECT_EQ(worst_status(issues), *status);
  }
  std::reverse(issues.begin(), issues.end());
  EXPECT_EQ(worst_status(issues), Status::internal);
}

TEST(WorstStatus, CountsErrorsAlone) {
  EXPECT_EQ(worst_status({}), Status::done);
  EXPECT_EQ(
      worst_status({issue_with(Status::input, Severity::warning), issue_with(Status::limit, Severity::note)}),
      Status::done);
}

}  // namespace
}  // namespace corefeed
