// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/passes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <utility>

namespace corefeed::cooling {
namespace {

Issue unreachable(double effectiveness, double capacity_ratio, double reachable) {
  Issue issue;
  issue.code = "effectiveness_out_of_reach";
  issue.text = fmt::format(
      "the effectiveness is {:.4g}, expected above 0 and below {:.4g}, the most this arrangement reaches at "
      "a "
      "capacity ratio of {:.4g}; check flows, heat and inlet temperatures of the test",
      effectiveness, reachable, capacity_ratio);
  return issue;
}

}  // namespace

Result<double> ntu_of(const Layout& layout, double effectiveness, double capacity_ratio,
                      bool air_is_smallest) {
  const auto excess = [&](double ntu) {
    return layout_effectiveness<double>(layout, ntu, capacity_ratio, air_is_smallest) - effectiveness;
  };
  // Overall parallel flow has its best at a finite NTU; the search ends where more of it no longer helps.
  double high = 0.1;
  double best = excess(high);
  while (!(best > 0) && high < largest_ntu) {
    const double further = std::min(2 * high, largest_ntu);
    const double next = excess(further);
    if (!(next > best)) break;
    high = further;
    best = next;
  }
  if (!(effectiveness > 0) || !(best > 0)) {
    return unreachable(effectiveness, capacity_ratio, best + effectiveness);
  }
  std::uintmax_t steps = 200;
  const std::pair<double, double> bracket = boost::math::tools::toms748_solve(
      excess, 0.0, high, -effectiveness, best, boost::math::tools::eps_tolerance<double>(50), steps);
  return 0.5 * (bracket.first + bracket.second);
}

}  // namespace corefeed::cooling
