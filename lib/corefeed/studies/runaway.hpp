// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/studies/study.hpp"

/// Loops that run away: with next to no air their equations still have a solution, which nobody has ever
/// seen. Private to the library's sources.
namespace corefeed::studies {

/// K. A loop that would have to be hotter has no steady temperature.
inline constexpr double hottest_answer = 1000.0;

/// Takes a solution with such a loop back, and says which and why.
void refuse_runaway(PointResult& result);

}  // namespace corefeed::studies
