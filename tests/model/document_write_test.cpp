// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <sstream>
#include <string>

#include "corefeed/model/document.hpp"

namespace corefeed::model {
namespace {

Value read(std::string_view text) {
  auto document = parse_document(text, "t");
  EXPECT_TRUE(document.ok()) << text << (document.ok() ? "" : describe(document.issues()[0]));
  return document.ok() ? std::move(document).value().root : Value();
}

/// Equal in everything but the lines.
bool same(const Value& a, const Value& b) {
  const auto same_member = [](const auto& x, const auto& y) {
    return x.first == y.first && same(x.second, y.second);
  };
  return a.kind == b.kind && a.boolean == b.boolean && a.text == b.text &&
         std::bit_cast<std::uint64_t>(a.number) == std::bit_cast<std::uint64_t>(b.number) &&
         std::ranges::equal(a.items, b.items, same) && std::ranges::equal(a.members, b.members, same_member);
}

TEST(WriteDocument, LaysOutShortContainersOnOneLine) {
  EXPECT_EQ(write_document(read(R"({"b":{"y":1.50,"x":"2 m"},"a":[1,2,[3]],"e":{},"f":[],"n":null})")),
            "{\n"
            "  \"b\": {\"y\": 1.50, \"x\": \"2 m\"},\n"
            "  \"a\": [\n"
            "    1,\n"
            "    2,\n"
            "    [3]\n"
            "  ],\n"
            "  \"e\": {},\n"
            "  \"f\": [],\n"
            "  \"n\": null\n"
            "}\n");
}

TEST(WriteDocument, BreaksLinesBeforeColumn100) {
  for (std::size_t length = 80; length < 110; ++length) {
    const Value tree =
        make_object({{"k", make_array({make_text(std::string(length, 'x')), make_boolean(true)})},
                     {"z", make_array({make_object(), make_array()})}});
    std::istringstream lines(write_document(tree));
    const bool fits = std::string("  \"k\": [\"\", true],").size() + length <= 100;
    std::string line;
    std::getline(lines, line);
    std::getline(lines, line);
    EXPECT_EQ(line.ends_with("],"), fits) << length;
    EXPECT_LE(line.size(), 100u);
  }
}

TEST(WriteDocument, EscapesOnlyWhatMustBe) {
  EXPECT_EQ(write_document(make_text("a\"\\/\n\t\x01\u00e9\u20ac")),
            "\"a\\\"\\\\/\\n\\t\\u0001\u00e9\u20ac\"\n");
  EXPECT_EQ(write_document(make_text("a\xFF")), "\"a\uFFFD\"\n");  // never a file that is not UTF-8
}

TEST(WriteDocument, KeepsNumbersAsWritten) {
  for (const char* text : {"1.50", "-0", "1E+05", "0.000", "9007199254740992", "1e-400"}) {
    EXPECT_EQ(write_document(read(text)), std::string(text) + "\n");
  }
}

TEST(WriteDocument, WritesDoublesThatReadBackToTheSameBits) {
  std::mt19937_64 random(7);
  using Limits = std::numeric_limits<double>;
  std::vector<double> numbers{0.0,    -0.0,       0.1,     1.0,           1e20,         123456789.0,
                              0x1p53, 0x1p53 + 2, -0x1p53, 1e22,          1e16,         1e15,
                              5e-324, 1e300,      1.0 / 3, Limits::max(), Limits::min()};
  while (numbers.size() < 20'000) {
    const auto number = std::bit_cast<double>(random());
    if (std::isfinite(number)) numbers.push_back(number);
  }
  // Whole numbers around and beyond 2^53 tempt a writer into long rows of digits.
  while (numbers.size() < 30'000)
    numbers.push_back(std::ldexp(static_cast<double>(random() >> 11), int(random() % 24)));
  for (const double number : numbers) {
    const std::string text = write_document(make_number(number));
    const auto document = parse_document(text, "t");
    ASSERT_TRUE(document.ok()) << text;
    ASSERT_EQ(std::bit_cast<std::uint64_t>(document.value().root.number),
              std::bit_cast<std::uint64_t>(number))
        << text;
  }
}

Value random_tree(std::mt19937& random, int depth) {
  const auto word = [&] {
    std::string text;
    constexpr std::string_view letters[] = {"a",  "Z",    "/",      "~",          "\"", "\\",
                                            "\n", "\x01", "\u00e9", "\U0001d11e", " "};
    for (auto length = random() % 12; length > 0; --length) text += letters[random() % std::size(letters)];
    return text;
  };
  switch (random() % (depth > 0 ? 6 : 4)) {
    case 0:
      return {};
    case 1:
      return make_boolean(random() % 2 == 0);
    case 2:
      return make_number(static_cast<double>(random()) / 1024.0);
    case 3:
      return make_text(word());
    case 4: {
      Value array = make_array();
      for (auto count = random() % 6; count > 0; --count)
        array.items.push_back(random_tree(random, depth - 1));
      return array;
    }
    default: {
      Value object = make_object();
      for (auto count = random() % 6; count > 0; --count) {
        object.members.emplace_back(word() + std::to_string(count), random_tree(random, depth - 1));
      }
      return object;
    }
  }
}

TEST(WriteDocument, ReadsBackToTheSameTree) {
  std::mt19937 random(11);
  for (int i = 0; i < 2000; ++i) {
    const Value tree = random_tree(random, 5);
    const std::string text = write_document(tree);
    ASSERT_TRUE(same(read(text), tree)) << text;
    ASSERT_EQ(write_document(read(text)), text);
  }
}

TEST(Pointer, EscapesAndFollows) {
  EXPECT_EQ(pointer_join("", "a/b~c"), "/a~1b~0c");
  EXPECT_EQ(pointer_join("/a", ""), "/a/");
  // The examples of RFC 6901, section 5.
  const Value root = read(R"({"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5,
                              "k\"l": 6, " ": 7, "m~n": 8})");
  EXPECT_EQ(find_value(root, ""), &root);
  EXPECT_EQ(find_value(root, "/foo")->items.size(), 2u);
  EXPECT_EQ(find_value(root, "/foo/0")->text, "bar");
  EXPECT_EQ(find_value(root, "/")->number, 0.0);
  EXPECT_EQ(find_value(root, "/a~1b")->number, 1.0);
  EXPECT_EQ(find_value(root, "/c%d")->number, 2.0);
  EXPECT_EQ(find_value(root, "/e^f")->number, 3.0);
  EXPECT_EQ(find_value(root, "/g|h")->number, 4.0);
  EXPECT_EQ(find_value(root, "/i\\j")->number, 5.0);
  EXPECT_EQ(find_value(root, "/k\"l")->number, 6.0);
  EXPECT_EQ(find_value(root, "/ ")->number, 7.0);
  EXPECT_EQ(find_value(root, "/m~0n")->number, 8.0);
  for (const char* nowhere :
       {"foo", "/foo/2", "/foo/-", "/foo/00", "/foo/+1", "/foo/0/x", "/bar", "/m~n", "/m~", "//"}) {
    EXPECT_EQ(find_value(root, nowhere), nullptr) << nowhere;
  }
}

TEST(Pointer, FollowsWhatItJoined) {
  const Value root = make_object({{"~1", make_number(1)}, {"/~0", make_number(2)}, {"", make_number(3)}});
  for (const auto& [key, value] : root.members)
    EXPECT_EQ(find_value(root, pointer_join("", key)), &value) << key;
}

TEST(Pointer, GivesThePlaceOfTheNearestValueAbove) {
  const auto document = parse_document("{\n\"a\":\n{\"b\":\n1}}", "car.json");
  ASSERT_TRUE(document.ok());
  EXPECT_EQ(document.value().place("/a/b").line, 4);
  EXPECT_EQ(document.value().place("/a/missing/deeper").line, 3);
  EXPECT_EQ(document.value().place("/a/missing/deeper").pointer, "/a/missing/deeper");
  EXPECT_EQ(document.value().place("").line, 1);
  EXPECT_EQ(document.value().place("/a").file, "car.json");
}

TEST(SetValue, ReplacesAddsAndAppends) {
  Value root = read(R"({"a": {"b": [1, 2]}, "x/y": 0})");
  EXPECT_TRUE(set_value(root, "/a/b/1", make_number(7)));
  EXPECT_TRUE(set_value(root, "/a/b/-", make_number(8)));
  EXPECT_TRUE(set_value(root, "/a/c", make_text("new")));
  EXPECT_TRUE(set_value(root, "/x~1y", make_boolean(true)));
  EXPECT_TRUE(same(root, read(R"({"a": {"b": [1, 7, 8], "c": "new"}, "x/y": true})")));
  EXPECT_TRUE(set_value(root, "", make_number(1)));
  EXPECT_TRUE(same(root, read("1")));
}

TEST(SetValue, ChangesNothingWhereThePointerLeadsNowhere) {
  const Value before = read(R"({"a": {"b": [1, 2]}})");
  Value root = before;
  for (const char* nowhere : {"/x/y", "/a/b/2", "/a/b/x", "/a/b/0/c", "a", "/a/~2"}) {
    EXPECT_FALSE(set_value(root, nowhere, make_number(1))) << nowhere;
    EXPECT_TRUE(same(root, before)) << nowhere;
  }
}

/// The test cases of RFC 7396, appendix A.
TEST(MergePatch, GivesTheResultsOfTheStandard) {
  constexpr const char* cases[][3] = {
      {R"({"a":"b"})", R"({"a":"c"})", R"({"a":"c"})"},
      {R"({"a":"b"})", R"({"b":"c"})", R"({"a":"b","b":"c"})"},
      {R"({"a":"b"})", R"({"a":null})", R"({})"},
      {R"({"a":"b","b":"c"})", R"({"a":null})", R"({"b":"c"})"},
      {R"({"a":["b"]})", R"({"a":"c"})", R"({"a":"c"})"},
      {R"({"a":"c"})", R"({"a":["b"]})", R"({"a":["b"]})"},
      {R"({"a":{"b":"c"}})", R"({"a":{"b":"d","c":null}})", R"({"a":{"b":"d"}})"},
      {R"({"a":[{"b":"c"}]})", R"({"a":[1]})", R"({"a":[1]})"},
      {R"(["a","b"])", R"(["c","d"])", R"(["c","d"])"},
      {R"({"a":"b"})", R"(["c"])", R"(["c"])"},
      {R"({"a":"foo"})", R"(null)", R"(null)"},
      {R"({"a":"foo"})", R"("bar")", R"("bar")"},
      {R"({"e":null})", R"({"a":1})", R"({"e":null,"a":1})"},
      {R"([1,2])", R"({"a":"b","c":null})", R"({"a":"b"})"},
      {R"({})", R"({"a":{"bb":{"ccc":null}}})", R"({"a":{"bb":{}}})"}};
  for (const auto& [base, patch, result] : cases) {
    EXPECT_TRUE(same(merge_patch(read(base), read(patch)), read(result))) << base << " + " << patch;
  }
}

TEST(MergePatch, KeepsOrderAndLines) {
  const Value base = read("{\n\"a\": 1,\n\"b\": 2,\n\"c\": 3}");
  const Value merged = merge_patch(base, read("{\"d\": 4, \"a\": null,\n\n\n\n\n\"b\": 9}"));
  ASSERT_EQ(merged.members.size(), 3u);
  EXPECT_EQ(merged.members[0].first, "b");
  EXPECT_EQ(merged.members[0].second.line, 6);
  EXPECT_EQ(merged.members[1].first, "c");
  EXPECT_EQ(merged.members[1].second.line, 4);
  EXPECT_EQ(merged.members[2].first, "d");
}

}  // namespace
}  // namespace corefeed::model
