// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <xsimd/xsimd.hpp>

#include <array>
#include <bit>
#include <cmath>
#include <cstddef>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/losses/curve.hpp"
#include "corefeed/losses/scalar.hpp"
#include "corefeed/losses/surroundings.hpp"

/// Scalars that hold the number of `lane_count` operating points each, for laws to be evaluated at all of
/// them at once. Compiled once for each instruction set, in a namespace of its own, because what is compiled
/// for one may not be linked into what runs on another. Private to the sources that `packed.cpp.in` brings
/// together.
namespace corefeed::COREFEED_PACK_NAMESPACE {

using Register = xsimd::batch<double, COREFEED_PACK_ARCH>;
using RegisterMask = Register::batch_bool_type;
inline constexpr std::size_t registers = losses::lane_count / Register::size;

struct PackMask {
  std::array<RegisterMask, registers> part;
};

/// One number a lane.
struct alignas(64) Pack {
  std::array<Register, registers> part;

  Pack() = default;
  Pack(double all) {
    for (Register& one : part) one = Register(all);
  }
  Pack(const losses::Lanes& lanes) : Pack(lanes.lane.data()) {}
  /// From as many numbers as there are lanes, at an aligned place.
  explicit Pack(const double* lanes) {
    for (std::size_t r = 0; r < registers; ++r) part[r] = Register::load_aligned(lanes + r * Register::size);
  }
  void store(double* lanes) const {
    for (std::size_t r = 0; r < registers; ++r) part[r].store_aligned(lanes + r * Register::size);
  }
};

template <class Operation>
Pack each(const Pack& a, const Operation& operation) {
  Pack result;
  for (std::size_t r = 0; r < registers; ++r) result.part[r] = operation(a.part[r]);
  return result;
}

template <class Operation>
Pack each(const Pack& a, const Pack& b, const Operation& operation) {
  Pack result;
  for (std::size_t r = 0; r < registers; ++r) result.part[r] = operation(a.part[r], b.part[r]);
  return result;
}

template <class Operation>
PackMask compare(const Pack& a, const Pack& b, const Operation& operation) {
  PackMask result;
  for (std::size_t r = 0; r < registers; ++r) result.part[r] = operation(a.part[r], b.part[r]);
  return result;
}

inline Pack operator-(const Pack& a) {
  return each(a, [](const Register& x) { return -x; });
}
inline Pack operator+(const Pack& a, const Pack& b) {
  return each(a, b, [](const Register& x, const Register& y) { return x + y; });
}
inline Pack operator-(const Pack& a, const Pack& b) {
  return each(a, b, [](const Register& x, const Register& y) { return x - y; });
}
inline Pack operator*(const Pack& a, const Pack& b) {
  return each(a, b, [](const Register& x, const Register& y) { return x * y; });
}
inline Pack operator/(const Pack& a, const Pack& b) {
  return each(a, b, [](const Register& x, const Register& y) { return x / y; });
}
inline PackMask operator>(const Pack& a, const Pack& b) {
  return compare(a, b, [](const Register& x, const Register& y) { return x > y; });
}
inline PackMask operator>=(const Pack& a, const Pack& b) {
  return compare(a, b, [](const Register& x, const Register& y) { return x >= y; });
}
inline Pack choose(const PackMask& mask, const Pack& a, const Pack& b) {
  Pack result;
  for (std::size_t r = 0; r < registers; ++r)
    result.part[r] = xsimd::select(mask.part[r], a.part[r], b.part[r]);
  return result;
}
inline bool all_of(const PackMask& mask) {
  bool all = true;
  for (const RegisterMask& one : mask.part) all = all && xsimd::all(one);
  return all;
}

inline bool none_of(const PackMask& mask) {
  bool none = true;
  for (const RegisterMask& one : mask.part) none = none && xsimd::none(one);
  return none;
}

// Out of line: each is long, and there are many calls.
[[gnu::noinline]] inline Pack exp(const Pack& a) {
  return each(a, [](const Register& x) { return xsimd::exp(x); });
}
[[gnu::noinline]] inline Pack log(const Pack& a) {
  return each(a, [](const Register& x) { return xsimd::log(x); });
}
[[gnu::noinline]] inline Pack tanh(const Pack& a) {
  return each(a, [](const Register& x) { return xsimd::tanh(x); });
}
/// A function of doubles: once where all lanes hold the same, as angles do, else lane by lane. Also what
/// keeps xsimd's reduction of angles away, which is not named after the instruction set that it is compiled
/// for.
template <class Function>
Pack of_doubles(const Pack& a, const Function& function) {
  losses::Lanes lanes;
  a.store(lanes.lane.data());
  const double first = lanes.lane[0];
  if (all_of(a >= Pack(first)) && all_of(Pack(first) >= a)) return Pack(function(first));
  for (double& one : lanes.lane) one = function(one);
  return Pack(lanes);
}

[[gnu::noinline]] inline Pack sin(const Pack& a) {
  return of_doubles(a, [](double x) { return std::sin(x); });
}
[[gnu::noinline]] inline Pack cos(const Pack& a) {
  return of_doubles(a, [](double x) { return std::cos(x); });
}
[[gnu::noinline]] inline Pack tan(const Pack& a) {
  return of_doubles(a, [](double x) { return std::tan(x); });
}
[[gnu::noinline]] inline Pack atan2(const Pack& y, const Pack& x) {
  return each(y, x, [](const Register& one, const Register& other) { return xsimd::atan2(one, other); });
}
/// Of numbers that are not negative.
[[gnu::noinline]] inline Pack pow(const Pack& a, double exponent) {
  return each(a, [exponent](const Register& x) { return xsimd::exp(Register(exponent) * xsimd::log(x)); });
}
inline Pack sqrt(const Pack& a) {
  return each(a, [](const Register& x) { return xsimd::sqrt(x); });
}

/// The number of the first lane, where all lanes are known to hold the same.
inline double common_value(const Pack& a) { return a.part[0].get(0); }

/// A dual number of up to this many derivatives, a pack each. Most numbers of a law depend on few of the
/// states and many on none: `active` says on which (bit i for slope i), and the others' slopes are neither
/// kept nor computed. The operators stand out of line because a law has hundreds of them and each is a loop.
template <std::size_t width>
struct DualPack {
  Pack value;
  std::array<Pack, width> slope;
  unsigned active;

