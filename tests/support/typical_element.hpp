// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "tests/support/law_case.hpp"

/// Sensible numbers for any element kind, made from its row alone, so that a new kind is tested without an
/// edit.
namespace corefeed::testing {

/// Variants of a kind: its required keys alone, then with each optional key and each choice in turn.
struct Variant {
  std::string name;
  LawCase law;
};

inline bool contradicts(const LawCase& law) {
  return law.kind().contradiction != nullptr && !law.kind().contradiction(law.values()).empty();
}

namespace detail {

inline double typical_value(const losses::Key& key) {
  using units::Quantity;
  switch (key.quantity) {
    case Quantity::area:
      // The areas around a hole are larger than the hole, and none equals another.
      if (key.name == "upstream_area" || key.name == "areas.common") return 0.09;
      if (key.name == "fan_shadow.shroud_area") return 0.09;
      if (key.name == "downstream_area") return 0.12;
      return key.name == "outlet_area" ? 0.06 : 0.04;
    case Quantity::length:
      // A diameter unlike the radius keeps R/D off 1, where two branches of the bend law meet.
      if (key.name == "hydraulic_diameter") return 0.17;
      return key.name == "gap" ? 0.003 : 0.2;
    case Quantity::angle:
      return 0.3;
    case Quantity::mass_flow:
      return 1.2;
    case Quantity::air_flow:
      return 0.75;
    case Quantity::volume_flow:
      return 0.004;
    case Quantity::volume:
      return 2e-5;
    case Quantity::flow_per_pressure:
      return 1e-6;
    case Quantity::temperature:
      // A thermostat half open at the temperature before it.
      return key.name == "fully_open_at" ? 312.0 : 300.0;
    case Quantity::pressure_difference:
      return 180.0;
    case Quantity::density:
      return 1.2;
    case Quantity::dynamic_viscosity:
      return 1.8e-5;
    case Quantity::conductance:
      return 3000.0;
    case Quantity::shaft_speed:
      return 250.0;
    case Quantity::linear_loss:
      return 24.0;
    case Quantity::quadratic_loss:
      return 6.0;
    default:
      return 0.5;
  }
}

/// The standard value, moved by 3 % off the corners where two branches of a law meet (an aspect of 1).
inline double sensible_value(const losses::Key& key) {
  if (!key.choices.empty() || key.refers != losses::Refers::nothing || key.curve != nullptr) return 0.0;
  const double value = key.need == losses::Need::standard ? 1.03 * key.standard : typical_value(key);
  return std::clamp(value, key.lowest, 0.97 * key.highest);
}

/// A loss that rises like a part linear, part square law; a curve that need not rise falls like a fan's.
inline std::vector<double> typical_ordinates(const losses::CurveForm& form) {
  if (form.from_origin) return {0.02, 0.12, 0.55, 1.5};
  return {190.0, 160.0, 90.0, -20.0};
}

inline std::vector<std::size_t> named(const losses::Kind& kind, std::string_view name) {
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    const std::string_view key = kind.keys[i].name;
    const bool inside = key.size() > name.size() && key.starts_with(name) && key[name.size()] == '.';
    if ((key == name || inside) && kind.keys[i].refers == losses::Refers::nothing) places.push_back(i);
  }
  return places;
}

inline bool has_any(const LawCase& law, std::string_view name) {
  const auto places = named(law.kind(), name);
  return std::any_of(places.begin(), places.end(),
                     [&](std::size_t place) { return (law.given >> place & 1U) != 0; });
}

inline void give(LawCase& law, std::string_view name, bool on) {
  for (const std::size_t place : named(law.kind(), name)) {
    const std::uint64_t bit = std::uint64_t{1} << place;
    law.given = on ? law.given | bit : law.given & ~bit;
  }
}

/// Gives what the rules ask for and takes away what they exclude; `kept` stays.
inline void obey_rules(LawCase& law, std::string_view kept) {
  using Kind = losses::Rule::Kind;
  for (int pass = 0; pass < 3; ++pass) {
    for (const losses::Rule& rule : law.kind().rules) {
      const bool first = has_any(law, rule.keys.front());
      const auto count =
          std::count_if(rule.keys.begin(), rule.keys.end(), [&](auto key) { return has_any(law, key); });
      if (rule.kind == Kind::needs && first) {
        for (const std::string_view key : rule.keys) give(law, key, true);
      }
      if (rule.kind == Kind::needs_one && first && count == 1) give(law, rule.keys[1], true);
      if ((rule.kind == Kind::exactly_one || rule.kind == Kind::any_of) && count == 0) {
        give(law, rule.keys.front(), true);
      }
      if ((rule.kind == Kind::exactly_one || rule.kind == Kind::at_most_one) && count > 1) {
        for (const std::string_view key : rule.keys) give(law, key, key == kept);
      }
    }
  }
}

/// Contradictions between numbers that are each in bounds: areas that widen where they should narrow, or an
/// optional key that some choice asks for.
inline void mend(LawCase& law) {
  const std::size_t outlet = losses::find_key(law.kind(), "outlet_area");
  if (contradicts(law) && outlet != losses::npos) law.numbers[outlet] = 0.025;
  for (std::size_t i = 0; contradicts(law) && i < law.kind().keys.size(); ++i) {
    law.given |= std::uint64_t{1} << i;
  }
}

}  // namespace detail

