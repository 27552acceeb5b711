// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/runaway.hpp"

#include <fmt/format.h>

namespace corefeed::studies {

void refuse_runaway(PointResult& result) {
  for (std::size_t l = 0; l < result.solution.loops.size(); ++l) {
    const cooling::LoopState& loop = result.solution.loops[l];
    if (!result.solution.converged || loop.temperature < hottest_believed) continue;
    const cooling::Case& problem = result.built.problem;
    std::string cores;
    for (std::size_t e = 0; e < problem.loop_of.size(); ++e) {
      if (problem.loop_of[e] != static_cast<int>(l)) continue;
      cores += fmt::format("{}{} ({:.2g} kg/s)", cores.empty() ? "" : ", ", problem.network.elements[e].name,
                           result.solution.elements[e].flow);
    }
    result.solution.converged = false;
    result.solution.explanation = fmt::format(
        "the loop {} has no steady temperature: the air through its cores stands nearly still: {}",
        problem.loops[l].name, cores);
  }
}

}  // namespace corefeed::studies
