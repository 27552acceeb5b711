// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <boost/locale/utf.hpp>
#include <vector>

#include "corefeed/model/text_file.hpp"

namespace corefeed::model {
namespace {

constexpr int step_limit = 2;

using Characters = std::u32string;

/// Characters with everything folded that shall not count as a difference. A byte that is not UTF-8 stands
/// for itself, far above the characters.
Characters folded(std::string_view word) {
  Characters characters;
  const char* at = word.data();
  const char* const end = word.data() + word.size();
  while (at != end) {
    const char* const start = at;
    char32_t c = boost::locale::utf::utf_traits<char>::decode(at, end);
    if (c == boost::locale::utf::illegal || c == boost::locale::utf::incomplete) {
      c = 0x80000000U + static_cast<unsigned char>(*start);
      at = start + 1;
    }
    if (c >= U'A' && c <= U'Z') c += U'a' - U'A';
    if (c == U'_' || c == U' ') c = U'-';
    characters.push_back(c);
  }
  return characters;
}

constexpr int too_far = step_limit + 1;

/// The table of distances between beginnings of two words (optimal string alignment). Only a band of it is
/// filled, as cells farther from the diagonal than the limit cannot lie on a short way, and only the last
/// three rows are kept.
class DistanceTable {
 public:
  DistanceTable(const Characters& a, const Characters& b) : a_(a), b_(b) {
    rows_.fill(std::vector<int>(b.size() + 1, too_far));
  }

  int steps() {
    const int last_row = static_cast<int>(a_.size());
    const int last_column = static_cast<int>(b_.size());
    for (int i = 0; i <= last_row; ++i) {
      const int end = std::min(last_column, i + step_limit);
      for (int j = std::max(0, i - step_limit); j <= end; ++j) cell(i, j) = std::min(best_way(i, j), too_far);
    }
    return cell(last_row, last_column);
  }

 private:
  int& cell(int i, int j) { return rows_[static_cast<std::size_t>(i % 3)][static_cast<std::size_t>(j)]; }

  bool equal(int i, int j) const {
    return a_[static_cast<std::size_t>(i)] == b_[static_cast<std::size_t>(j)];
  }

  int best_way(int i, int j) {
    if (i == 0 || j == 0) return i + j;
    int best = cell(i - 1, j - 1) + (equal(i - 1, j - 1) ? 0 : 1);
    // Cells outside the band hold what an older row left there.
    if (j < i + step_limit) best = std::min(best, cell(i - 1, j) + 1);
    if (j > i - step_limit) best = std::min(best, cell(i, j - 1) + 1);
    const bool swapped = i > 1 && j > 1 && equal(i - 1, j - 2) && equal(i - 2, j - 1);
    return swapped ? std::min(best, cell(i - 2, j - 2) + 1) : best;
  }

  const Characters& a_;
  const Characters& b_;
  std::array<std::vector<int>, 3> rows_;
};

/// Number of steps from one word to the other, or `too_far`.
int distance(const Characters& a, const Characters& b) {
  const std::size_t difference = a.size() > b.size() ? a.size() - b.size() : b.size() - a.size();
  return difference > step_limit ? too_far : DistanceTable(a, b).steps();
}

}  // namespace

std::string nearest(std::string_view word, std::span<const std::string_view> known) {
  const Characters wanted = folded(word);
  int best = too_far;
  std::string_view found;
  for (const std::string_view candidate : known) {
    const Characters characters = folded(candidate);
    const int steps = distance(wanted, characters);
    const bool something_remains = steps < static_cast<int>(std::max(wanted.size(), characters.size()));
    if (steps < best && something_remains) {
      best = steps;
      found = candidate;
    }
  }
  return std::string(found);
}

std::string first_foreign_character(std::string_view word) {
  const auto first =
      std::find_if(word.begin(), word.end(), [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
  if (first == word.end()) return {};
  const char* at = word.data() + (first - word.begin());
  const char* const start = at;
  const auto point = boost::locale::utf::utf_traits<char>::decode(at, word.data() + word.size());
  if (point == boost::locale::utf::illegal || point == boost::locale::utf::incomplete) {
    return "byte " + byte_name(*start);
  }
  return fmt::format("U+{:04X}", static_cast<std::uint32_t>(point));
}

}  // namespace corefeed::model