  DualPack() = default;
  DualPack(double all) : value(all), active(0) {}
  explicit DualPack(const Pack& lanes) : value(lanes), active(0) {}
  explicit DualPack(const losses::Lanes& lanes) : value(lanes), active(0) {}
  DualPack(const DualPack& other) : value(other.value), active(other.active) { copy_slopes(other); }
  DualPack& operator=(const DualPack& other) {
    value = other.value;
    active = other.active;
    copy_slopes(other);
    return *this;
  }
  ~DualPack() = default;

  /// Calls the function with the place of each bit.
  template <class Function>
  static void for_each(unsigned bits, const Function& function) {
    for (; bits != 0; bits &= bits - 1) function(static_cast<std::size_t>(std::countr_zero(bits)));
  }
  void copy_slopes(const DualPack& other) {
    for_each(active, [&](std::size_t i) { slope[i] = other.slope[i]; });
  }
  /// f(a) with its slope by a.
  static DualPack chain(const DualPack& a, const Pack& value, const Pack& slope) {
    DualPack result(value);
    result.active = a.active;
    for_each(a.active, [&](std::size_t i) { result.slope[i] = slope * a.slope[i]; });
    return result;
  }
  /// f(a, b) with its slopes by both.
  static DualPack chain(const DualPack& a, const DualPack& b, const Pack& value, const Pack& by_a,
                        const Pack& by_b) {
    return merge(
        a, b, value, [&](const Pack& one, const Pack& other) { return by_a * one + by_b * other; },
        [&](const Pack& one) { return by_a * one; }, [&](const Pack& other) { return by_b * other; });
  }
  /// The slopes are what the functions make of those of both, of a alone and of b alone.
  template <class Both, class First, class Second>
  static DualPack merge(const DualPack& a, const DualPack& b, const Pack& value, const Both& both,
                        const First& first, const Second& second) {
    DualPack result(value);
    result.active = a.active | b.active;
    for_each(a.active & b.active, [&](std::size_t i) { result.slope[i] = both(a.slope[i], b.slope[i]); });
    for_each(a.active & ~b.active, [&](std::size_t i) { result.slope[i] = first(a.slope[i]); });
    for_each(b.active & ~a.active, [&](std::size_t i) { result.slope[i] = second(b.slope[i]); });
    return result;
  }

