// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

#include "corefeed/losses/scalar.hpp"

/// Effectiveness of heat exchangers from NTU and the ratio of heat capacity rates, exact relations
/// throughout. Kays & London, Compact Heat Exchangers, 1984; the crossflow series: Mason 1954. Private to the
/// library's sources.
namespace corefeed::cooling {

/// How the streams run; the order is that of the core's key `arrangement`.
enum class Arrangement {
  crossflow_both_unmixed,
  crossflow_air_mixed,
  crossflow_liquid_mixed,
  counterflow,
  parallel_flow
};

/// Beyond this NTU the effectiveness no longer moves in the sixth digit for any capacity ratio below 1.
inline constexpr double largest_ntu = 300.0;

inline double number_of(double x) { return x; }
template <class Derivatives>
double number_of(const Eigen::AutoDiffScalar<Derivatives>& x) {
  return x.value();
}

/// The series behind `crossflow_both_unmixed`: (1/(C N)) sum_n P(n+1, N) P(n+1, C N), P the regularized gamma
/// function built up term by term.
template <class S>
S crossflow_series(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S other = capacity_ratio * ntu;
  S term = exp(S(-ntu));
  S term_other = exp(S(-other));
  S rest = 1.0 - term;
  S rest_other = 1.0 - term_other;
  S sum = rest * rest_other;
  for (int n = 1; n < 2000; ++n) {
    term = term * ntu / static_cast<double>(n);
    term_other = term_other * other / static_cast<double>(n);
    rest = rest - term;
    rest_other = rest_other - term_other;
    const S added = rest * rest_other;
    sum = sum + added;
    if (n > number_of(other) && std::abs(number_of(added)) < 1e-16 * number_of(sum)) break;
  }
  const S result = sum / other;
  return result;
}

/// For many derivatives: the series depends on two numbers, so it is run with two and the chain rule does the
/// rest.
inline double crossflow_sum(double ntu, double capacity_ratio) {
  return crossflow_series<double>(ntu, capacity_ratio);
}
inline Dual crossflow_sum(const Dual& ntu, const Dual& capacity_ratio) {
  using Two = Eigen::AutoDiffScalar<Eigen::Vector2d>;
  const Two sum = crossflow_series<Two>(Two(ntu.value(), 2, 0), Two(capacity_ratio.value(), 2, 1));
  return {sum.value(),
          sum.derivatives()[0] * ntu.derivatives() + sum.derivatives()[1] * capacity_ratio.derivatives()};
}

/// Both fluids unmixed, `capacity_ratio` in [0, 1].
template <class S>
S crossflow_both_unmixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  // At C = 0 the series is 0/0; a capacity ratio of 1e-9 differs from it in the ninth digit.
  const S held_ratio = larger<S>(capacity_ratio, S(1e-9));
  const S result = crossflow_sum(ntu, held_ratio);
  // Without any NTU the series is 0/0; the effectiveness is then the NTU itself.
  return select<S>(value_of(ntu) > 1e-8, result, ntu);
}

template <class S>
S crossflow_largest_mixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S ratio = larger<S>(capacity_ratio, S(1e-9));
  const S unmixed = 1.0 - exp(S(-ntu));
  const S decay = exp(S(-ratio * unmixed));
  const S result = (1.0 - decay) / ratio;
  return result;
}

template <class S>
S crossflow_smallest_mixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S ratio = larger<S>(capacity_ratio, S(1e-9));
  const S unmixed = 1.0 - exp(S(-ratio * ntu));
  const S decay = exp(S(-unmixed / ratio));
  const S result = 1.0 - decay;
  return result;
}

template <class S>
S counterflow(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  // At C = 1 both parts vanish; a ratio of 1 - 1e-7 differs from it in the seventh digit.
  const S ratio = smaller<S>(capacity_ratio, S(1.0 - 1e-7));
  const S decay = exp(S(-ntu * (1.0 - ratio)));
  const S result = (1.0 - decay) / (1.0 - ratio * decay);
  return result;
}

template <class S>
S parallel_flow(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S sum = 1.0 + capacity_ratio;
  const S decay = exp(S(-ntu * sum));
  const S result = (1.0 - decay) / sum;
  return result;
}

template <class S>
S effectiveness(Arrangement arrangement, const Same<S>& ntu, const Same<S>& capacity_ratio,
                bool air_is_smallest) {
  const S held = smaller<S>(ntu, S(largest_ntu));
  switch (arrangement) {
    case Arrangement::crossflow_both_unmixed:
      return crossflow_both_unmixed<S>(held, capacity_ratio);
    case Arrangement::crossflow_air_mixed:
      return air_is_smallest ? crossflow_smallest_mixed<S>(held, capacity_ratio)
                             : crossflow_largest_mixed<S>(held, capacity_ratio);
    case Arrangement::crossflow_liquid_mixed:
      return air_is_smallest ? crossflow_largest_mixed<S>(held, capacity_ratio)
                             : crossflow_smallest_mixed<S>(held, capacity_ratio);
    case Arrangement::counterflow:
      return counterflow<S>(held, capacity_ratio);
    case Arrangement::parallel_flow:
      return parallel_flow<S>(held, capacity_ratio);
  }
  return S(0.0);
}

}  // namespace corefeed::cooling
