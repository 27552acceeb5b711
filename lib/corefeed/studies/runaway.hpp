// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/studies/study.hpp"

/// Loops that run away: with next to no air their equations still have a solution, which nobody has ever
/// seen. Private to the library's sources.
namespace corefeed::studies {

/// Takes a solution with a loop at `hottest_believed` or beyond back, and says which and why.
void refuse_runaway(PointResult& result);

}  // namespace corefeed::studies
