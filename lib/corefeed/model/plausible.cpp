// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/plausible.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string_view>
#include <utility>

#include "corefeed/model/reader.hpp"

namespace corefeed::model {
namespace {

using units::Quantity;

/// What numbers of this name and kind are in cars; the first row that fits counts. Zero is never a slip of a
/// unit.
struct Band {
  std::string_view name;  ///< last part of the key, with its kind in front where that matters; empty: any
  Quantity quantity;
  double lowest, highest;
};

/// Ours, common practice without a source: wide enough for anything between a kart and a truck, and a factor
/// of 1,000 in a length lies outside for what is usual.
constexpr std::array bands{Band{"roughness", Quantity::length, 1e-8, 3e-3},
                           Band{"hydraulic_diameter", Quantity::length, 5e-4, 2.0},
                           Band{"bore", Quantity::length, 1e-3, 0.15},
                           Band{"", Quantity::length, 1e-6, 10.0},
                           Band{"face_area", Quantity::area, 1e-3, 4.0},
                           Band{"", Quantity::area, 1e-7, 4.0},
                           Band{"fan.shutoff_pressure", Quantity::pressure_difference, 1.0, 2e4},
                           Band{"pump.shutoff_pressure", Quantity::pressure_difference, 1e3, 2e6},
                           Band{"", Quantity::air_flow, 1e-4, 20.0},
                           Band{"", Quantity::volume_flow, 1e-7, 0.05},
                           Band{"", Quantity::mass_flow, 1e-4, 30.0},
                           Band{"", Quantity::power, 100.0, 2e6},
                           Band{"", Quantity::conductance, 0.1, 1e6},
                           Band{"", Quantity::linear_loss, 1e-3, 5e3},
                           Band{"", Quantity::quadratic_loss, 1e-4, 2e3}};

const Band* band_of(std::string_view kind, std::string_view name, Quantity quantity) {
  const std::string whole = fmt::format("{}.{}", kind, name);
  const auto fits = [&](const Band& band) {
    return band.quantity == quantity && (band.name.empty() || band.name == name || band.name == whole);
  };
  const auto* const found = std::find_if(bands.begin(), bands.end(), fits);
  return found != bands.end() ? found : nullptr;
}

bool holds(const Band& band, double value) {
  const double size = std::abs(value);
  return size == 0.0 || (size >= band.lowest && size <= band.highest);
}

/// The quantity as the model writes it; empty for what does not stand there as a text.
std::string written(const Model& model, const std::string& pointer) {
  const Value* value = find_value(model.document.root, pointer);
  if (value != nullptr && value->kind == Value::Kind::object) value = value->find("value");
  return value != nullptr && value->kind == Value::Kind::string ? value->text : std::string();
}

/// The same digits with a unit that makes a usual number of them.
std::string meant(std::string_view text, const Band& band) {
  const std::string_view unit = units::unit_of(text);
  const std::string_view number = text.substr(0, text.rfind(unit));
  for (const std::string_view other :
       {units::info(band.quantity).display, std::string_view("mm"), std::string_view("cm"),
        std::string_view("m"), std::string_view("mm2"), std::string_view("cm2"), std::string_view("m2"),
        std::string_view("Pa"), std::string_view("W"), std::string_view("kW"), std::string_view("g/s"),
        std::string_view("L/min")}) {
    if (other == unit) continue;
    const std::string guess = fmt::format("{}{}", number, other);
    const Result<double> value = units::parse(guess, band.quantity);
    if (value && holds(band, value.value())) return fmt::format("; did you mean {}?", quoted(guess));
  }
  return {};
}

class Search {
 public:
  explicit Search(const Model& model) : model_(model) {}

  /// `kind` of an element; empty for anything else.
  void look_at(const std::string& owner, const std::string& pointer, std::string_view kind,
               std::string_view key, Quantity quantity, double value) {
    const Band* band = band_of(kind, leaf_of(key), quantity);
    if (band == nullptr || holds(*band, value)) return;
    std::string at = pointer;
    const std::string_view group = group_of(key);
    if (!group.empty()) at = pointer_join(at, group);
    at = pointer_join(at, leaf_of(key));
    const std::string text = written(model_, at);
    if (text.empty()) return;
    warn(at, fmt::format("{}.{}: {} is not usual in a car's cooling ({} to {} is){}", owner, key,
                         quoted(text), units::show(band->lowest, quantity),
                         units::show(band->highest, quantity), meant(text, *band)));
  }

  void look_at(const std::string& owner, const std::string& pointer, const Numbers& numbers) {
    const std::uint64_t stated = numbers.given & ~numbers.measured & ~numbers.fitted;
    for (std::size_t i = 0; i < numbers.kind->keys.size(); ++i) {
      const losses::Key& key = numbers.kind->keys[i];
      if ((stated >> i & 1U) != 0 && key.curve == nullptr)
        look_at(owner, pointer, numbers.kind->name, key.name, key.quantity, numbers.value[i]);
    }
    look_at_section(owner, pointer, numbers, stated);
  }

  std::vector<Issue> take() { return std::move(warnings_); }

 private:
  /// Of all sections of an area the circle has the largest hydraulic diameter.
  void look_at_section(const std::string& owner, const std::string& pointer, const Numbers& numbers,
                       std::uint64_t stated) {
    const std::size_t area = losses::find_key(*numbers.kind, "area");
    const std::size_t diameter = losses::find_key(*numbers.kind, "hydraulic_diameter");
    if (area == losses::npos || diameter == losses::npos) return;
    if ((stated >> area & 1U) == 0 || (stated >> diameter & 1U) == 0) return;
    constexpr double rounding = 1.02;  // of what the user has written down
    const double round = std::sqrt(4.0 * numbers.value[area] / std::numbers::pi);
    if (numbers.value[diameter] <= rounding * round) return;
    const std::string at = pointer_join(pointer, "hydraulic_diameter");
    warn(at,
         fmt::format("{}.hydraulic_diameter: {} is more than any section of {} has; a round one has {}",
                     owner, units::show(numbers.value[diameter], Quantity::length),
                     units::show(numbers.value[area], Quantity::area), units::show(round, Quantity::length)));
  }

  void warn(const std::string& pointer, std::string text) {
    warnings_.push_back(model_.document.issue(pointer, "implausible", std::move(text), Severity::warning));
  }

  const Model& model_;
  std::vector<Issue> warnings_;
};

}  // namespace

std::vector<Issue> implausible_numbers(const Model& model) {
  Search search(model);
  for (const Element& element : model.elements) {
    if (element.numbers.kind->law != nullptr) search.look_at(element.name, element.pointer, element.numbers);
    for (std::size_t i = 0; i < element.pieces.size(); ++i) {
      const std::string pointer = pointer_join(pointer_join(element.pointer, "pieces"), fmt::format("{}", i));
      search.look_at(element.pieces[i].name, pointer, element.pieces[i].numbers);
    }
  }
  for (const Loop& loop : model.loops) {
    search.look_at(loop.name, loop.pointer, "", "flow", Quantity::mass_flow, loop.flow);
    search.look_at(loop.name, loop.pointer, "", "heat_load", Quantity::power, loop.heat_load);
  }
  for (const Point& point : model.points) {
    for (const auto& [loop, heat] : point.heat_load)
      search.look_at(fmt::format("{}, heat_load", quoted(point.name)),
                     pointer_join(point.pointer, "heat_load"), "", loop, Quantity::power, heat);
  }
  return search.take();
}

}  // namespace corefeed::model
