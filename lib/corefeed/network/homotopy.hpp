// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "corefeed/network/globalization.hpp"
#include "corefeed/network/workspace.hpp"

/// The last way to a solution. Private to the library's sources.
namespace corefeed::network {

/// A homotopy whose curve of states leads to a solution with probability one (Chow, Mallet-Paret & Yorke
/// 1978, Math. Comp. 32): F(x) + e^s D (x - a) = 0 from s = 9, where x is next to a, down to s = -45, where
/// nothing is left of it. For the air, e^s is a resistance in every branch, a leak at every node and an
/// exchange of heat with what has the temperatures in a; D holds their signs, such that the losses, which
/// grow without bound with the flow, keep the curve from leaving. a is drawn at random, because only from
/// exceptional points a curve may branch or end.
///
/// The curve is followed by its length, turns included. Its sense comes from the sign of a determinant and
/// not from the last tangent: laws have kinks, behind which a curve may go on at any angle, but the sense by
/// the determinant is the right one on both sides (Allgower & Georg 1990, Numerical Continuation Methods, ch.
/// 2 and 15; both from memory). The matrices are dense: for some hundred unknowns and networks that nothing
/// else solves.
class Homotopy {
 public:
  /// The workspace has to live as long.
  Homotopy(Workspace& work, const Laws& laws);
  ~Homotopy();

  struct Ended {
    Termination termination = Termination::not_run;
    int iterations = 0;  ///< matrices taken apart
  };

  /// Whether the system is small enough.
  bool is_possible() const;

  /// Follows the curve from the a of this draw, whatever x is; x becomes a state next to a solution, for
  /// Newton's method to end at, or is left as it was.
  Ended follow(std::vector<double>& x, std::uint64_t draw, int most_iterations);

 private:
  class Curve;
  std::unique_ptr<Curve> curve_;
};

}  // namespace corefeed::network
