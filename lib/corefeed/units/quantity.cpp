// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/quantity.hpp"

#include <cmath>
#include <optional>
#include <utility>
#include <variant>

#include "corefeed/units/number_text.hpp"
#include "corefeed/units/quantity_kinds.hpp"
#include "corefeed/units/unit_grammar.hpp"

namespace corefeed::units {
namespace {

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

Issue issue(std::string code, std::string text) {
  Issue result;
  result.code = std::move(code);
  result.text = std::move(text);
  return result;
}

/// "an area such as "420 cm2"" or "a plain number such as 0.4".
std::string expected(const Kind& kind) {
  const std::string text = with_article(kind.info.name) + " such as ";
  return text + (kind.info.si_unit.empty() ? std::string(kind.info.example) : quoted(kind.info.example));
}

Issue not_a_number(std::string_view text, const Kind& kind) {
  return issue("not_a_number", quoted(text) + " does not begin with a number; write " + expected(kind));
}

/// What is wrong between the number and the unit: a decimal comma, or a second number.
std::optional<Issue> joint_fault(std::string_view text, std::string_view number, std::string_view unit,
                                 const Kind& kind) {
  if (unit.empty()) return std::nullopt;
  if (unit.front() == ',') {
    std::string fault =
        quoted(text) + " has a comma in its number; write a decimal point and nothing between thousands";
    const bool plain = number.find_first_of(".eE") == std::string_view::npos;
    if (plain)
      fault += ": " + quoted(std::string(number.substr(0, 40)) + '.' + std::string(unit.substr(1, 40)));
    return issue("not_a_number", fault);
  }
  const std::size_t slash = unit.find_first_not_of(" \t", 1);
  const bool one_over = unit.front() == '1' && slash != std::string_view::npos && unit[slash] == '/';
  const bool digit = unit.front() >= '0' && unit.front() <= '9';
  if ((digit && !one_over) || unit.front() == '.') {
    return issue("not_a_number", quoted(text) + " holds more than one number; write " + expected(kind));
  }
  return std::nullopt;
}

/// The kind of a dimension in plain words: "a pressure", "a length"; else its base units.
std::string found_kind(const Scale& scale) {
  if (scale.role == Role::level) return "a temperature";
  if (scale.role == Role::difference && scale.alone) return "a temperature difference";
  const bool pressure = scale.dimension == kind_of(Quantity::pressure_gauge).dimension;
  if (scale.gauge) return pressure ? "a gauge pressure" : "no pressure but called gauge";
  if (scale.dimension == Dimension{}) return "a plain number";
  for (const Kind& kind : kinds()) {
    if (kind.dimension != scale.dimension || kind.info.si_unit.empty()) continue;
    return kind.quantity == Quantity::pressure_gauge ? "a pressure" : with_article(kind.info.name);
  }
  return "in " + dimension_text(scale.dimension);
}

Issue wrong_dimension(std::string_view text, const Scale& scale, const Kind& kind) {
  return issue("wrong_dimension", quoted(text) + " is " + found_kind(scale) + ", expected " + expected(kind));
}

Issue level_for_difference(std::string_view text, std::string_view number, std::string_view unit) {
  const std::string delta = unit.back() == 'F' ? "delta_degF" : "delta_degC";
  return issue("wrong_dimension", quoted(text) + " is a temperature, expected a difference of temperatures " +
                                      "such as " + quoted(std::string(number) + ' ' + delta));
}

std::optional<Issue> dimension_fault(std::string_view text, const Scale& scale, const Kind& kind) {
  const bool is_temperature = kind.quantity == Quantity::temperature;
  const bool fits = scale.dimension == kind.dimension &&
                    (!scale.gauge || kind.quantity == Quantity::pressure_gauge) &&
                    (scale.role != Role::level || is_temperature) &&
                    !(is_temperature && (scale.role == Role::difference || !scale.alone));
  if (!fits) return wrong_dimension(text, scale, kind);
  if ((scale.bases & ~kind.bases) == 0) return std::nullopt;
  // The schema's pattern offers only units of these bases, and it must match whatever the parser accepts.
  return issue("wrong_dimension", quoted(text) + " reaches " + with_article(kind.info.name) +
                                      " through units of other kinds that cancel; write " + expected(kind));
}

Issue unknown_unit(std::string_view text, const UnitFault& fault, const Kind& kind) {
  return issue("unknown_unit", quoted(text) + ' ' + fault.text + (fault.text.back() == '?' ? " " : "; ") +
                                   with_article(kind.info.name) + " may be in " + std::string(kind.allowed));
}

Result<double> in_si(std::string_view text, double number, const Scale& scale, const Kind& kind) {
  const double value = scale.to_si(number);
  if (!std::isfinite(value) || (value == 0 && number + scale.shift != 0)) {
    return issue("number_out_of_range", quoted(text) + " is too large or too small to compute with");
  }
  if (kind.quantity == Quantity::temperature && value < 0) {
    return issue("number_out_of_range", quoted(text) + " lies below absolute zero; write " + expected(kind));
  }
  return value;
}

}  // namespace

Result<double> parse(std::string_view raw, Quantity quantity) {
  const Kind& kind = kind_of(quantity);
  const std::string_view text = trimmed(raw);
  const NumberText number = read_number(text);
  if (number.state == NumberText::State::none) return not_a_number(text, kind);
  const std::string_view digits = text.substr(0, number.size);
  const std::string_view unit = trimmed(text.substr(number.size));
  if (std::optional<Issue> fault = joint_fault(text, digits, unit, kind)) return *std::move(fault);
  if (number.state == NumberText::State::out_of_range) {
    return issue("number_out_of_range", quoted(digits) + " is too large or too small to compute with");
  }
  if (kind.info.si_unit.empty()) {
    if (unit.empty()) return number.value;
    return issue("wrong_dimension", quoted(text) + " has a unit, expected " + expected(kind));
  }
  if (unit.empty()) return issue("missing_unit", quoted(text) + " has no unit; write " + expected(kind));
  const std::variant<Scale, UnitFault> read = read_unit(unit);
  if (const UnitFault* fault = std::get_if<UnitFault>(&read)) return unknown_unit(text, *fault, kind);
  const Scale& scale = std::get<Scale>(read);
  if (scale.role == Role::level && quantity == Quantity::temperature_difference) {
    return level_for_difference(text, digits, unit);
  }
  if (std::optional<Issue> fault = dimension_fault(text, scale, kind)) return *std::move(fault);
  return in_si(text, number.value, scale, kind);
}

std::string_view unit_of(std::string_view raw) {
  const std::string_view text = trimmed(raw);
  return trimmed(text.substr(read_number(text).size));
}

}  // namespace corefeed::units
