// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/water_saturation.hpp"

#include <cmath>
#include <limits>

namespace corefeed::fluids {
namespace {

// R7-97(2012), table 34; from memory, proved by the release's own verification values (tables 35 and 36).
constexpr double n1 = 0.11670521452767e4;
constexpr double n2 = -0.72421316703206e6;
constexpr double n3 = -0.17073846940092e2;
constexpr double n4 = 0.12020824702470e5;
constexpr double n5 = -0.32325550322333e7;
constexpr double n6 = 0.14915108613530e2;
constexpr double n7 = -0.48232657361591e4;
constexpr double n8 = 0.40511340542057e6;
constexpr double n9 = -0.23855557567849;
constexpr double n10 = 0.65017534844798e3;

constexpr double coldest = 233;  // K
constexpr double critical_temperature = 647.096;
constexpr double critical_pressure = 22.064e6;
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

}  // namespace

double water_saturation_pressure(double temperature) {
  if (!(temperature >= coldest && temperature <= critical_temperature)) return nan;
  const double theta = temperature + n9 / (temperature - n10);
  const double a = theta * theta + n1 * theta + n2;
  const double b = n3 * theta * theta + n4 * theta + n5;
  const double c = n6 * theta * theta + n7 * theta + n8;
  const double root = 2 * c / (-b + std::sqrt(b * b - 4 * a * c));
  return 1e6 * root * root * root * root;
}

double water_saturation_slope(double temperature) {
  if (!(temperature >= coldest && temperature <= critical_temperature)) return nan;
  const double gap = temperature - n10;
  const double theta = temperature + n9 / gap;
  const double a = theta * theta + n1 * theta + n2;
  const double b = n3 * theta * theta + n4 * theta + n5;
  const double c = n6 * theta * theta + n7 * theta + n8;
  const double da = 2 * theta + n1;
  const double db = 2 * n3 * theta + n4;
  const double dc = 2 * n6 * theta + n7;
  const double inner = std::sqrt(b * b - 4 * a * c);
  const double d_inner = (b * db - 2 * (a * dc + c * da)) / inner;
  const double below = -b + inner;
  const double root = 2 * c / below;
  const double d_root = (2 * dc - root * (-db + d_inner)) / below;
  return 4e6 * root * root * root * d_root * (1 - n9 / (gap * gap));
}

double water_saturation_temperature(double pressure) {
  if (!(pressure >= water_saturation_pressure(coldest) && pressure <= critical_pressure)) return nan;
  const double beta = std::pow(pressure * 1e-6, 0.25);
  const double e = beta * beta + n3 * beta + n6;
  const double f = n1 * beta * beta + n4 * beta + n7;
  const double g = n2 * beta * beta + n5 * beta + n8;
  const double d = 2 * g / (-f - std::sqrt(f * f - 4 * e * g));
  const double sum = n10 + d;
  return (sum - std::sqrt(sum * sum - 4 * (n9 + n10 * d))) / 2;
}

}  // namespace corefeed::fluids
