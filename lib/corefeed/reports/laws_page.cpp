// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "corefeed/reports/explain.hpp"
#include "corefeed/reports/explain_parts.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

/// Text that Markdown must not read as emphasis, a tag or the end of a cell.
std::string escaped(std::string_view text) {
  std::string result;
  for (const char c : text) {
    if (std::string_view("|*_<>[]\\").find(c) != std::string_view::npos) result += '\\';
    result += c;
  }
  return result;
}

std::string code(std::string_view text) { return text.empty() ? "" : fmt::format("`{}`", text); }

std::string row(const std::vector<std::string>& cells) {
  return fmt::format("| {} |\n", fmt::join(cells, " | "));
}

std::string head(const std::vector<std::string>& cells) {
  return row(cells) + row(std::vector<std::string>(cells.size(), "---"));
}

std::string fact(std::string_view name, std::string_view text) {
  return text.empty() ? "" : wrapped(fmt::format("- {}: {}", name, escaped(text)), "  ") + "\n";
}

std::string keys_table(const losses::Kind& kind) {
  if (kind.keys.empty()) return "";
  std::string text = "\n" + head({"key", "symbol", "unit", "need or standard", "bounds", "1-sigma", "meaning",
                                  "standard value and 1-sigma from"});
  for (const losses::Key& key : kind.keys) {
    const KeyWords words = words_of(key);
    text += row({code(words.name), code(words.symbol), words.unit, escaped(words.need), escaped(words.bounds),
                 words.sigma, escaped(words.meaning), escaped(words.source)});
  }
  return text;
}

std::string reported_table(const losses::Kind& kind) {
  std::string text = "\n" + head({"result", "unit", "meaning"});
  for (const std::vector<std::string>& cells : reported_words(kind)) {
    text += row({code(cells[0]), cells[1], escaped(cells[2])});
  }
  return text;
}

std::string chapter(const losses::Kind& kind) {
  std::string text = fmt::format("\n## {}\n\n`{}`: {}.\n\n", kind.title, kind.name, escaped(kind.meaning));
  text += "```text\n" + wrapped(kind.formula, "  ") + "\n```\n\n";
  text += fact("stands in", place_words(kind));
  text +=
      fact("reference", kind.reference) + fact("reversed flow", kind.reversed) + fact("range", kind.range);
  text += fact("band", fmt::format("{} of the loss, 1-sigma", percent(kind.band)));
  text += fact("source", source_words(kind.source, kind.tag));
  for (const std::string& rule : rule_words(kind)) text += fact("rule", rule);
  for (const std::string& range : range_words(kind)) text += fact("warning", range);
  if (!kind.items.empty()) text += fact("parts of the loss", fmt::format("{}", fmt::join(kind.items, ", ")));
  text += fact("worked value", worked_words(kind));
  return text + keys_table(kind) + reported_table(kind);
}

}  // namespace

std::string laws_page() {
  std::string text =
      "# The laws\n\n"
      "Every element kind with its formula, range, band and source. This page is made from the rows that the "
      "program\n"
      "itself computes with; a test fails when the two differ. `corefeed explain KIND` prints the same for "
      "one kind.\n\n"
      "In the formulas q is the dynamic head at the reference section, K a loss coefficient on it, rho the "
      "density. A\n"
      "1-sigma in percent is relative to the value; an empty cell means that the number counts as exact.\n\n";
  for (const losses::Kind* kind : losses::kinds()) {
    std::string anchor(kind->title);
    for (char& c : anchor) c = c == ' ' ? '-' : static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    text += fmt::format("- [{}](#{}): {}\n", kind->title, anchor, escaped(kind->meaning));
  }
  for (const losses::Kind* kind : losses::kinds()) text += chapter(*kind);
  return text;
}

}  // namespace corefeed::reports
