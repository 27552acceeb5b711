// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <array>
#include <regex>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/model/document.hpp"
#include "tests/model/document_verdict.hpp"

/// The grammar of RFC 8259 class by class, each made out of its parts in every combination, with verdict and
/// place worked out by other means than the reader's: a regular expression for numbers, a stack of brackets
/// for structure. document_conformance_test.cpp holds single cases, document_strings_test.cpp what stands in
/// strings.
namespace corefeed::model {
namespace {

using std::string_literals::operator""s;

// RFC 8259 section 6. What is no number is a word and refused where the word begins.
TEST(DocumentClasses, NumbersOfAllParts) {
  const std::regex grammar("-?(0|[1-9][0-9]*)(\\.[0-9]+)?([eE][+-]?[0-9]+)?");
  int accepted = 0;
  int refused = 0;
  for (const std::string sign : {"", "-", "+", "--", "-+"}) {
    for (const std::string whole : {"", "0", "00", "7", "10", "012", "1_000", "x", "0x1", "Inf", "NaN"}) {
      for (const std::string fraction : {"", ".", ".0", ".05", "..5", ".5.", ".x"}) {
        for (const std::string exponent :
             {"", "e", "E", "e1", "E+1", "e-1", "e+", "E-", "e+-1", "eE1", "e1.5", "e0", "E00", "ex"}) {
          const std::string number = sign + whole + fraction + exponent;
          if (number.empty() || number == "e" || number == "E" || number == "ex") continue;
          const bool sound = std::regex_match(number, grammar);
          ++(sound ? accepted : refused);
          EXPECT_EQ(verdict(number), sound ? "accepted" : refused_at(1)) << number;
          EXPECT_EQ(verdict("[1, " + number + "]"), sound ? "accepted" : refused_at(5)) << number;
          EXPECT_EQ(verdict("{\"a\":\n " + number + "\n}"), sound ? "accepted" : refused_at(2, "syntax", 2))
              << number;
        }
      }
    }
  }
  EXPECT_EQ(accepted, 2 * 3 * 3 * 6);  // signs, wholes, fractions and exponents that may stand together
  EXPECT_GT(refused, 4000);
}

TEST(DocumentClasses, EveryByteInsideANumber) {
  for (int byte = 1; byte < 256; ++byte) {
    const std::string text = "[12" + std::string(1, as_char(byte)) + "3]";
    if (std::string_view("0123456789.eE, \t\r\n").find(as_char(byte)) != std::string_view::npos) continue;
    const bool letter =
        byte < 128 &&
        (std::isalnum(byte) != 0 || std::string_view("+-_$").find(as_char(byte)) != std::string_view::npos);
    std::string expected = byte < 128 ? "syntax 1:4" : "invalid_utf8 1:4";
    if (letter) expected = "syntax 1:2";                      // part of the word
    if (byte == ']') expected = "syntax 1:5";                 // the array ends, and 3 follows
    if (byte == '"') expected = refused_at(text.size() + 1);  // a string that does not end
    EXPECT_EQ(verdict(text), expected) << byte;
  }
}

// RFC 8259 sections 2 to 5. All sequences of tokens up to some length: one that can go on is tried with every
// further token, one that cannot is refused at the token that may not stand there, whatever would follow.
constexpr std::string_view tokens = "[]{},:kn";  // k: a string, n: a number
constexpr std::size_t most_tokens = 10;

/// Brackets that are open, and what has stood last.
struct Grammar {
  std::string open;
  char last = 0;
  bool complete = false;

  bool takes(char token) {
    const bool in_object = open.ends_with('{');
    const bool value_may_stand =
        !complete && (last == 0 || last == ':' || (!in_object && (last == '[' || last == ',')));
    bool may = false;
    if (token == '[' || token == '{') {
      may = value_may_stand;
      open += token;
    } else if (token == ']') {
      may = !in_object && !open.empty() && (last == '[' || last == 'v');
    } else if (token == '}') {
      may = in_object && (last == '{' || last == 'v');
    } else if (token == ',') {
      may = !open.empty() && last == 'v';
    } else if (token == ':') {
      may = last == 'k';
    } else {
      const bool key = token == 'k' && in_object && (last == '{' || last == ',');
      may = key || value_may_stand;
      token = key ? 'k' : 'v';
    }
    if (token == ']' || token == '}') {
      if (may) open.pop_back();
      token = 'v';
    }
    last = token;
    complete = may && open.empty() && token == 'v';
    return may;
  }
};

/// Text of a sequence with each second token on a line of its own, and where a token that follows would
/// stand.
struct Written {
  std::string text;
  std::size_t line = 1;
  std::size_t column = 1;

