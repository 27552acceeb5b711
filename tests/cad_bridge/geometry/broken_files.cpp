// SPDX-License-Identifier: Apache-2.0
#include "tests/cad_bridge/geometry/broken_files.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <utility>
#include <vector>

namespace corefeed::geometry::testing {
namespace {

struct Span {
  std::size_t from = 0;
  std::size_t size = 0;
};

/// Places in the data section where a test holds, with the length of each.
template <class Length>
std::vector<Span> places(std::string_view step, const Length& length) {
  std::vector<Span> found;
  const std::size_t data = std::min(step.find("DATA;"), step.size());
  for (std::size_t i = data; i < step.size(); ++i) {
    if (const std::size_t size = length(i); size > 0) {
      found.push_back({i, size});
      i += size;
    }
  }
  return found;
}

bool digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }

std::vector<Span> numbers(std::string_view step) {
  return places(step, [step](std::size_t at) -> std::size_t {
    if (!digit(step[at]) || at == 0 || std::string_view("(,-").find(step[at - 1]) == std::string_view::npos)
      return 0;
    std::size_t end = at;
    while (end < step.size() &&
           (digit(step[end]) || std::string_view(".E+-").find(step[end]) != std::string_view::npos))
      ++end;
    return end - at;
  });
}

std::vector<Span> references(std::string_view step) {
  return places(step, [step](std::size_t at) -> std::size_t {
    if (step[at] != '#') return 0;
    std::size_t end = at + 1;
    while (end < step.size() && digit(step[end])) ++end;
    return end - at;
  });
}

std::vector<Span> words(std::string_view step) {
  return places(step, [step](std::size_t at) -> std::size_t {
    std::size_t end = at;
    while (end < step.size() &&
           (std::isupper(static_cast<unsigned char>(step[end])) != 0 || step[end] == '_'))
      ++end;
    return end - at > 3 ? end - at : 0;
  });
}

std::vector<Span> lines(std::string_view step) {
  return places(step, [step](std::size_t at) -> std::size_t {
    if (at == 0 || step[at - 1] != '\n' || step[at] != '#') return 0;
    return std::min(step.find('\n', at), step.size()) - at;
  });
}

void replace(std::string& step, const Span& span, std::string_view text) {
  step.replace(span.from, span.size, text);
}

void replace_number(std::string& step, Dice& dice) {
  constexpr std::array<std::string_view, 12> odd{"0.",  "1.E300", "1.E-300", "1.E999",
                                                 "NAN", "INF",    "1.E12",   "1.E-12",
                                                 "-1.", "1.",     "$",       "123456789012345678901"};
  const std::vector<Span> all = numbers(step);
  if (!all.empty()) replace(step, all[dice.below(all.size())], odd[dice.below(odd.size())]);
}

void replace_reference(std::string& step, Dice& dice) {
  const std::vector<Span> all = references(step);
  if (all.empty()) return;
  const Span source = all[dice.below(all.size())];
  const std::string text = step.substr(source.from, source.size);
  replace(step, all[dice.below(all.size())], dice.below(8) == 0 ? "#999999" : text);
}

void swap_words(std::string& step, Dice& dice) {
  const std::vector<Span> all = words(step);
  if (all.empty()) return;
  const Span source = all[dice.below(all.size())];
  const std::string text = step.substr(source.from, source.size);
  replace(step, all[dice.below(all.size())], text);
}

void change_lines(std::string& step, Dice& dice, int how) {
  const std::vector<Span> all = lines(step);
  if (all.size() < 2) return;
  Span a = all[dice.below(all.size())];
  Span b = all[dice.below(all.size())];
  if (a.from > b.from) std::swap(a, b);
  const std::string first = step.substr(a.from, a.size);
  const std::string second = step.substr(b.from, b.size);
  if (how == 0) return replace(step, a, "");
  if (how == 1) return replace(step, a, first + "\n" + first);
  if (a.from == b.from) return;
  replace(step, b, first);
  replace(step, a, second);
}

void change_bytes(std::string& step, Dice& dice) {
  const std::size_t count = 1 + dice.below(8);
  for (std::size_t i = 0; i < count && !step.empty(); ++i)
    step[dice.below(step.size())] = static_cast<char>(dice.below(256));
}

void paste(std::string& step, Dice& dice) {
  if (step.empty()) return;
  const std::size_t from = dice.below(step.size());
  const std::string piece = step.substr(from, 1 + dice.below(200));
  step.insert(dice.below(step.size()), piece);
}

void break_brackets(std::string& step, Dice& dice) {
  const std::vector<Span> all = places(step, [&step](std::size_t at) -> std::size_t {
    return std::string_view("();,'").find(step[at]) != std::string_view::npos ? 1 : 0;
  });
  if (all.empty()) return;
  constexpr std::array<std::string_view, 6> odd{"", "(", ")", "'", ";", "(("};
  replace(step, all[dice.below(all.size())], odd[dice.below(odd.size())]);
}

/// Every number of one line moved, scaled or turned round: edges that no longer meet, surfaces inside out.
void distort_line(std::string& step, Dice& dice) {
  const std::vector<Span> all = lines(step);
  if (all.empty()) return;
  const Span line = all[dice.below(all.size())];
  std::string text = step.substr(line.from, line.size);
  const char from = static_cast<char>('1' + dice.below(9));
  std::replace(text.begin() + static_cast<std::ptrdiff_t>(std::min(text.find('('), text.size())), text.end(),
               from, static_cast<char>('0' + dice.below(10)));
  replace(step, line, text);
}

struct Mutation {
  std::string_view kind;
  void (*change)(std::string& step, Dice& dice);
};

constexpr std::array<Mutation, 11> mutations{
    {{"cut", [](std::string& step, Dice& dice) { step.resize(dice.below(step.size())); }},
     {"bytes changed", change_bytes},
     {"line dropped", [](std::string& step, Dice& dice) { change_lines(step, dice, 0); }},
     {"line doubled", [](std::string& step, Dice& dice) { change_lines(step, dice, 1); }},
     {"lines swapped", [](std::string& step, Dice& dice) { change_lines(step, dice, 2); }},
     {"reference replaced", replace_reference},
     {"text pasted", paste},
     {"brackets broken", break_brackets},
     {"words swapped", swap_words},
     {"line distorted", distort_line},
     {"number replaced", replace_number}}};

}  // namespace

std::string mutated(std::string_view original, Dice& dice, std::string& kind) {
  std::string step(original);
  const Mutation& mutation = mutations[dice.below(mutations.size())];
  kind = mutation.kind;
  mutation.change(step, dice);
  return step;
}

std::string with(std::string step, std::string_view from, std::string_view to) {
  if (const std::size_t at = step.find(from); at != std::string::npos) step.replace(at, from.size(), to);
  return step;
}

}  // namespace corefeed::geometry::testing
