// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/compare_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace corefeed::reports {
namespace {

using studies::ComparedLoss;
using studies::ComparedPoint;
using studies::ComparedQuantity;
using studies::ComparedValue;
using studies::Presence;
using units::Quantity;

double in_unit(double si, Quantity kind, std::string_view unit) {
  return kind == Quantity::number ? si : units::convert(si, kind, unit);
}

/// A change of a level carries no offset of its unit.
double change_in_unit(double si, Quantity kind, std::string_view unit) {
  return in_unit(si, kind, unit) - in_unit(0.0, kind, unit);
}

int exponent(double value) { return static_cast<int>(std::floor(std::log10(std::abs(value) + 1e-9))); }

std::string_view owner_of(std::string_view quantity) { return quantity.substr(0, quantity.find('.')); }

std::string quantity_words(const ComparedQuantity& row, std::size_t alternative) {
  const ComparedValue& compared = row.values[alternative];
  const bool more = compared.change > 0.0;
  const double size = std::abs(compared.change);
  const std::string by = size < 9.95 ? fmt::format("{:#.2g}", size) : fmt::format("{:.0f}", size);
  if (row.kind == Quantity::mass_flow)
    return fmt::format("{} gets {} kg/s {}", owner_of(row.quantity), by, more ? "more" : "less");
  if (row.kind == Quantity::temperature)
    return fmt::format("{} is {} K {}", owner_of(row.quantity), by, more ? "hotter" : "cooler");
  return fmt::format("cooling drag is {} N {}", by, more ? "larger" : "smaller");
}

std::string loss_words(const studies::ComparedElement& element, std::size_t alternative,
                       const std::string& name_of_first) {
  const ComparedLoss& first = element.losses.front();
  const ComparedLoss& other = element.losses[alternative];
  const auto does = [](const ComparedLoss& one) {
    return fmt::format("{} {:.0f} Pa", one.loss < 0.0 ? "helps with" : "takes", std::abs(one.loss));
  };
  if (other.presence == Presence::absent)
    return fmt::format("{} is absent, which {} in {}", element.name, does(first), name_of_first);
  if (first.presence == Presence::absent) return fmt::format("{} is new and {}", element.name, does(other));
  if (first.loss >= 0.0 && other.loss >= 0.0) {
    return fmt::format("{} takes {:.0f} Pa {}", element.name, std::abs(other.change),
                       other.change > 0.0 ? "more" : "less");
  }
  if (first.loss <= 0.0 && other.loss <= 0.0) {
    return fmt::format("{} helps with {:.0f} Pa {}", element.name, std::abs(other.change),
                       other.change > 0.0 ? "less" : "more");
  }
  return fmt::format("{} {} instead of {:+.0f}", element.name, does(other), first.loss);
}

}  // namespace

std::string Scale::value(double si) const { return fmt::format("{:.{}f}", in_unit(si, kind, unit), digits); }

std::string Scale::change(double si) const {
  return fmt::format("{:+.{}f}", change_in_unit(si, kind, unit), digits);
}

std::string Scale::unit_note() const { return unit.empty() ? "" : fmt::format(" [{}]", unit); }

Scale scale_of(const ComparedQuantity& quantity) {
  Scale scale{quantity.kind, units::info(quantity.kind).display, 0};
  double largest = 0.0;
  for (const ComparedValue& one : quantity.values)
    if (one.value) largest = std::max(largest, std::abs(*one.value));
  // What a fan draws is no matter of kilowatts.
  if (quantity.kind == Quantity::power && largest < 1000.0) scale.unit = "W";
  const double shown = largest == 0.0 ? 1.0 : in_unit(largest, scale.kind, scale.unit);
  const int usual = 3 - exponent(shown);
  int finest = -1;
  for (const ComparedValue& one : quantity.values) {
    if (one.sigma <= 0.0) continue;
    finest = std::max(finest, 1 - exponent(change_in_unit(one.sigma, scale.kind, scale.unit)));
  }
  scale.digits = std::clamp(finest < 0 ? usual : std::clamp(finest, usual - 1, usual + 1), 0, 6);
  return scale;
}

std::string highlights_sentence(const studies::Comparison& comparison, const ComparedPoint& point,
                                std::size_t alternative) {
  const auto solved = [&](std::size_t a) {
    for (const studies::PointResult& one : comparison.studies[a].points)
      if (one.name == point.name) return one.solution.converged;
    return false;
  };
  if (!solved(0) || !solved(alternative)) return "";
  std::string words;
  for (const studies::Highlight& one : point.largest[alternative]) {
    words += words.empty() ? "" : "; ";
    words += one.loss ? loss_words(point.budgets[one.budget].elements[one.row], alternative,
                                   comparison.names.front())
                      : quantity_words(point.quantities[one.row], alternative);
  }
  if (words.empty()) words = "no difference that is larger than its band";
  return fmt::format("{}: {}", comparison.names[alternative], words);
}

const studies::Judgment* judgment_at(const model::Model& model, const studies::Study& study,
                                     std::string_view requirement, std::string_view point) {
  for (const studies::JudgedRequirement& judged : study.requirements) {
    if (model.requirements[judged.index].name != requirement) continue;
    for (const studies::Judgment& judgment : judged.judgments)
      if (judgment.point == point) return &judgment;
  }
  return nullptr;
}

}  // namespace corefeed::reports
