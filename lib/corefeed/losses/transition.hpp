// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/scalar.hpp"

/// How laminar and turbulent laws of a passage join. Private to the library's sources.
namespace corefeed::losses {

/// Where laminar flow ends and turbulent flow begins. Between them the two laws' ends are mixed linearly
/// (Gnielinski 1995); the corners are rounded so that the slope has no jump.
inline constexpr double laminar_end = 2300;
inline constexpr double turbulent_begin = 4000;

/// How a Reynolds number is shared between the two laws; each law sees its own end through the transition.
template <class S>
struct Transition {
  S laminar_reynolds;
  S turbulent_reynolds;
  S turbulent_share;
};

template <class S>
Transition<S> transition(const Same<S>& reynolds) {
  constexpr double span = turbulent_begin - laminar_end;
  constexpr double corner = 0.05;
  const S x = (reynolds - laminar_end) / span;
  const S begun = rounded_ramp<S>(x, S(corner));
  const S done = rounded_ramp<S>(S(x - 1.0), S(corner));
  Transition<S> result;
  result.laminar_reynolds = reynolds - span * begun;
  result.turbulent_reynolds = turbulent_begin + span * done;
  result.turbulent_share = begun - done;
  return result;
}

}  // namespace corefeed::losses
