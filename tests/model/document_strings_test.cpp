// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <array>
#include <cctype>
#include <string>
#include <string_view>

#include "tests/model/document_verdict.hpp"

/// Strings of RFC 8259 (sections 7 and 8), byte by byte and escape by escape, with the verdicts of the syntax
/// of UTF-8 in RFC 3629.
namespace corefeed::model {
namespace {

// RFC 8259 section 7: what may stand in a string as it is.
TEST(DocumentStrings, EveryByteInsideAString) {
  for (int byte = 0; byte < 256; ++byte) {
    const std::string text = "[\"a" + std::string(1, as_char(byte)) + "z\"]";
    if (byte == 0) {
      EXPECT_EQ(verdict(text), "zero_byte 1:4");
    } else if (byte == '"') {
      EXPECT_EQ(verdict(text), "syntax 1:5");  // the string ends, and z follows
    } else if (byte < 0x20 || byte == '\\') {
      EXPECT_EQ(verdict(text), "syntax 1:4") << byte;
    } else if (byte >= 0x80) {
      EXPECT_EQ(verdict(text), "invalid_utf8 1:4") << byte;
    } else {
      EXPECT_EQ(only_text(text), "a" + std::string(1, as_char(byte)) + "z") << byte;
    }
  }
}

TEST(DocumentStrings, EveryByteBehindABackslash) {
  const std::string escapes = "\"\\/bfnrt";
  const std::string meanings = "\"\\/\b\f\n\r\t";
  for (int byte = 0; byte < 256; ++byte) {
    const std::string text = "[\"a\\" + std::string(1, as_char(byte)) + "z\"]";
    const std::size_t place = escapes.find(as_char(byte));
    if (byte == 0) {
      EXPECT_EQ(verdict(text), "zero_byte 1:5");
    } else if (place != std::string::npos) {
      EXPECT_EQ(only_text(text), "a" + meanings.substr(place, 1) + "z") << byte;
    } else {
      EXPECT_EQ(verdict(text), "syntax 1:4") << byte;
    }
  }
}

TEST(DocumentStrings, EveryByteInPlaceOfAHexadecimalDigit) {
  for (int byte = 1; byte < 256; ++byte) {
    for (std::size_t place = 0; place < 4; ++place) {
      std::string digits = "00e9";
      digits[place] = as_char(byte);
      const bool sound =
          byte < 128 && std::isxdigit(byte) != 0 && !(place == 0 && (byte == 'd' || byte == 'D'));
      // \ud0e9 is a character, too.
      const bool character = place == 0 && (byte == 'd' || byte == 'D');
      EXPECT_EQ(verdict("[\"a\\u" + digits + "\"]"), sound || character ? "accepted" : "syntax 1:4")
          << byte << " at " << place;
    }
  }
}

std::string escape(unsigned unit) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string text = "\\u";
  for (int shift = 12; shift >= 0; shift -= 4) text += digits[(unit >> shift) & 0xF];
  return text;
}

TEST(DocumentStrings, EveryUnitWrittenAsAnEscape) {
  for (unsigned unit = 0; unit < 0x10000; ++unit) {
    const std::string text = "[\"" + escape(unit) + "\"]";
    if (unit >= 0xD800 && unit < 0xE000) {
      ASSERT_EQ(verdict(text), "syntax 1:3") << unit;  // half of a pair
    } else {
      ASSERT_EQ(only_text(text), utf8(unit)) << unit;
    }
  }
}

TEST(DocumentStrings, PairsOfHalves) {
  const std::array<unsigned, 8> units{0xD7FF, 0xD800, 0xD834, 0xDBFF, 0xDC00, 0xDD1E, 0xDFFF, 0xE000};
  const auto is_high = [](unsigned unit) { return unit >= 0xD800 && unit < 0xDC00; };
  const auto is_half = [](unsigned unit) { return unit >= 0xD800 && unit < 0xE000; };
  for (const unsigned first : units) {
    for (const unsigned second : units) {
      const std::string text = "[\"" + escape(first) + escape(second) + "\"]";
      if (is_high(first) && is_half(second) && !is_high(second)) {
        EXPECT_EQ(only_text(text), utf8(0x10000 + ((first - 0xD800) << 10) + (second - 0xDC00)));
      } else if (is_half(first)) {
        EXPECT_EQ(verdict(text), "syntax 1:3") << text;
      } else if (is_half(second)) {
        EXPECT_EQ(verdict(text), "syntax 1:9") << text;
      } else {
        EXPECT_EQ(only_text(text), utf8(first) + utf8(second));
      }
    }
  }
  // A high half and something else than a whole escape.
  for (const std::string behind :
       {"", "x", "\\", "\\n", "\\u", "\\uD", "\\uDC0", "\\uDC0G", "\\x", "\\\"", "\xC3\xA9"}) {
    EXPECT_EQ(verdict("{\"a\": 1,\n\"b\": \"" + ("\\uD834" + behind) + "\"}"), "syntax 2:7") << behind;
  }
}

/// How many bytes a character has that begins with these two (RFC 3629 section 4, the syntax of UTF-8); 0:
/// none does.
std::size_t utf8_bytes(int first, int second) {
  const auto between = [second](int low, int high) { return second >= low && second <= high; };
  if (first >= 0xC2 && first <= 0xDF && between(0x80, 0xBF)) return 2;
  if (first == 0xE0 && between(0xA0, 0xBF)) return 3;
  if (first == 0xED && between(0x80, 0x9F)) return 3;
  if (first >= 0xE1 && first <= 0xEF && first != 0xED && between(0x80, 0xBF)) return 3;
  if (first == 0xF0 && between(0x90, 0xBF)) return 4;
  if (first >= 0xF1 && first <= 0xF3 && between(0x80, 0xBF)) return 4;
  if (first == 0xF4 && between(0x80, 0x8F)) return 4;
  return 0;
}

TEST(DocumentStrings, EveryBeginningOfACharacter) {
  for (int first = 0x80; first < 0x100; ++first) {
    for (int second = 1; second < 0x100; ++second) {
      const std::size_t bytes = utf8_bytes(first, second);
      const std::string begin{as_char(first), as_char(second)};
      for (std::size_t more = 0; more < 4; ++more) {
        const std::string text = begin + std::string(more, '\x80');
        const std::string in_array = "[\"\u00E9" + text + "\"]";
        if (bytes == 2 + more) {
          ASSERT_EQ(only_text(in_array), "\u00E9" + text) << first << ' ' << second;
        } else if (bytes == 0 || bytes > 2 + more) {  // no character, or cut
          ASSERT_EQ(verdict(in_array), "invalid_utf8 1:4") << first << ' ' << second << ' ' << more;
        } else {  // followed by a byte that begins none
          ASSERT_EQ(verdict(in_array), "invalid_utf8 1:5") << first << ' ' << second << ' ' << more;
        }
      }
    }
  }
}

TEST(DocumentStrings, EveryCharacterOutsideASCII) {
  for (unsigned point = 0x80; point < 0x110000; point += point < 0x3000 || point > 0xD000 ? 13 : 101) {
    if (point >= 0xD800 && point < 0xE000) continue;
    ASSERT_EQ(only_text("[\"" + utf8(point) + "\"]"), utf8(point)) << point;
    ASSERT_EQ(verdict("[\n " + utf8(point) + "]"), "syntax 2:2") << point;  // outside a string none may stand
  }
}

}  // namespace
}  // namespace corefeed::model
