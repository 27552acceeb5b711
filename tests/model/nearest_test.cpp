// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/nearest.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <random>
#include <string>
#include <vector>

namespace corefeed::model {
namespace {

constexpr std::array<std::string_view, 7> keys{"area",       "hydraulic_diameter", "roughness", "lip_loss",
                                               "lip_radius", "internal_loss",      "cp"};

TEST(Nearest, FindsOneAndTwoSteps) {
  EXPECT_EQ(nearest("aera", keys), "area");             // swapped neighbors: one step
  EXPECT_EQ(nearest("roughnes", keys), "roughness");    // left out
  EXPECT_EQ(nearest("rougghness", keys), "roughness");  // put in
  EXPECT_EQ(nearest("roughmess", keys), "roughness");   // replaced
  EXPECT_EQ(nearest("lipp_lsos", keys), "lip_loss");    // two different steps
  EXPECT_EQ(nearest("hydraulicdiametre", keys), "hydraulic_diameter");
  EXPECT_EQ(nearest("hydraulic_diametre", keys), "hydraulic_diameter");
}

TEST(Nearest, FindsNothingBeyondTwoSteps) {
  EXPECT_EQ(nearest("hydralicdiametre", keys), "");
  EXPECT_EQ(nearest("rougn", keys), "");
  EXPECT_EQ(nearest("length", keys), "");
  EXPECT_EQ(nearest("", keys), "");
  EXPECT_EQ(nearest("area", {}), "");
}

TEST(Nearest, DoesNotOfferAWordOfWhichNothingRemains) {
  EXPECT_EQ(nearest("xy", keys), "");  // two replacements make "cp" of anything
  EXPECT_EQ(nearest("cq", keys), "cp");
  EXPECT_EQ(nearest("a", std::array<std::string_view, 1>{"b"}), "");
}

TEST(Nearest, TakesCaseAndDashesAsEqual) {
  EXPECT_EQ(nearest("Hydraulic-Diameter", keys), "hydraulic_diameter");
  EXPECT_EQ(nearest("LIP LOSS", keys), "lip_loss");
  // Equality counts before a word that is one step away.
  EXPECT_EQ(nearest("Fan-1", std::array<std::string_view, 2>{"fan_2", "fan_1"}), "fan_1");
}

TEST(Nearest, PrefersFewerStepsThenTheFirst) {
  EXPECT_EQ(nearest("vent", std::array<std::string_view, 3>{"bends", "bent", "vents"}), "bent");
  EXPECT_EQ(nearest("fan9", std::array<std::string_view, 2>{"fan2", "fan1"}), "fan2");
}

TEST(Nearest, CountsCharactersRatherThanBytes) {
  // Cyrillic a, o and e: three characters of two bytes each that look Latin.
  EXPECT_EQ(nearest("r\u0430diat\u043Er", std::array<std::string_view, 1>{"radiator"}), "radiator");
  EXPECT_EQ(nearest("r\u0430di\u0430t\u043Er", std::array<std::string_view, 1>{"radiator"}), "");
  EXPECT_EQ(nearest("k\u00FChler", std::array<std::string_view, 1>{"kuhler"}), "kuhler");
  EXPECT_EQ(nearest("fa\xFFn", std::array<std::string_view, 1>{"fan"}), "fan");
}

/// The full table without band or limit, written for clarity.
std::size_t plain_distance(const std::string& a, const std::string& b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = i + j;
        continue;
      }
      d[i][j] =
          std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0u : 1u)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

TEST(Nearest, AgreesWithAPlainTableOnRandomWords) {
  std::mt19937 random(20240501);
  const auto word = [&] {
    std::string text;
    for (auto length = random() % 8; length > 0; --length) text += static_cast<char>('a' + random() % 3);
    return text;
  };
  int near_count = 0;
  for (int i = 0; i < 100'000; ++i) {
    const std::string a = word();
    const std::string b = word();
    const std::string_view known = b;
    const std::size_t steps = plain_distance(a, b);
    const bool near = steps <= 2 && steps < std::max(a.size(), b.size());
    near_count += near ? 1 : 0;
    ASSERT_EQ(nearest(a, std::span(&known, 1)), near ? b : "") << a << " " << b << " " << steps;
  }
  EXPECT_GT(near_count, 1000);  // the words are short enough for many to be near
}

TEST(ForeignCharacter, NamesTheFirst) {
  EXPECT_EQ(first_foreign_character("radiator"), "");
  EXPECT_EQ(first_foreign_character(""), "");
  EXPECT_EQ(first_foreign_character("r\u0430di\u043E"), "U+0430");
  EXPECT_EQ(first_foreign_character("f\U0001D41Aan"), "U+1D41A");
  EXPECT_EQ(first_foreign_character("na\u00EFve"), "U+00EF");
  EXPECT_EQ(first_foreign_character("fa\xFFn"), "byte 0xFF");
  EXPECT_EQ(first_foreign_character("fan\xD0"), "byte 0xD0");  // a character cut in two
}

}  // namespace
}  // namespace corefeed::model
