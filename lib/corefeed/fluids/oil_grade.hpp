// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>

#include "corefeed/fluids/source.hpp"

/// Viscosity grades of engine oils.
namespace corefeed::fluids {

/// What a grade asks of the hot oil. SI units.
struct OilGrade {
  double lowest = 0;      ///< kinematic viscosity at 100 degC, m2/s
  double below = 0;       ///< the same, m2/s, itself not allowed; infinite for a winter grade alone
  double high_shear = 0;  ///< least dynamic viscosity at 150 degC and high shear, Pa s; 0 for a winter grade
};

/// "40", "0W", "10W-40": the hot number rules; without one the winter number. Nothing for a word that is no
/// grade.
std::optional<OilGrade> oil_grade(std::string_view name);

const Source& oil_grade_source();

}  // namespace corefeed::fluids
