// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

/// A fitting close behind another one meets an uneven stream: its coefficient is multiplied by
/// 1 + (c_0 - 1) exp(-x / (4 D)), x the straight length between the two. Closure of ours for the c_0 of
/// adjacent fittings, after the interaction charts of Miller, Internal Flow Systems, ch. 10, from memory;
/// band 30 %.
namespace corefeed::losses {

/// Adds "upstream.fitting", one of these words, and "upstream.distance".
inline void add_upstream_keys(std::vector<Key>& keys, std::vector<std::string_view> fittings) {
  keys.push_back({.name = "upstream.fitting",
                  .meaning = "what stands close before it",
                  .need = Need::optional,
                  .choices = std::move(fittings)});
  keys.push_back({.name = "upstream.distance",
                  .symbol = "x",
                  .quantity = units::Quantity::length,
                  .meaning = "straight length between the two",
                  .need = Need::optional,
                  .lowest = 0.0});
}

inline std::vector<Rule> upstream_rules() {
  return {{Rule::Kind::needs, {"upstream.fitting", "upstream.distance"}},
          {Rule::Kind::needs, {"upstream.distance", "upstream.fitting"}}};
}

/// Share of the upstream fitting's effect that is left, exp(-x / (4 D)); 0 where none is named.
template <class S>
S upstream_share(const Input<S>& in, std::size_t fitting, std::size_t distance, const Same<S>& diameter) {
  using std::exp;
  if (!in.has(fitting)) return S(0.0);
  return exp(S(-in[distance] / (4.0 * diameter)));
}

/// The factor on the coefficient; `adjacent` holds c_0 in the order of the words.
template <class S, std::size_t N>
S upstream_factor(const Input<S>& in, std::size_t fitting, std::size_t distance, const Same<S>& diameter,
                  const std::array<double, N>& adjacent) {
  if (!in.has(fitting)) return S(1.0);
  const double excess = adjacent[static_cast<std::size_t>(in.choice(fitting))] - 1.0;
  const S factor = 1.0 + excess * upstream_share<S>(in, fitting, distance, diameter);
  return factor;
}

}  // namespace corefeed::losses
