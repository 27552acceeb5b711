// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "corefeed/fluids/liquid.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::fluids {
namespace {

using units::Quantity;

constexpr double ice_point = 273.15;
constexpr double thinnest = 2e-6;  // m2/s; below, D341 needs another constant than 0.7
constexpr double thickest = 1e-1;  // m2/s
constexpr double common_density_15 = 870;

struct Line {
  double at_zero = 0;  // at 0 degC
  double slope = 0;
};

// Common mineral oils; common practice, no source, within 3 %.
constexpr Line common_heat_capacity{1830, 3.9};
constexpr Line common_conductivity{0.138, -7e-5};

/// Through both values, through one with the common slope, or the common line when both are NaN.
Line line(double celsius_a, double a, double celsius_b, double b, Line common) {
  if (std::isnan(a) && std::isnan(b)) return common;
  if (std::isnan(b)) return {a - common.slope * celsius_a, common.slope};
  if (std::isnan(a)) return {b - common.slope * celsius_b, common.slope};
  const double slope = (b - a) / (celsius_b - celsius_a);
  return {a - slope * celsius_a, slope};
}

std::string text_of(double value, Quantity quantity) { return units::show(value, quantity, 6); }

void refuse(std::vector<Issue>& issues, std::string text) {
  Issue issue;
  issue.code = "out_of_range";
  issue.text = std::move(text);
  issues.push_back(std::move(issue));
}

void check_positive(std::vector<Issue>& issues, double value, const char* name, Quantity quantity) {
  if (std::isnan(value) || (std::isfinite(value) && value > 0)) return;
  refuse(issues, "the oil's " + std::string(name) + " is " + text_of(value, quantity) +
                     ", expected a positive value such as " + quoted(units::info(quantity).example));
}

void check_point(std::vector<Issue>& issues, const OilPoint& point) {
  if (!(point.viscosity > thinnest && point.viscosity <= thickest)) {
    refuse(issues, "the oil's viscosity is " + text_of(point.viscosity, Quantity::kinematic_viscosity) +
                       "; its law holds above 2 cSt and up to 100000 cSt");
  }
  if (!(point.temperature >= 223.15 && point.temperature <= 573.15)) {
    refuse(issues, "the oil's viscosity is given at " + text_of(point.temperature, Quantity::temperature) +
                       "; give it between -50 degC and 300 degC");
  }
  check_positive(issues, point.heat_capacity, "heat capacity", Quantity::heat_capacity);
  check_positive(issues, point.conductivity, "conductivity", Quantity::conductivity);
}

/// Call with points that are good by themselves.
void check_pair(std::vector<Issue>& issues, const OilPoint& a, const OilPoint& b) {
  if (std::abs(a.temperature - b.temperature) < 1) {
    refuse(issues, "both viscosities of the oil are given at " +
                       text_of(a.temperature, Quantity::temperature) +
                       "; give them at two temperatures such as 40 degC and 100 degC");
  } else if (a.viscosity == b.viscosity || (a.viscosity > b.viscosity) != (a.temperature < b.temperature)) {
    refuse(issues,
           "the oil does not thin as it warms: " + text_of(a.viscosity, Quantity::kinematic_viscosity) +
               " at " + text_of(a.temperature, Quantity::temperature) + " and " +
               text_of(b.viscosity, Quantity::kinematic_viscosity) + " at " +
               text_of(b.temperature, Quantity::temperature) + "; are the two viscosities exchanged?");
  }
}

std::vector<Issue> faults(const OilPoint& a, const OilPoint& b, double density_15) {
  std::vector<Issue> issues;
  check_point(issues, a);
  check_point(issues, b);
  if (!std::isnan(density_15) && !(density_15 >= 500 && density_15 <= 1500)) {
    refuse(issues, "the oil's density at 15 degC is " + text_of(density_15, Quantity::density) +
                       "; expected a value between 500 kg/m3 and 1500 kg/m3");
  }
  if (issues.empty()) check_pair(issues, a, b);
  return issues;
}

double log_log_viscosity(double viscosity) { return std::log10(std::log10(viscosity * 1e6 + 0.7)); }

}  // namespace

Result<Liquid> oil(double viscosity_a, double temperature_a, double viscosity_b, double temperature_b,
                   double density_15) {
  OilPoint a, b;
  a.temperature = temperature_a;
  a.viscosity = viscosity_a;
  b.temperature = temperature_b;
  b.viscosity = viscosity_b;
  return oil(a, b, density_15);
}

Result<Liquid> oil(const OilPoint& a, const OilPoint& b, double density_15) {
  std::vector<Issue> issues = faults(a, b, density_15);
  if (!issues.empty()) return issues;
  const double celsius_a = a.temperature - ice_point;
  const double celsius_b = b.temperature - ice_point;
  const Line heat = line(celsius_a, a.heat_capacity, celsius_b, b.heat_capacity, common_heat_capacity);
  const Line conduction = line(celsius_a, a.conductivity, celsius_b, b.conductivity, common_conductivity);
  const double log_a = std::log10(a.temperature);
  const double slope =
      (log_log_viscosity(a.viscosity) - log_log_viscosity(b.viscosity)) / (std::log10(b.temperature) - log_a);
  Liquid liquid;
  liquid.kind_ = Liquid::Kind::oil;
  liquid.numbers_[Liquid::density_at] = std::isnan(density_15) ? common_density_15 : density_15;
  liquid.numbers_[Liquid::heat_capacity_at] = heat.at_zero;
  liquid.numbers_[Liquid::heat_capacity_slope_at] = heat.slope;
  liquid.numbers_[Liquid::conductivity_at] = conduction.at_zero;
  liquid.numbers_[Liquid::conductivity_slope_at] = conduction.slope;
  liquid.numbers_[Liquid::d341_a_at] = log_log_viscosity(a.viscosity) + slope * log_a;
  liquid.numbers_[Liquid::d341_b_at] = slope;
  return liquid;
}

}  // namespace corefeed::fluids
