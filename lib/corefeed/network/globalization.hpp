// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "corefeed/network/solver.hpp"
#include "corefeed/network/workspace.hpp"

/// Ways to a solution where Newton's method alone does not get there. Private to the library's sources.
namespace corefeed::network {

/// What the equations of a part are, so far as more is known of them than their numbers.
struct Laws {
  /// By equation of the system: the flow whose loss it states, or -1 where it is no law of an element.
  std::vector<int> own_flow;
  /// By equation: the temperature whose heat it balances, or -1.
  std::vector<int> own_temperature;
  /// By equation: the pressure of the node whose mass it balances, or -1.
  std::vector<int> own_pressure;
};

/// Both ways work on the flows of laws; they give up at once on a part without any.
class Globalization {
 public:
  /// The workspace has to live as long.
  Globalization(Workspace& work, const Laws& laws);

  struct Ended {
    Termination termination = Termination::not_run;
    int iterations = 0;
  };

  bool has_laws() const { return !own_.empty(); }

  /// Descent on the content, the sum over the branches of the integral of loss less pressure difference over
  /// the flow (Cherry 1951; Millar 1951, Phil. Mag. 42): each step goes to about the lowest point along
  /// Newton's direction. For losses that rise with their flow the content is convex, so this ends at its only
  /// minimum from any start.
  Ended descend(std::vector<double>& x, const SolveOptions& options);

  /// The air's own inertia: each flow is held back by a mass in its branch, each temperature by a heat
  /// capacity at its node or loop, while time goes on in steps that grow as the residual falls
  /// (pseudo-transient continuation, Kelley & Keyes 1998, SIAM J. Numer. Anal. 35). It ends where the flow in
  /// the car would settle.
  Ended settle(std::vector<double>& x, const SolveOptions& options);

  /// A resistance in every branch, so large at first that nothing but it counts and the flow has one state
  /// only, then taken away along the curve of states, which may turn back on its way (pseudo-arclength
  /// continuation, Keller 1977). Losses grow without bound with the flow, so the curve cannot leave, and but
  /// for accidents it leads to a state without the resistance.
  Ended release(std::vector<double>& x, const SolveOptions& options);

 private:
  /// A law: its row, the column of its own flow, where the Jacobian holds that slope.
  struct Law {
    std::size_t row;
    std::size_t column;
    std::size_t slot;
  };
  enum class Shape { as_it_is, convex };

  bool step(std::span<const double> x, Shape shape, double inertia);
  void move(std::span<const double> x, double share);
  double content_slope(std::span<const double> rest) const;
  void search(std::span<const double> x, double begin);
  bool branch_factors(std::span<const double> x, double resistance);
  bool correct(std::vector<double>& x, double& logarithm, std::span<const double> tangent, double tangent_log,
               Ended& ended);

  Workspace* work_;
  std::vector<Law> own_;
  std::vector<Law> warm_;  ///< the same for heat balances and their temperatures
  std::vector<double> rest_, next_, step_, trial_;
  std::vector<double> along_;  ///< derivative of the state by the logarithm of the resistance
};

}  // namespace corefeed::network
