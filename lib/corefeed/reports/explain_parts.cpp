// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/explain_parts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "corefeed/losses/worked.hpp"

namespace corefeed::reports {
namespace {

using losses::Key;
using losses::Need;
using losses::Rule;

std::string need_of(const Key& key) {
  switch (key.need) {
    case Need::required:
      return key.by_point ? "here or by point" : "required";
    case Need::optional:
      return "optional";
    case Need::standard:
      break;
  }
  if (!key.choices.empty()) return std::string(key.choices[static_cast<std::size_t>(key.standard)]);
  return units::show(key.standard, key.quantity);
}

std::string bounds_of(const Key& key) {
  if (!key.choices.empty()) return "a word";
  if (key.curve != nullptr) {
    return fmt::format("{} point{} or more", key.curve->least_points,
                       key.curve->least_points == 1 ? "" : "s");
  }
  if (key.refers == losses::Refers::core || key.refers == losses::Refers::whole) return "name of a core";
  if (key.refers == losses::Refers::loop) return "name of a loop";
  if (key.refers == losses::Refers::cooler) return "name of an element";
  const auto shown = [&key](double bound) { return bound == 0.0 ? "0" : units::show(bound, key.quantity); };
  const bool low = std::isfinite(key.lowest);
  const bool high = std::isfinite(key.highest);
  if (low && high) {
    return key.above_lowest ? fmt::format("over {} to {}", shown(key.lowest), shown(key.highest))
                            : fmt::format("{} to {}", shown(key.lowest), shown(key.highest));
  }
  if (low) return fmt::format("{} {}", key.above_lowest ? "above" : "from", shown(key.lowest));
  return high ? fmt::format("up to {}", shown(key.highest)) : "";
}

std::string meaning_of(const Key& key) {
  if (key.curve != nullptr) {
    const auto names = [](const std::vector<losses::Column>& slot) {
      std::vector<std::string_view> list;
      for (const losses::Column& column : slot) list.push_back(column.name);
      return fmt::format("{}", fmt::join(list, " or "));
    };
    std::string columns = names(key.curve->abscissas);
    for (const std::vector<losses::Column>& slot : key.curve->beside) columns += ", " + names(slot);
    return fmt::format("{}; a list of points {{{}, {}}}, or a CSV file with these columns", key.meaning,
                       columns, key.curve->ordinate.name);
  }
  if (key.choices.empty()) return std::string(key.meaning);
  return fmt::format("{}; one of {}", key.meaning, fmt::join(key.choices, ", "));
}

std::string sigma_of(const Key& key) {
  if (key.spread_of != nullptr) return "varies";
  std::string text = key.spread.relative > 0.0 ? percent(key.spread.relative) : "";
  if (key.spread.absolute > 0.0) {
    const bool level = key.quantity == units::Quantity::temperature;
    if (!text.empty()) text += " + ";
    text += units::show(key.spread.absolute, level ? units::Quantity::temperature_difference : key.quantity);
  }
  return text;
}

std::string shown(double value, units::Quantity quantity) { return units::show(value, quantity); }

/// What a range speaks of: a key's quantity or that of a reported number.
units::Quantity quantity_of(const losses::Kind& kind, std::string_view subject) {
  for (const losses::Reported& reported : kind.reported) {
    if (reported.name == subject) return reported.quantity;
  }
  const std::size_t key = losses::find_key(kind, subject);
  return key == losses::npos ? units::Quantity::number : kind.keys[key].quantity;
}

}  // namespace

std::string percent(double share) { return fmt::format("{:.4g} %", 100.0 * share); }

std::string_view words_of(Tag tag) {
  switch (tag) {
    case Tag::read:
      return "read in the source";
    case Tag::computed:
      return "exact, or computed and checked here";
    case Tag::from_memory:
      return "from memory of the source, not read";
    case Tag::closure:
      break;
  }
  return "closure of ours between known limits";
}

std::string source_words(std::string_view source, Tag tag) {
  // These say themselves how far they can be trusted.
  const bool plain = source.find("no source") != std::string_view::npos ||
                     source.find("of ours") != std::string_view::npos || source == "band of the law";
  return plain ? std::string(source) : fmt::format("{} ({})", source, words_of(tag));
}

KeyWords words_of(const Key& key) {
  const bool number = key.choices.empty() && key.refers == losses::Refers::nothing && key.curve == nullptr;
  return {.name = std::string(key.name),
          .symbol = std::string(key.symbol),
          .unit = number ? std::string(units::info(key.quantity).display) : "",
          .need = need_of(key),
          .bounds = bounds_of(key),
          .sigma = sigma_of(key),
          .meaning = meaning_of(key),
          .source = key.source.empty() ? "" : source_words(key.source, key.tag)};
}

std::string place_words(const losses::Kind& kind) {
  switch (kind.carries) {
    case losses::Carries::air:
      return "air";
    case losses::Carries::either:
      return "air and loops";
    case losses::Carries::liquid:
      break;
  }
  return kind.word.empty() ? "loops" : fmt::format("loops, where a model calls it \"{}\"", kind.word);
}

std::vector<std::string> rule_words(const losses::Kind& kind) {
  std::vector<std::string> list;
  for (const Rule& rule : kind.rules) {
    const std::string all = fmt::format("{}", fmt::join(rule.keys, ", "));
    switch (rule.kind) {
      case Rule::Kind::exactly_one:
        list.push_back("exactly one of " + all);
        break;
      case Rule::Kind::at_most_one:
        list.push_back("at most one of " + all);
        break;
      case Rule::Kind::any_of:
        list.push_back("at least one of " + all);
        break;
      case Rule::Kind::needs:
        list.push_back(fmt::format("{} needs {}", rule.keys.front(),
                                   fmt::join(rule.keys.begin() + 1, rule.keys.end(), ", ")));
        break;
      case Rule::Kind::needs_one:
        list.push_back(fmt::format("{} needs one of {}", rule.keys.front(),
                                   fmt::join(rule.keys.begin() + 1, rule.keys.end(), ", ")));
        break;
    }
  }
  return list;
}

std::vector<std::string> range_words(const losses::Kind& kind) {
  std::vector<std::string> list;
  for (const losses::Range& range : kind.ranges) {
    const units::Quantity quantity = quantity_of(kind, range.subject);
    const std::string where = range.where.empty() ? "" : fmt::format(" (with {})", range.where);
    list.push_back(fmt::format("outside {} to {}, {} {}{}", shown(range.lowest, quantity),
                               shown(range.highest, quantity), range.subject, range.meaning, where));
  }
  return list;
}

std::string worked_words(const losses::Kind& kind) {
  if (kind.law == nullptr) return "";
  std::vector<std::string> given;
  for (const losses::Example::Given& one : kind.example.numbers) {
    const Key& key = kind.keys[losses::find_key(kind, one.key)];
    const std::string value = key.choices.empty()
                                  ? shown(one.value, key.quantity)
                                  : std::string(key.choices[static_cast<std::size_t>(one.value)]);
    given.push_back(fmt::format("{} {}", one.key, value));
  }
  for (const Key& key : kind.keys) {
    if (key.curve == nullptr || !key.curve->beside.empty()) continue;
    for (const auto& [x, y] : kind.example.curve_points) {
      given.push_back(fmt::format("{} at {}", shown(y, key.curve->ordinate.quantity),
                                  shown(x, key.curve->abscissas.front().quantity)));
    }
  }
  const losses::Worked worked = losses::worked_value(kind);
  std::vector<std::string> found{
      fmt::format("pressure_loss {}", shown(worked.pressure_loss, units::Quantity::pressure_difference))};
  for (std::size_t i = 0; i < kind.reported.size(); ++i) {
    found.push_back(
        fmt::format("{} {}", kind.reported[i].name, shown(worked.reported[i], kind.reported[i].quantity)));
  }
  const std::string car = kind.example.speed > 0.0
                              ? fmt::format(", car at {}", shown(kind.example.speed, units::Quantity::speed))
                              : "";
  if (kind.ends == losses::Ends::three_ports) {
    given.push_back(fmt::format("{} of the flow into the branch", percent(kind.example.branch_share)));
  }
  const bool liquid = kind.carries == losses::Carries::liquid;
  if (kind.example.pressure_difference > 0.0) {
    given.push_back(fmt::format(
        "{} across it", shown(kind.example.pressure_difference, units::Quantity::pressure_difference)));
  }
  return fmt::format(
      "{}; {} of {}{}: {}", fmt::join(given, ", "), shown(worked.flow, units::Quantity::mass_flow),
      liquid ? "oil of 90 degC (85 cSt at 40 degC, 14 cSt at 100 degC)" : "air of 20 degC and 1 atm", car,
      fmt::join(found, ", "));
}

std::vector<std::vector<std::string>> reported_words(const losses::Kind& kind) {
  const auto unit = [](units::Quantity quantity) { return std::string(units::info(quantity).display); };
  std::vector<std::vector<std::string>> list{
      {"flow", unit(units::Quantity::mass_flow), "mass flow, positive from start to end"},
      {"pressure_loss", unit(units::Quantity::pressure_difference),
       "total pressure in minus total pressure out"}};
  for (const losses::Reported& row : kind.reported) {
    list.push_back({std::string(row.name), unit(row.quantity), std::string(row.meaning)});
  }
  return list;
}

}  // namespace corefeed::reports
