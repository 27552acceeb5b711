// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <concepts>
#include <cstddef>

// Bodies of liquid.hpp. Every step is stored as S because dual numbers give expressions of other types.
namespace corefeed::fluids {
namespace detail {

/// Between two bounds. Packs of numbers bring their own `hold`, found by their namespace.
template <class S>
S held(const S& x, double lowest, double highest) {
  if constexpr (requires {
                  { x < S(lowest) } -> std::convertible_to<bool>;
                }) {
    if (x < S(lowest)) return S(lowest);
    return x > S(highest) ? S(highest) : x;
  } else {
    return hold(x, lowest, highest);
  }
}

/// Horner's rule, coefficients from the constant upward.
template <class S, std::size_t n>
S polynomial(const std::array<double, n>& coefficients, const S& x) {
  static_assert(n >= 2);
  S sum = coefficients[n - 1] * x + coefficients[n - 2];
  for (std::size_t i = n - 2; i-- > 0;) {
    const S next = sum * x + coefficients[i];
    sum = next;
  }
  return sum;
}

/// The integral from 0 to x of a polynomial.
template <class S, std::size_t n>
S integral(const std::array<double, n>& coefficients, const S& x) {
  std::array<double, n> divided = coefficients;
  for (std::size_t i = 0; i < n; ++i) divided[i] /= static_cast<double>(i + 1);
  const S mean = polynomial(divided, x);
  const S result = mean * x;
  return result;
}

/// Water at ambient pressure: Kell 1975, J. Chem. Eng. Data 20, 97, 0 to 150 degC; from memory, within 0.02 %
/// of IAPWS-IF97 at 0.25 MPa or saturation.
template <class S>
S water_density(const S& temperature) {
  constexpr std::array<double, 6> above{999.83952,     16.945176,    -7.9870401e-3,
                                        -46.170461e-6, 105.56302e-9, -280.54253e-12};
  const S celsius = temperature - 273.15;
  const S numerator = polynomial(above, celsius);
  const S denominator = 16.879850e-3 * celsius + 1.0;
  const S result = numerator / denominator;
  return result;
}

/// Fit of ours to IAPWS-IF97 at 0.25 MPa or saturation, 273 to 423 K, within 0.03 %.
inline constexpr std::array<double, 6> water_capacity{4183.37, 44.9985, 74.7526, -14.7679, 166.322, -124.475};

template <class S>
S water_heat_capacity(const S& temperature) {
  const S x = (temperature - 333.15) / 100.0;
  return polynomial(water_capacity, x);
}

/// Sum of c (T/300)^e, the form of the IAPWS supplementary release SR6-08(2011).
template <class S>
S sum_of_powers(const std::array<double, 4>& factors, const std::array<double, 4>& exponents,
                const S& temperature) {
  using std::exp;
  using std::log;
  const S ratio = temperature / 300.0;
  const S logarithm = log(ratio);
  const S first = exponents[0] * logarithm;
  S sum = factors[0] * exp(first);
  for (std::size_t i = 1; i < factors.size(); ++i) {
    const S exponent = exponents[i] * logarithm;
    const S power = exp(exponent);
    const S next = sum + factors[i] * power;
    sum = next;
  }
  return sum;
}

/// IAPWS SR6-08(2011), liquid water at 0.1 MPa, 253 to 383 K (from memory); up to 423 K within 0.2 % of the
/// 2008 formulation.
template <class S>
S water_viscosity(const S& temperature) {
  return sum_of_powers<S>({280.68e-6, 511.45e-6, 61.131e-6, 0.45903e-6}, {-1.9, -7.7, -19.6, -40.0},
                          temperature);
}

/// IAPWS SR6-08(2011), liquid water at 0.1 MPa, 273 to 383 K (from memory); up to 423 K within 0.4 % of the
/// 2011 formulation.
template <class S>
S water_conductivity(const S& temperature) {
  return sum_of_powers<S>({0.80201, -0.25992, 0.10024, -0.032005}, {-0.32, -5.7, -12.0, -15.0}, temperature);
}

/// Share times a polynomial in share and temperature: what glycol adds to water, zero without glycol.
template <std::size_t shares>
std::array<double, 3> glycol_coefficients(const std::array<std::array<double, 3>, shares>& fit,
                                          double share) {
  std::array<double, 3> coefficients{};
  double power = share;
  for (const std::array<double, 3>& row : fit) {
    for (std::size_t i = 0; i < row.size(); ++i) coefficients[i] += power * row[i];
    power *= share;
  }
  return coefficients;
}

template <class S, std::size_t shares>
S glycol_part(const std::array<std::array<double, 3>, shares>& fit, double share, const S& temperature) {
  const S x = (temperature - 333.15) / 100.0;
  return polynomial(glycol_coefficients(fit, share), x);
}

// Fits of ours to the ethylene glycol tables of the ASHRAE Handbook Fundamentals (2001), Physical Properties
// of Secondary Coolants, 10 to 60 % by volume, -20 or freezing to 100 degC, read in a public reproduction.
// Largest departure: density 0.2 %, heat capacity 0.8 %, conductivity 0.9 %, viscosity 3.5 %.
// Above 100 degC the viscosity is led by the table carried on as ln(viscosity) over 1/T.
inline constexpr std::array<std::array<double, 3>, 2> glycol_density{
    {{146.82, -16.746, 95.454}, {-24.428, -15.949, -99.505}}};
inline constexpr std::array<std::array<double, 3>, 3> glycol_heat_capacity{
    {{-1347.0, 1519.0, -1420.9}, {58.059, -3154.4, 2371.6}, {-577.56, 2853.3, -1192.5}}};
inline constexpr std::array<std::array<double, 3>, 2> glycol_conductivity{
    {{-0.62711, -0.15073, 0.080018}, {0.25791, 0.071223, 0.0037345}}};
inline constexpr std::array<std::array<double, 3>, 4> glycol_log_viscosity{{{2.221, 2.1589, -1.1312},
                                                                            {-0.018359, -21.628, 7.8442},
                                                                            {1.3032, 49.296, -18.099},
                                                                            {-2.3002, -38.564, 14.911}}};

/// ASTM D341: log10 log10(nu + 0.7) = A - B log10 T, nu in mm2/s. Returns m2/s.
template <class S>
S oil_kinematic_viscosity(double a, double b, const S& temperature) {
  using std::exp;
  using std::log;
  constexpr double ln_10 = 2.302585092994045684;
  const S logarithm = log(temperature);
  const S inner_exponent = a * ln_10 - b * logarithm;
  const S inner = exp(inner_exponent);
  const S outer_exponent = ln_10 * inner;
  const S outer = exp(outer_exponent);
  const S result = (outer - 0.7) * 1e-6;
  return result;
}

}  // namespace detail

// A loop that cannot give off its heat is looked for up to 2000 K. Polynomials turn negative on the way
// there, and a negative heat capacity makes states nobody has ever seen. The bounds are ours, near the fits.
template <class S>
S Liquid::held_temperature(const S& temperature) const {
  return kind_ == Kind::oil ? detail::held(temperature, 223.15, 573.15)
                            : detail::held(temperature, 233.15, 443.15);
}

template <class S>
S Liquid::density(const S& given) const {
  const S temperature = held_temperature(given);
  switch (kind_) {
    case Kind::constant:
      return S(numbers_[density_at]);
    case Kind::water:
      return detail::water_density(temperature);
    case Kind::water_glycol: {
      const S water = detail::water_density(temperature);
      const S glycol = detail::glycol_part(detail::glycol_density, numbers_[share_at], temperature);
      const S result = water + glycol;
      return result;
    }
    case Kind::oil:
      break;
  }
  const S celsius = temperature - 273.15;
  const S result = numbers_[density_at] - 0.62 * (celsius - 15.0);
  return result;
}

template <class S>
S Liquid::heat_capacity(const S& given) const {
  const S temperature = held_temperature(given);
  switch (kind_) {
    case Kind::constant:
      return S(numbers_[heat_capacity_at]);
    case Kind::water:
      return detail::water_heat_capacity(temperature);
    case Kind::water_glycol: {
      const S water = detail::water_heat_capacity(temperature);
      const S glycol = detail::glycol_part(detail::glycol_heat_capacity, numbers_[share_at], temperature);
      const S result = water + glycol;
      return result;
    }
    case Kind::oil:
      break;
  }
  const S celsius = temperature - 273.15;
  const S result = numbers_[heat_capacity_at] + numbers_[heat_capacity_slope_at] * celsius;
  return result;
}

template <class S>
S Liquid::enthalpy(const S& given) const {
  const S temperature = held_temperature(given);
  const S inside = enthalpy_inside(temperature);
  // Beyond the held temperature the heat capacity is that of the bound.
  const S result = inside + heat_capacity(temperature) * (given - temperature);
  return result;
}

template <class S>
S Liquid::enthalpy_inside(const S& temperature) const {
  const S x = (temperature - enthalpy_zero) / 100.0;
  switch (kind_) {
    case Kind::constant: {
      const S result = numbers_[heat_capacity_at] * 100.0 * x;
      return result;
    }
    case Kind::water: {
      const S result = 100.0 * detail::integral(detail::water_capacity, x);
      return result;
    }
    case Kind::water_glycol: {
      const auto part = detail::glycol_coefficients(detail::glycol_heat_capacity, numbers_[share_at]);
      const S water = detail::integral(detail::water_capacity, x);
      const S glycol = detail::integral(part, x);
      const S result = 100.0 * (water + glycol);
      return result;
    }
    case Kind::oil:
      break;
  }
  const S middle = 0.5 * (temperature + enthalpy_zero);
  const S result = 100.0 * x * heat_capacity(middle);
  return result;
}

template <class S>
S Liquid::viscosity(const S& given) const {
  const S temperature = held_temperature(given);
  switch (kind_) {
    case Kind::constant:
      return S(numbers_[viscosity_at]);
    case Kind::water:
      return detail::water_viscosity(temperature);
    case Kind::water_glycol: {
      using std::exp;
      const S water = detail::water_viscosity(temperature);
      const S exponent = detail::glycol_part(detail::glycol_log_viscosity, numbers_[share_at], temperature);
      const S factor = exp(exponent);
      const S result = water * factor;
      return result;
    }
    case Kind::oil:
      break;
  }
  const S kinematic = detail::oil_kinematic_viscosity(numbers_[d341_a_at], numbers_[d341_b_at], temperature);
  const S oil_density = density(temperature);
  const S result = kinematic * oil_density;
  return result;
}

template <class S>
S Liquid::conductivity(const S& given) const {
  const S temperature = held_temperature(given);
  switch (kind_) {
    case Kind::constant:
      return S(numbers_[conductivity_at]);
    case Kind::water:
      return detail::water_conductivity(temperature);
    case Kind::water_glycol: {
      const S water = detail::water_conductivity(temperature);
      const S glycol = detail::glycol_part(detail::glycol_conductivity, numbers_[share_at], temperature);
      const S result = water + glycol;
      return result;
    }
    case Kind::oil:
      break;
  }
  const S celsius = temperature - 273.15;
  const S result = numbers_[conductivity_at] + numbers_[conductivity_slope_at] * celsius;
  return result;
}

}  // namespace corefeed::fluids