  [[gnu::noinline]] friend DualPack operator-(const DualPack& a) {
    DualPack result(-a.value);
    result.active = a.active;
    for_each(a.active, [&](std::size_t i) { result.slope[i] = -a.slope[i]; });
    return result;
  }
  [[gnu::noinline]] friend DualPack operator+(const DualPack& a, const DualPack& b) {
    const auto same = [](const Pack& one) { return one; };
    return merge(
        a, b, a.value + b.value, [](const Pack& one, const Pack& other) { return one + other; }, same, same);
  }
  [[gnu::noinline]] friend DualPack operator-(const DualPack& a, const DualPack& b) {
    return merge(
        a, b, a.value - b.value, [](const Pack& one, const Pack& other) { return one - other; },
        [](const Pack& one) { return one; }, [](const Pack& other) { return -other; });
  }
  [[gnu::noinline]] friend DualPack operator*(const DualPack& a, const DualPack& b) {
    return chain(a, b, a.value * b.value, b.value, a.value);
  }
  [[gnu::noinline]] friend DualPack operator/(const DualPack& a, const DualPack& b) {
    const Pack inverse = Pack(1.0) / b.value;
    const Pack quotient = a.value / b.value;
    return chain(a, b, quotient, inverse, -(quotient * inverse));
  }
  friend DualPack operator+(const DualPack& a, double b) {
    DualPack result = a;
    result.value = a.value + Pack(b);
    return result;
  }
  friend DualPack operator+(double a, const DualPack& b) { return b + a; }
  friend DualPack operator-(const DualPack& a, double b) { return a + (-b); }
  [[gnu::noinline]] friend DualPack operator-(double a, const DualPack& b) {
    DualPack result = -b;
    result.value = Pack(a) - b.value;
    return result;
  }
  [[gnu::noinline]] friend DualPack operator*(const DualPack& a, double b) {
    return chain(a, a.value * Pack(b), Pack(b));
  }
  friend DualPack operator*(double a, const DualPack& b) { return b * a; }
  [[gnu::noinline]] friend DualPack operator/(const DualPack& a, double b) {
    return chain(a, a.value / Pack(b), Pack(1.0 / b));
  }
  [[gnu::noinline]] friend DualPack operator/(double a, const DualPack& b) {
    const Pack quotient = Pack(a) / b.value;
    return chain(b, quotient, -(quotient / b.value));
  }
  DualPack& operator+=(const DualPack& b) { return *this = *this + b; }
  DualPack& operator-=(const DualPack& b) { return *this = *this - b; }

