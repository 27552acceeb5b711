// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/text_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/reports/text.hpp"

namespace corefeed::reports {
namespace {

/// Columns a text takes: continuation bytes of UTF-8 take none.
std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

}  // namespace

std::string table(const std::vector<std::vector<std::string>>& rows, std::string_view indent) {
  std::vector<std::size_t> widths;
  for (const auto& row : rows) {
    widths.resize(std::max(widths.size(), row.size()), 0);
    for (std::size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], width_of(row[i]));
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line(indent);
    for (std::size_t i = 0; i < row.size(); ++i) {
      line += row[i];
      if (i + 1 < row.size()) line.append(widths[i] - width_of(row[i]) + 2, ' ');
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

std::string with_band(double value, double sigma, units::Quantity quantity, std::string_view wanted) {
  const std::string_view unit = wanted.empty() ? units::info(quantity).display : wanted;
  const double shown = quantity == units::Quantity::number ? value : units::convert(value, quantity, unit);
  // A band is a difference: an offset of the unit (degC) must not enter it.
  const double zero = quantity == units::Quantity::number ? 0.0 : units::convert(0.0, quantity, unit);
  const double band =
      quantity == units::Quantity::number ? sigma : units::convert(sigma, quantity, unit) - zero;
  const auto places = [](double size, int significant) {
    return std::clamp(significant - 1 - static_cast<int>(std::floor(std::log10(size))), 0, 5);
  };
  const int without_band = shown == 0.0 ? 0 : places(std::abs(shown), 4);
  const int digits = band > 0.0 ? places(band, 2) : without_band;
  std::string text = fmt::format("{:.{}f}", shown, digits);
  if (band > 0.0) text += fmt::format(" \u00b1 {:.{}f}", band, digits);
  if (!unit.empty()) text += fmt::format(" {}", unit);
  return text;
}

std::string_view tag_word(Tag tag) {
  switch (tag) {
    case Tag::read:
      return "read";
    case Tag::computed:
      return "computed";
    case Tag::from_memory:
      return "from memory";
    case Tag::closure:
      break;
  }
  return "closure";
}

std::string wrapped(std::string_view text, std::string_view indent) {
  constexpr std::size_t most = 100;
  std::string result;
  std::size_t column = 0;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (column > 0 && column + 1 + width_of(word) > most) {
      result += "\n";
      result += indent;
      column = indent.size();
    } else if (column > 0) {
      result += " ";
      ++column;
    }
    result += word;
    column += width_of(word);
  }
  return result;
}

std::string cautions_text(const model::Model& model) {
  std::string text = "cautions\n";
  for (const std::string& one : cautions(model)) text += "  - " + wrapped(one, "    ") + "\n";
  return text;
}

std::string limit_text(const model::Requirement& requirement) {
  const std::string limit = requirement.kind == units::Quantity::number
                                ? fmt::format("{:.4g}", requirement.limit)
                                : units::write(requirement.limit, requirement.kind, requirement.unit, 4);
  return fmt::format("{} {}", requirement.at_least ? ">=" : "<=", limit);
}

std::string point_head(const model::Model& model, const studies::PointResult& point) {
  double speed = 0.0;
  for (const model::Point& one : model.points) {
    if (one.name == point.name) speed = one.speed;
  }
  return fmt::format("{}: {}, {} outside; {}\n", point.name, units::show(speed, units::Quantity::speed, 3),
                     units::show(model.temperature, units::Quantity::temperature, 3),
                     point.solution.explanation);
}

namespace {

std::string_view word_of(const Issue& issue) { return issue.severity == Severity::note ? "note" : "warning"; }

/// Two names are read, a dozen are not.
std::string some_of(const std::vector<std::string>& names) {
  constexpr std::size_t shown = 2;
  std::string text;
  for (std::size_t i = 0; i < std::min(shown, names.size()); ++i) text += (i == 0 ? "" : ", ") + names[i];
  return names.size() > shown ? fmt::format("{} and {} more", text, names.size() - shown) : text;
}

}  // namespace

std::string warning_lines(const studies::Study& study) {
  std::string text;
  for (const Issue& issue : study.warnings) {
    text += wrapped(fmt::format("{}: {}", word_of(issue), issue.text), "  ") + "\n";
  }
  // What several points tell in the same words is told once.
  std::vector<std::pair<const Issue*, std::vector<std::string>>> told;
  for (const studies::PointResult& point : study.points) {
    for (const Issue& issue : point.warnings) {
      const auto same = std::find_if(told.begin(), told.end(),
                                     [&issue](const auto& one) { return one.first->text == issue.text; });
      if (same == told.end()) {
        told.push_back({&issue, {point.name}});
      } else {
        same->second.push_back(point.name);
      }
    }
  }
  for (const auto& [issue, points] : told) {
    text += wrapped(fmt::format("{} ({}): {}", word_of(*issue), some_of(points), issue->text), "  ") + "\n";
  }
  return text;
}

}  // namespace corefeed::reports
