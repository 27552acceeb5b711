// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>
#include <vector>

#include "corefeed/cooling/coupling.hpp"

/// The equations of loops of fixed flow, which may be evaluated at several operating points at once. Private
/// to the library's sources.
namespace corefeed::cooling {

/// The core's leaving temperature is that of its effectiveness.
struct LeavingResidual {
  CoreStates core;

  std::string_view packed_name() const { return core.cools_network() ? "" : "core leaving"; }
  template <class S>
  S operator()(const S* x, const S* p) const {
    const S expected = core.heat<S>(x, p).temperature_out;
    const S rest = core.leaving<S>(x, p) - expected;
    return rest;
  }
};

/// What the cores of a loop carry away less its heat load, or how far the loop is beyond the hottest
/// temperature it may have, if that is more. `load` and `hot` are places among unknowns and parameters, by
/// `held`.
struct BalanceResidual {
  std::vector<CoreStates> cores;
  int load;
  int hot;
  bool held;
  double slope;  ///< W/K, of what lies beyond

  std::string_view packed_name() const { return "loop balance"; }
  template <class S>
  S operator()(const S* x, const S* p) const {
    S surplus = held ? -x[load] : -p[load];
    for (const CoreStates& core : cores) surplus += core.carried<S>(x, p);
    if (held) return surplus;
    const S beyond = slope * (x[hot] - hottest_loop_temperature);
    const S rest = larger<S>(surplus, beyond);
    return rest;
  }
};

}  // namespace corefeed::cooling
