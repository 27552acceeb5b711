// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "corefeed/studies/compare.hpp"

/// Numbers, sentences and tables of a comparison. Private to the room.
namespace corefeed::reports {

/// The unit and the digits in which one quantity of all alternatives is shown.
struct Scale {
  units::Quantity kind = units::Quantity::number;
  std::string_view unit;
  int digits = 3;

  std::string value(double si) const;
  std::string change(double si) const;  ///< with its sign
  std::string unit_note() const;        ///< " [kg/s]"
};

/// As many digits as the smallest band of a difference is worth, three to five in all.
Scale scale_of(const studies::ComparedQuantity& quantity);

/// The three largest differences of an alternative in words: "narrow_nose: radiator gets 0.32 kg/s less;
/// nose_duct takes 310 Pa more"; empty where one of the two has no solution.
std::string highlights_sentence(const studies::Comparison& comparison, const studies::ComparedPoint& point,
                                std::size_t alternative);

/// How a study judged a requirement at a point; null where it did not.
const studies::Judgment* judgment_at(const model::Model& model, const studies::Study& study,
                                     std::string_view requirement, std::string_view point);

/// Columns that the name of an alternative takes at most.
inline constexpr std::size_t widest_name = 20;

/// A name cut in its middle, since names of alternatives differ at either end. Names are cut at characters of
/// UTF-8, not inside of one.
std::string shortened(const std::string& name, std::size_t most);

/// What matters at a point, a row each, in blocks of at most four alternatives, fewer where the page is too
/// narrow: value, difference to the first. A block in which nobody has a solution is left out.
std::string quantity_table(const std::vector<studies::Alternative>& alternatives,
                           const studies::Comparison& comparison, const studies::ComparedPoint& point);

/// The same for a core's loss budget.
std::string budget_table(const studies::Comparison& comparison, const studies::ComparedBudget& budget);

}  // namespace corefeed::reports
