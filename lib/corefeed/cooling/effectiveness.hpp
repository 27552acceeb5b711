// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

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

/// Whether the term `added` after the n-th no longer counts in the series below.
inline bool is_settled(int n, double other, double added, double sum) {
  return n > other && std::abs(added) < 1e-16 * sum;
}
template <class Derivatives>
bool is_settled(int n, const Eigen::AutoDiffScalar<Derivatives>& other,
                const Eigen::AutoDiffScalar<Derivatives>& added,
                const Eigen::AutoDiffScalar<Derivatives>& sum) {
  return is_settled(n, other.value(), added.value(), sum.value());
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
    if (is_settled(n, other, added, sum)) break;
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

/// (1 - exp(-x))/x, 1 at x = 0, without the rounding of the difference.
template <class S>
S mean_decay(const Same<S>& x) {
  using std::exp;
  const S held = larger<S>(x, S(1e-3));
  const S whole = (1.0 - exp(S(-held))) / held;
  const S series = 1.0 - x * (1.0 / 2.0 - x * (1.0 / 6.0 - x * (1.0 / 24.0 - x / 120.0)));
  return select<S>(above<S>(x, S(1e-3)), whole, series);
}

/// The crossflow series for x = C N up to 0.01: P(n+1, x)/x = exp(-x) sum_(k>n) x^(k-1)/k!, where the
/// recursion would subtract nearly equal numbers.
template <class S>
S crossflow_slow_side(const Same<S>& ntu, const Same<S>& x) {
  using std::exp;
  constexpr int terms = 7;
  std::array<S, terms> fast;
  S term = exp(S(-ntu));
  S rest = 1.0 - term;
  for (int n = 0; n < terms; ++n) {
    fast[static_cast<std::size_t>(n)] = rest;
    term = term * ntu / static_cast<double>(n + 1);
    rest = rest - term;
  }
  constexpr std::array<double, terms + 1> factorial{1, 2, 6, 24, 120, 720, 5040, 40320};
  std::array<S, terms> power;
  power[0] = S(1.0);
  for (std::size_t n = 1; n < terms; ++n) power[n] = power[n - 1] * x;
  S slow(0.0);
  S sum(0.0);
  for (std::size_t n = terms; n-- > 0;) {
    slow = slow + power[n] / factorial[n];
    sum = sum + fast[n] * slow;
  }
  const S result = sum * exp(S(-x));
  return result;
}

/// Both fluids unmixed, `capacity_ratio` in [0, 1].
template <class S>
S crossflow_both_unmixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  constexpr double slow = 0.01;
  const S x = capacity_ratio * ntu;
  const S held_ratio = larger<S>(x, S(slow)) / larger<S>(ntu, S(1e-9));
  const S result = choose_result<S>(
      above<S>(x, S(slow)), [&] { return crossflow_sum(ntu, held_ratio); },
      [&] { return crossflow_slow_side<S>(ntu, x); });
  // Without any NTU the series is 0/0; the effectiveness is then the NTU itself.
  return select<S>(above<S>(ntu, S(1e-8)), result, ntu);
}

template <class S>
S crossflow_largest_mixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S unmixed = 1.0 - exp(S(-ntu));
  const S result = unmixed * mean_decay<S>(S(capacity_ratio * unmixed));
  return result;
}

template <class S>
S crossflow_smallest_mixed(const Same<S>& ntu, const Same<S>& capacity_ratio) {
  using std::exp;
  const S exponent = ntu * mean_decay<S>(S(capacity_ratio * ntu));
  const S result = 1.0 - exp(S(-exponent));
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
                const Mask<S>& air_is_smallest) {
  const S held = smaller<S>(ntu, S(largest_ntu));
  const auto smallest_mixed = [&] { return crossflow_smallest_mixed<S>(held, capacity_ratio); };
  const auto largest_mixed = [&] { return crossflow_largest_mixed<S>(held, capacity_ratio); };
  switch (arrangement) {
    case Arrangement::crossflow_both_unmixed:
      return crossflow_both_unmixed<S>(held, capacity_ratio);
    case Arrangement::crossflow_air_mixed:
      return choose_result<S>(air_is_smallest, smallest_mixed, largest_mixed);
    case Arrangement::crossflow_liquid_mixed:
      return choose_result<S>(air_is_smallest, largest_mixed, smallest_mixed);
    case Arrangement::counterflow:
      return counterflow<S>(held, capacity_ratio);
    case Arrangement::parallel_flow:
      return parallel_flow<S>(held, capacity_ratio);
  }
  return S(0.0);
}

}  // namespace corefeed::cooling
