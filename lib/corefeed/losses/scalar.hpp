// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <unsupported/Eigen/AutoDiff>

#include <cmath>
#include <type_traits>

/// The number types a law is written for: double for values and a dual number for exact derivatives. Private
/// to the library's sources. House rules for formulas: keep every intermediate in a `const S`, never in
/// `auto` (an expression of the dual type refers to its operands); choose with `select`, never with `if` on a
/// scalar.
namespace corefeed {

/// Derivatives carried at once: enough for one law's states and its neighbor's.
inline constexpr int dual_width = 16;
using Dual = Eigen::AutoDiffScalar<Eigen::Matrix<double, dual_width, 1>>;

/// Keeps `S` from being deduced from an expression type.
template <class S>
using Same = std::type_identity_t<S>;

inline double value_of(double x) { return x; }
inline double value_of(const Dual& x) { return x.value(); }

template <class S>
S select(bool mask, const Same<S>& a, const Same<S>& b) {
  return mask ? a : b;
}

template <class S>
S larger(const Same<S>& a, const Same<S>& b) {
  return select<S>(value_of(a) > value_of(b), a, b);
}

template <class S>
S smaller(const Same<S>& a, const Same<S>& b) {
  return select<S>(value_of(a) < value_of(b), a, b);
}

template <class S>
S second_power(const Same<S>& x) {
  const S result = x * x;
  return result;
}

/// a^b for positive a, with both allowed to carry derivatives.
template <class S>
S power(const Same<S>& a, const Same<S>& b) {
  using std::exp;
  using std::log;
  const S logarithm = log(a);
  const S product = b * logarithm;
  const S result = exp(product);
  return result;
}

/// |x| rounded over the width e, so that its slope is continuous at 0: sqrt(x^2 + e^2).
template <class S>
S rounded_magnitude(const Same<S>& x, double width) {
  using std::sqrt;
  const S sum = x * x + S(width * width);
  const S result = sqrt(sum);
  return result;
}

}  // namespace corefeed
