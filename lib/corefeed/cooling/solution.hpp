// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/cooling/case.hpp"
#include "corefeed/network/certificate.hpp"

namespace corefeed::cooling {

struct SolveOptions {
  double tolerance = 1e-10;    ///< largest scaled residual that counts as solved
  int most_iterations = 3000;  ///< Newton steps over all stages; the last way may take as many again
  /// Look for further operating points where a loss may fall while a flow rises.
  bool look_for_others = true;
};

/// A loop that would have to be hotter than this to give off its heat has no steady temperature, K. Far above
/// what any liquid bears, so that a core short of air still shows how short.
inline constexpr double hottest_loop_temperature = 2000.0;

/// How a solution ended.
enum class Ending {
  not_converged,          ///< no state was found; also the state at birth
  no_steady_temperature,  ///< a loop cannot give off its heat; the states are those with the loop at 2000 K
  undetermined_flow,      ///< elements without any loss contradict given pressures or leave a flow open
  solved
};

/// The solved state of one operating point. Born invalid: where `converged` is false, `explanation` says why
/// and the states are those of the last step, good for a look but not for a verdict.
class Solution {
 public:
  bool converged = false;  ///< `ending` is `solved`
  Ending ending = Ending::not_converged;
  double residual = -1.0;  ///< largest scaled residual of all equations
  int iterations = 0;      ///< Newton steps
  std::string explanation;
  /// Balances of mass, energy and pressure, added up apart from the solver.
  network::Certificate certificate;
  /// Whether the flow stays here by itself: a small disturbance dies out while temperatures hold.
  bool stable = true;
  /// Further states that the same network can be in, found by search; none without a fan that stalls, an
  /// inlet in a boundary layer, a vent's table that falls or a junction. Each is a solution like this one.
  std::vector<Solution> further;
  /// Whether this is the only stable one of the states found.
  bool is_unique() const;

  std::vector<ElementState> elements;  ///< as in the case's network
  std::vector<NodeState> nodes;
  std::vector<LoopState> loops;
  std::vector<Number> car;  ///< cooling_drag, cooling_drag_upper (N), cooling_drag_coefficient where known

  /// Value of a quantity "NAME.what" ("radiator.flow", "coolant.temperature", "car.cooling_drag"), SI.
  std::optional<double> value(std::string_view quantity) const;

  /// Exact total derivatives of a quantity with respect to every number of every element and loop, flow and
  /// heat coupled. Empty for an unknown quantity or a singular state.
  std::vector<Parameter> gradient(std::string_view quantity) const;

  struct Internals;

 private:
  friend Solution solve(const Case&, const SolveOptions&);
  std::shared_ptr<const Internals> internals_;
};

/// Solves flow and heat together. Cost: a few milliseconds for a car. Never throws, never prints.
Solution solve(const Case& problem, const SolveOptions& options = {});

}  // namespace corefeed::cooling