  void add(char token, std::size_t number) {
    const std::string name = std::to_string(number);
    const std::string word = token == 'k' ? "\"" + name + "\"" : token == 'n' ? name : std::string(1, token);
    text += word + (number % 2 == 0 ? " " : "\n");
    column = number % 2 == 0 ? column + word.size() + 1 : 1;
    line += number % 2;
  }
};

void try_all(const Grammar& grammar, const Written& before, std::size_t length, int& tried) {
  for (const char token : tokens) {
    Grammar with = grammar;
    Written written = before;
    const bool may = with.takes(token);
    written.add(token, length);
    ++tried;
    if (!may) {
      ASSERT_EQ(verdict(written.text), refused_at(before.column, "syntax", before.line)) << written.text;
      continue;
    }
    ASSERT_EQ(verdict(written.text),
              with.complete ? "accepted" : refused_at(written.column, "syntax", written.line))
        << written.text;
    if (length + 1 < most_tokens) try_all(with, written, length + 1, tried);
    if (::testing::Test::HasFatalFailure()) return;
  }
}

TEST(DocumentClasses, EverySequenceOfTokens) {
  int tried = 0;
  try_all({}, {}, 0, tried);
  EXPECT_GT(tried, 30'000);
}

// RFC 8259 section 2: four bytes are blank; every other is a token, the first half of a string, or nothing.
TEST(DocumentClasses, EveryByteBetweenTokens) {
  const std::string sound = "[1,{k:2}]";
  for (std::size_t place = 0; place <= sound.size(); ++place) {
    for (int byte = 1; byte < 256; ++byte) {
      std::string with = sound;
      with.insert(place, 1, as_char(byte));
      std::string text;
      for (std::size_t i = 0; i < with.size(); ++i)
        text += i != place && with[i] == 'k' ? "\"a\" " : with.substr(i, 1) + " ";
      if (byte == ' ' || byte == '\t' || byte == '\r' || byte == '\n') {
        EXPECT_EQ(verdict(text), "accepted") << text;
        continue;
      }
      if (byte == '<' && place == 0) {
        EXPECT_EQ(verdict(text), "wrong_format 0:0");
        continue;
      }
      if (byte == '"') {
        EXPECT_NE(verdict(text), "accepted") << text;  // takes what follows into a string
        continue;
      }
      Grammar grammar;
      std::size_t column = 1;
      bool goes_on = true;
      for (std::size_t i = 0; i < with.size() && goes_on; ++i) {
        const bool digit = with[i] >= '0' && with[i] <= '9';
        goes_on =
            (i != place || digit || std::string_view("[]{},:").find(with[i]) != std::string_view::npos) &&
            grammar.takes(digit ? 'n' : with[i]);
        if (goes_on) column += i != place && with[i] == 'k' ? 4u : 2u;
      }
      EXPECT_EQ(verdict(text), refused_at(column, byte < 0x80 ? "syntax" : "invalid_utf8")) << text;
    }
  }
}

TEST(DocumentClasses, BlanksOfUnicodeAreNone) {
  for (const unsigned point : {0x85u, 0xA0u, 0x1680u, 0x180Eu, 0x2000u, 0x2009u, 0x200Au, 0x200Bu, 0x2028u,
                               0x2029u, 0x202Fu, 0x205Fu, 0x2060u, 0x3000u, 0xFEFFu}) {
    const std::string blank = utf8(point);
    EXPECT_EQ(verdict("[1," + blank + "2]"), "syntax 1:4") << point;
    EXPECT_EQ(verdict("[1]" + blank), "syntax 1:4") << point;
    EXPECT_EQ(verdict(blank + "[1]"), point == 0xFEFF ? "accepted" : "syntax 1:1") << point;
    EXPECT_EQ(verdict(blank + blank + "[1]"), "syntax 1:1") << point;
  }
}

// What the RFC leaves open, and what other readers take.

TEST(DocumentClasses, DepthIsBounded) {
  std::string objects;
  for (int i = 0; i < 64; ++i) objects += "{\"a\":";
  EXPECT_EQ(verdict(std::string(64, '[') + std::string(64, ']')), "accepted");
  EXPECT_EQ(verdict(objects + "1" + std::string(64, '}')), "accepted");
  EXPECT_EQ(verdict(objects + "{}" + std::string(64, '}')), "too_deep 1:321");
  for (const std::size_t depth : {65u, 500u, 100'000u, 1'000'000u}) {
    EXPECT_EQ(verdict(std::string(depth, '[')), "too_deep 1:65") << depth;
    EXPECT_EQ(verdict(std::string(depth, '[') + std::string(depth, ']')), "too_deep 1:65") << depth;
    std::string mixed;
    for (std::size_t i = 0; i < depth; i += 2) mixed += "[{\"\":\n";
    EXPECT_EQ(verdict(mixed), "too_deep 33:1") << depth;
  }
}

TEST(DocumentClasses, LongNumbersAreRefusedAtTheirBegin) {
  const std::string digits(1'000'000, '9');
  EXPECT_EQ(verdict("[1,\n " + digits + "]"), "text_too_long 2:2");
  EXPECT_EQ(verdict("[-" + digits + "]"), "text_too_long 1:2");
  EXPECT_EQ(verdict("[0." + digits + "]"), "text_too_long 1:2");
  EXPECT_EQ(verdict("[1e" + digits + "]"), "text_too_long 1:2");
  EXPECT_EQ(verdict("[0" + digits + "]"), "syntax 1:2");
}

TEST(DocumentClasses, NumbersBeyondADoubleAreRefusedAtTheirBegin) {
  for (const std::string number :
       {"1e309", "-1e309", "1.5e+9999", "0.4e00669999999999999999", "-123123e100000"}) {
    EXPECT_EQ(verdict("{\"a\": [0,\n " + number + "]}"), "number_too_large 2:2") << number;
  }
  EXPECT_EQ(verdict("[9007199254740992]"), "accepted");
  EXPECT_EQ(verdict("[ 9007199254740993]"), "integer_too_large 1:3");
  EXPECT_EQ(verdict("[-100000000000000000000]"), "integer_too_large 1:2");
}

TEST(DocumentClasses, EqualKeysAreRefusedAtTheSecond) {
  EXPECT_EQ(verdict("{\"a\": 1, \"b\": 2,\n \"a\": 1}"), "duplicate_key 2:2");
  EXPECT_EQ(verdict("{\"\u00E9\": 1, \"\\u00e9\": 1}"), "duplicate_key 1:10");
  EXPECT_EQ(verdict("[{\"\": {\"\": 0},\n\"\": 1}]"), "duplicate_key 2:1");
  EXPECT_EQ(verdict("{\"\U0001D11E\": 1, \"\\uD834\\uDD1E\": 1}"), "duplicate_key 1:10");
  EXPECT_EQ(verdict("{\"a\": 1, \"a \": 1, \"A\": 1, \"a\\u0000\": 1}"), "accepted");
}

TEST(DocumentClasses, ZeroBytesAreRefusedWherever) {
  const std::string text = "{\"a\":\n [1, \"b\", true]} ";
  for (std::size_t place = 0; place <= text.size(); ++place) {
    std::string with = text;
    with.insert(place, 1, '\0');
    const bool second_line = place > 5;
    EXPECT_EQ(verdict(with),
              refused_at(second_line ? place - 5 : place + 1, "zero_byte", second_line ? 2 : 1))
        << place;
  }
  EXPECT_EQ(verdict("[1]\0garbage"s), "zero_byte 1:4");
}

TEST(DocumentClasses, OtherEncodingsAreNamed) {
  const std::string text = "{\"a\": 1}";
  std::string little;
  std::string big;
  std::string little_32;
  std::string big_32;
  for (const char c : text) {
    little += {c, '\0'};
    big += {'\0', c};
    little_32 += {c, '\0', '\0', '\0'};
    big_32 += {'\0', '\0', '\0', c};
  }
  for (const std::string& wide : {little, big, "\xFF\xFE" + little, "\xFE\xFF" + big,
                                  "\xFF\xFE\0\0"s + little_32, "\0\0\xFE\xFF"s + big_32}) {
    EXPECT_EQ(verdict(wide), "wrong_format 0:0");
    EXPECT_NE(describe(parse_document(wide, "t").issues()[0]).find(" text; expected JSON in UTF-8"),
              std::string::npos);
  }
  // Without a mark, UTF-32 is no text at all.
  EXPECT_EQ(verdict(little_32), "zero_byte 1:2");
  EXPECT_EQ(verdict(big_32), "zero_byte 1:1");
  EXPECT_EQ(verdict("[\"\xE9t\xE9\"]"), "invalid_utf8 1:3");  // Latin-1
}

TEST(DocumentClasses, AByteOrderMarkCountsForNoColumn) {
  EXPECT_EQ(verdict("\xEF\xBB\xBF[1, x]"), "syntax 1:5");
  EXPECT_EQ(verdict("\xEF\xBB\xBF"), "syntax 1:1");
  EXPECT_EQ(verdict("\xEF\xBB\xBF\n{\"a\": 1, \"a\": 2}"), "duplicate_key 2:10");
  EXPECT_EQ(verdict("\xEF\xBB[1]"), "invalid_utf8 1:1");
  EXPECT_EQ(verdict("\xEF[1]"), "invalid_utf8 1:1");
}

TEST(DocumentClasses, ManyKeysAreRead) {
  std::string text = "{\"k0\": 0";
  for (int i = 1; i < 100'000; ++i) text += ",\n\"k" + std::to_string(i) + "\": 0";
  EXPECT_EQ(verdict(text + "}"), "accepted");
  EXPECT_EQ(verdict(text + ",\n\"k99999\": 0}"), "duplicate_key 100001:1");
}

}  // namespace
}  // namespace corefeed::model