  [[gnu::noinline]] friend DualPack choose(const PackMask& mask, const DualPack& a, const DualPack& b) {
    const Pack zero(0.0);
    return merge(
        a, b, choose(mask, a.value, b.value),
        [&](const Pack& one, const Pack& other) { return choose(mask, one, other); },
        [&](const Pack& one) { return choose(mask, one, zero); },
        [&](const Pack& other) { return choose(mask, zero, other); });
  }
  [[gnu::noinline]] friend DualPack exp(const DualPack& a) {
    const Pack result = exp(a.value);
    return chain(a, result, result);
  }
  [[gnu::noinline]] friend DualPack log(const DualPack& a) {
    return chain(a, log(a.value), Pack(1.0) / a.value);
  }
  [[gnu::noinline]] friend DualPack sqrt(const DualPack& a) {
    const Pack result = sqrt(a.value);
    return chain(a, result, Pack(0.5) / result);
  }
  [[gnu::noinline]] friend DualPack tanh(const DualPack& a) {
    const Pack result = tanh(a.value);
    return chain(a, result, Pack(1.0) - result * result);
  }
  [[gnu::noinline]] friend DualPack sin(const DualPack& a) { return chain(a, sin(a.value), cos(a.value)); }
  [[gnu::noinline]] friend DualPack cos(const DualPack& a) { return chain(a, cos(a.value), -sin(a.value)); }
  [[gnu::noinline]] friend DualPack tan(const DualPack& a) {
    const Pack result = tan(a.value);
    return chain(a, result, Pack(1.0) + result * result);
  }
  [[gnu::noinline]] friend DualPack atan2(const DualPack& y, const DualPack& x) {
    const Pack inverse = Pack(1.0) / (x.value * x.value + y.value * y.value);
    return chain(y, x, atan2(y.value, x.value), x.value * inverse, -(y.value * inverse));
  }
  [[gnu::noinline]] friend DualPack pow(const DualPack& a, double exponent) {
    const Pack result = pow(a.value, exponent);
    const Pack at_zero(exponent * std::pow(0.0, exponent - 1.0));
    return chain(a, result, choose(a.value > Pack(0.0), Pack(exponent) * result / a.value, at_zero));
  }
};

template <std::size_t width>
const Pack& value_of(const DualPack<width>& x) {
  return x.value;
}

/// Both functions are called where different lanes want different ones.
template <class S, class First, class Second>
S choose_result(const PackMask& mask, const First& a, const Second& b) {
  if (all_of(mask)) return a();
  if (none_of(mask)) return b();
  return choose(mask, S(a()), S(b()));
}

/// Derivatives carried at once: those by the state that one law reads. With twice as many a core's values
/// would be computed once, but its intermediates no longer stay in the nearest cache: slower by a fifth.
inline constexpr std::size_t pack_width = 6;
using Wide = DualPack<pack_width>;

/// Whether the term `added` after the n-th no longer counts in a series at any lane.
template <std::size_t width>
bool is_settled(int n, const DualPack<width>& other, const DualPack<width>& added,
                const DualPack<width>& sum) {
  const Pack size = choose(added.value >= Pack(0.0), added.value, -added.value);
  return all_of(Pack(n) > other.value) && all_of(Pack(1e-16) * sum.value > size);
}

/// A function of doubles with its slope.
template <std::size_t width, class Value, class Slope>
DualPack<width> of_doubles(const DualPack<width>& x, const Value& value, const Slope& slope) {
  return DualPack<width>::chain(x, of_doubles(x.value, value), of_doubles(x.value, slope));
}

template <std::size_t width>
[[gnu::noinline]] DualPack<width> curve_at(const losses::Curve& curve, const DualPack<width>& x) {
  return of_doubles(
      x, [&curve](double one) { return curve.value(one); },
      [&curve](double one) { return curve.slope(one); });
}

/// As for single numbers in fluids/liquid_impl.hpp.
template <std::size_t width>
DualPack<width> hold(const DualPack<width>& x, double lowest, double highest) {
  const DualPack<width> low = choose(x.value > Pack(lowest), x, DualPack<width>(lowest));
  return choose(Pack(highest) > low.value, low, DualPack<width>(highest));
}

/// As for single numbers in pump.hpp.
template <std::size_t width>
[[gnu::noinline]] DualPack<width> vapor_pressure(const fluids::Liquid& liquid,
                                                 const DualPack<width>& temperature) {
  if (liquid.kind() == fluids::Liquid::Kind::constant) return DualPack<width>(0.0);
  return of_doubles(
      temperature, [&liquid](double one) { return liquid.vapor_pressure(one); },
      [&liquid](double one) { return liquid.vapor_pressure_slope(one); });
}

}  // namespace corefeed::COREFEED_PACK_NAMESPACE

namespace corefeed {

template <std::size_t width>
struct MaskOf<COREFEED_PACK_NAMESPACE::DualPack<width>> {
  using type = COREFEED_PACK_NAMESPACE::PackMask;
};

namespace losses {

template <std::size_t width>
struct OutsideFor<COREFEED_PACK_NAMESPACE::DualPack<width>> {
  using type = SeveralSurroundings;
};

}  // namespace losses
}  // namespace corefeed
