// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <unsupported/Eigen/AutoDiff>

#include <cmath>
#include <type_traits>

/// The number types a law is written for: double for values and a dual number for exact derivatives. Private
/// to the library's sources. House rules for formulas: keep every intermediate in a `const S`, never in
/// `auto` (an expression of the dual type refers to its operands); choose with `select`, never with `if` on a
/// scalar (the word of a choice key, the same for every operating point, aside).
namespace corefeed {

/// Derivatives carried at once: enough for the states that one law reads. What depends on more is evaluated
/// in several passes; twice the width made every law twice as slow.
inline constexpr int dual_width = 8;
using Dual = Eigen::AutoDiffScalar<Eigen::Matrix<double, dual_width, 1>>;

}  // namespace corefeed

// Found where Eigen's own are looked up, and taken before them: those call the function a second time, and a
// hyperbolic cosine, for the slope.
namespace Eigen {

inline corefeed::Dual pow(const corefeed::Dual& x, double exponent) {
  const double value = std::pow(x.value(), exponent);
  const double slope =
      x.value() == 0.0 ? exponent * std::pow(x.value(), exponent - 1.0) : exponent * value / x.value();
  return {value, slope * x.derivatives()};
}

inline corefeed::Dual tanh(const corefeed::Dual& x) {
  const double value = std::tanh(x.value());
  return {value, (1.0 - value * value) * x.derivatives()};
}

}  // namespace Eigen

namespace corefeed {

/// Keeps `S` from being deduced from an expression type.
template <class S>
using Same = std::type_identity_t<S>;

inline double value_of(double x) { return x; }
inline double value_of(const Dual& x) { return x.value(); }

/// What a comparison of two scalars gives. One truth value here; a scalar that holds several operating points
/// (pack.hpp) gives one for each, so a law never puts a mask into an `if`.
template <class S>
struct MaskOf {
  using type = bool;
};
template <class S>
using Mask = typename MaskOf<S>::type;
/// Whether the scalar holds several operating points.
template <class S>
inline constexpr bool is_packed = !std::is_same_v<Mask<S>, bool>;

/// `a` where the mask is true, else `b`.
template <class S>
const S& choose(bool mask, const S& a, const S& b) {
  return mask ? a : b;
}

/// The same of two functions without arguments, of which only the wanted one is called.
template <class S, class First, class Second>
S choose_result(bool mask, const First& a, const Second& b) {
  return mask ? S(a()) : S(b());
}

/// A number that is the same for every operating point.
inline double common_value(double x) { return x; }

template <class S>
Mask<S> above(const Same<S>& a, const Same<S>& b) {
  return value_of(a) > value_of(b);
}

template <class S>
Mask<S> at_least(const Same<S>& a, const Same<S>& b) {
  return value_of(a) >= value_of(b);
}

template <class S>
S select(const Mask<S>& mask, const Same<S>& a, const Same<S>& b) {
  return choose(mask, a, b);
}

template <class S>
S larger(const Same<S>& a, const Same<S>& b) {
  return select<S>(above<S>(a, b), a, b);
}

template <class S>
S smaller(const Same<S>& a, const Same<S>& b) {
  return select<S>(above<S>(b, a), a, b);
}

/// x held between two bounds.
template <class S>
S held_between(const Same<S>& x, double lowest, double highest) {
  const S low = larger<S>(x, S(lowest));
  return smaller<S>(low, S(highest));
}

template <class S>
S second_power(const Same<S>& x) {
  const S result = x * x;
  return result;
}

template <class S>
S fourth_power(const Same<S>& x) {
  const S square = x * x;
  const S result = square * square;
  return result;
}

/// 0 below, x above, a parabola over +-width between them: max(x, 0) without the jump of its slope.
template <class S>
S rounded_ramp(const Same<S>& x, const Same<S>& width) {
  const S parabola = (x + width) * (x + width) / (4.0 * width);
  const S upper = select<S>(above<S>(x, width), x, parabola);
  return select<S>(above<S>(S(-width), x), S(0.0), upper);
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
