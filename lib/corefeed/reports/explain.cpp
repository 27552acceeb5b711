// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/explain.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "corefeed/reports/explain_parts.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

std::string paragraph(std::string_view head, std::string_view text) {
  if (text.empty()) return "";
  return wrapped(fmt::format("{}: {}", head, text), "  ") + "\n";
}

std::string section(std::string_view head, const std::vector<std::string>& lines) {
  if (lines.empty()) return "";
  std::string text = fmt::format("\n{}\n", head);
  for (const std::string& line : lines) text += wrapped("- " + line, "  ") + "\n";
  return text;
}

/// The table of keys; without their symbols where it would be too wide for a terminal.
std::string key_table(const losses::Kind& kind, bool symbols) {
  std::vector<std::vector<std::string>> rows{
      {"key", "symbol", "unit", "need or standard", "bounds", "1-sigma"}};
  for (const losses::Key& key : kind.keys) {
    const KeyWords words = words_of(key);
    rows.push_back({words.name, words.symbol, words.unit, words.need, words.bounds, words.sigma});
  }
  if (!symbols) {
    for (auto& row : rows) row.erase(row.begin() + 1);
  }
  return table(rows, "  ");
}

bool fits(const std::string& text) {
  constexpr std::size_t widest = 100;
  std::size_t begin = 0;
  for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n', begin)) {
    if (end - begin > widest) return false;
    begin = end + 1;
  }
  return true;
}

std::string keys(const losses::Kind& kind) {
  if (kind.keys.empty()) return "";
  std::string text = key_table(kind, true);
  const bool symbols = fits(text);
  if (!symbols) text = key_table(kind, false);
  std::vector<std::string> meanings;
  for (const losses::Key& key : kind.keys) {
    const KeyWords words = words_of(key);
    const bool symbol = !symbols && !words.symbol.empty();
    meanings.push_back(fmt::format("{}: {}{}{}", words.name, words.meaning,
                                   symbol ? "; symbol " + words.symbol : "",
                                   words.source.empty() ? "" : ". Source: " + words.source));
  }
  return "\nKeys\n" + text + section("What they mean", meanings);
}

}  // namespace

std::string explain(const losses::Kind& kind) {
  std::string text = fmt::format("{} (kind \"{}\")\n", kind.title, kind.name);
  text += wrapped(kind.meaning, "") + "\n\n";
  text += paragraph("Stands in", place_words(kind));
  text += paragraph("Formula", kind.formula);
  text += paragraph("Reference", kind.reference);
  text += paragraph("Reversed flow", kind.reversed);
  text += paragraph("Range", kind.range);
  text += paragraph("Band", fmt::format("{} of the loss, 1-sigma", percent(kind.band)));
  text += paragraph("Source", source_words(kind.source, kind.tag));
  text += keys(kind);
  text += section("Rules", rule_words(kind));
  text += section("Warnings", range_words(kind));
  std::vector<std::vector<std::string>> reported = reported_words(kind);
  text += "\nReports\n" + table(reported, "  ");
  const std::string worked = worked_words(kind);
  if (!worked.empty()) text += "\n" + paragraph("Worked value", worked);
  if (!kind.items.empty()) {
    text += paragraph("Parts of the loss", fmt::format("{}", fmt::join(kind.items, ", ")));
  }
  return text;
}

std::string explain_all() {
  std::vector<std::vector<std::string>> rows;
  for (const losses::Kind* kind : losses::kinds()) {
    rows.push_back({std::string(kind->name), std::string(kind->meaning)});
  }
  return table(rows, "");
}

}  // namespace corefeed::reports