inline std::vector<Variant> variants_of(const losses::Kind& kind) {
  LawCase plain(kind);
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    if (kind.keys[i].curve == nullptr) continue;
    // A curve that a law has not been given is not looked at; this one serves where it is.
    plain.set_curve(kind.keys[i].name, {0.1, 0.3, 0.7, 1.2}, detail::typical_ordinates(*kind.keys[i].curve));
    plain.given = 0;
  }
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    plain.numbers[i] = detail::sensible_value(kind.keys[i]);
    if (kind.keys[i].need == losses::Need::required) plain.given |= std::uint64_t{1} << i;
  }
  std::vector<Variant> list;
  const auto add = [&list](std::string name, LawCase law, std::string_view kept) {
    detail::obey_rules(law, kept);
    detail::mend(law);
    list.push_back({std::move(name), std::move(law)});
  };
  add("plain", plain, "");
  for (std::size_t i = 0; i < kind.keys.size(); ++i) {
    const losses::Key& key = kind.keys[i];
    if (key.refers != losses::Refers::nothing) continue;
    LawCase law = plain;
    law.given |= std::uint64_t{1} << i;
    if (key.need == losses::Need::optional) add("with " + std::string(key.name), law, key.name);
    for (std::size_t choice = 1; choice < key.choices.size(); ++choice) {
      law.numbers[i] = static_cast<double>(choice);
      add(std::string(key.choices[choice]), law, key.name);
    }
  }
  return list;
}

/// Coefficients, words, names, curves and what is not given are not to be changed at random.
inline bool stays(const losses::Key& key, bool given) {
  const bool number = key.choices.empty() && key.refers == losses::Refers::nothing && key.curve == nullptr;
  return !number || key.coefficient || !given;
}

/// A number of an element times a factor, within the bounds of its key.
inline double multiplied(const losses::Key& key, double value, double factor) {
  double result = std::clamp(value * factor, key.lowest, key.highest);
  // Whole numbers (vanes, segments) stay whole.
  if (value >= 1.0 && value == std::round(value)) result = std::max(key.lowest, std::round(result));
  return key.above_lowest && result <= key.lowest ? value : result;
}

/// The smallest section of the element, by which a velocity becomes a mass flow.
inline double section_of(const LawCase& law) {
  double smallest = 1.0;
  for (std::size_t i = 0; i < law.kind().keys.size(); ++i) {
    const bool area = law.kind().keys[i].quantity == units::Quantity::area;
    if (area && (law.given >> i & 1U) != 0) smallest = std::min(smallest, law.numbers[i]);
  }
  const std::size_t gap = losses::find_key(law.kind(), "gap");
  if (gap != losses::npos && (law.given >> gap & 1U) != 0) {
    smallest = law.numbers[gap] * law.numbers[losses::find_key(law.kind(), "length")];
  }
  return smallest;
}

}  // namespace corefeed::testing
