// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/studies/compare.hpp"

/// One operating point of a comparison. Private to the room.
namespace corefeed::studies {

/// Relative difference that two solutions may show where nothing differs: a hundred times the residual.
inline constexpr double solver_noise = 1e-8;

/// An alternative at the point.
struct Subject {
  const model::Model* model;
  const PointResult* result;
};

ComparedPoint compare_point(const std::vector<Subject>& subjects);

/// The cores' budgets of all subjects, with the same rows for each.
std::vector<ComparedBudget> compare_budgets(const std::vector<Subject>& subjects);

}  // namespace corefeed::studies
