// SPDX-License-Identifier: Apache-2.0
#include "corefeed/fluids/liquid.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "corefeed/fluids/water_saturation.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::fluids {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double ice_point = 273.15;
constexpr double largest_share = 0.6;
constexpr double thinnest_oil = 2;  // mm2/s; below, D341 needs another constant than 0.7

Issue out_of_range(std::string text) {
  Issue issue;
  issue.code = "out_of_range";
  issue.text = std::move(text);
  return issue;
}

std::string number(double value) { return units::write(value, units::Quantity::number, "", 6); }

bool positive(double value) { return std::isfinite(value) && value > 0; }
bool unknown_or_positive(double value) { return std::isnan(value) || positive(value); }

/// Mole fraction of water in a mixture of pure volumes at 20 degC.
double water_mole_fraction(double share) {
  const double glycol = share * 1113.2 / 62.068;      // kg/m3 over kg/kmol: densities and molar masses, CRC
  const double water = (1 - share) * 998.2 / 18.015;  // Handbook, from memory
  return water / (water + glycol);
}

/// Freezing point, degC: a cubic of ours through the ASHRAE Handbook Fundamentals (2001) table, within 0.4 K.
double freezing_celsius(double share) { return share * (-32.08 + share * (-45.09 + share * -77.11)); }

}  // namespace

std::string_view Liquid::name() const {
  switch (kind_) {
    case Kind::constant:
      return "constant";
    case Kind::water:
      return "water";
    case Kind::water_glycol:
      return "water_glycol";
    case Kind::oil:
      break;
  }
  return "oil";
}

double Liquid::vapor_pressure(double temperature) const {
  if (kind_ == Kind::constant) return nan;
  if (kind_ == Kind::oil) return 0;
  const double share = kind_ == Kind::water_glycol ? numbers_[share_at] : 0;
  // Raoult's law for the water alone: glycol hardly boils below 190 degC.
  return water_mole_fraction(share) * water_saturation_pressure(temperature);
}

double Liquid::vapor_pressure_slope(double temperature) const {
  if (kind_ == Kind::constant) return nan;
  if (kind_ == Kind::oil) return 0;
  const double share = kind_ == Kind::water_glycol ? numbers_[share_at] : 0;
  return water_mole_fraction(share) * water_saturation_slope(temperature);
}

double Liquid::boiling_temperature(double pressure) const {
  if (kind_ == Kind::constant || kind_ == Kind::oil) return nan;
  const double share = kind_ == Kind::water_glycol ? numbers_[share_at] : 0;
  return water_saturation_temperature(pressure / water_mole_fraction(share));
}

bool Liquid::has_transport() const {
  if (kind_ != Kind::constant) return true;
  return !std::isnan(numbers_[density_at]) && !std::isnan(numbers_[viscosity_at]) &&
         !std::isnan(numbers_[conductivity_at]);
}

double Liquid::lowest_temperature() const {
  switch (kind_) {
    case Kind::constant:
      return 0;
    case Kind::water:
      return ice_point;
    case Kind::water_glycol:
      return std::max(253.15, ice_point + freezing_celsius(numbers_[share_at]));
    case Kind::oil:
      break;
  }
  return 253.15;
}

double Liquid::highest_temperature() const {
  switch (kind_) {
    case Kind::constant:
      return std::numeric_limits<double>::infinity();
    case Kind::water:
      return 423.15;
    case Kind::water_glycol:
      return 393.15;
    case Kind::oil:
      break;
  }
  const double thin =
      std::pow(10, (numbers_[d341_a_at] - std::log10(std::log10(thinnest_oil + 0.7))) / numbers_[d341_b_at]);
  return std::min(453.15, thin);
}

const Source& Liquid::source() const {
  static constexpr Source constant{"the model's own values", "as given", 0, Tag::read};
  static constexpr Source pure{
      "density Kell 1975; viscosity and conductivity IAPWS SR6-08(2011); heat capacity fitted to IAPWS-IF97; "
      "boiling IAPWS-IF97 region 4",
      "273 to 423 K, liquid at moderate pressure", 0.005, Tag::from_memory};
  static constexpr Source mixture{
      "fits to the ethylene glycol tables of the ASHRAE Handbook Fundamentals (2001), secondary coolants; "
      "boiling by Raoult's law",
      "0 to 60 % by volume, freezing or -20 degC to 120 degC (table to 100 degC); inhibitors shift viscosity "
      "by up to 15 %",
      0.05, Tag::read};
  static constexpr Source lubricant{
      "viscosity ASTM D341; density, heat capacity and conductivity common practice for mineral oils",
      "above 2 mm2/s, -20 to 180 degC; shear thins multigrade oils by 10 to 30 %", 0.03, Tag::from_memory};
  switch (kind_) {
    case Kind::constant:
      return constant;
    case Kind::water:
      return pure;
    case Kind::water_glycol:
      return mixture;
    case Kind::oil:
      break;
  }
  return lubricant;
}

Result<Liquid> constant_liquid(double heat_capacity, double density, double viscosity, double conductivity) {
  std::vector<Issue> issues;
  if (!positive(heat_capacity)) {
    issues.push_back(out_of_range("the liquid's heat capacity is " +
                                  units::show(heat_capacity, units::Quantity::heat_capacity, 6) +
                                  ", expected a positive value such as \"3500 J/(kg K)\""));
  }
  const auto check = [&](double value, const char* name, units::Quantity quantity) {
    if (unknown_or_positive(value)) return;
    issues.push_back(out_of_range("the liquid's " + std::string(name) + " is " +
                                  units::show(value, quantity, 6) + ", expected a positive value"));
  };
  check(density, "density", units::Quantity::density);
  check(viscosity, "viscosity", units::Quantity::dynamic_viscosity);
  check(conductivity, "conductivity", units::Quantity::conductivity);
  if (!issues.empty()) return issues;
  Liquid liquid;
  liquid.numbers_[Liquid::heat_capacity_at] = heat_capacity;
  liquid.numbers_[Liquid::density_at] = density;
  liquid.numbers_[Liquid::viscosity_at] = viscosity;
  liquid.numbers_[Liquid::conductivity_at] = conductivity;
  return liquid;
}

Liquid water() {
  Liquid liquid;
  liquid.kind_ = Liquid::Kind::water;
  return liquid;
}

Result<Liquid> water_glycol(double glycol_share) {
  if (!(glycol_share >= 0 && glycol_share <= largest_share)) {
    return out_of_range("the share of glycol is " + number(glycol_share) +
                        ", expected a share by volume from 0 to 0.6");
  }
  Liquid liquid;
  liquid.kind_ = Liquid::Kind::water_glycol;
  liquid.numbers_[Liquid::share_at] = glycol_share;
  return liquid;
}

}  // namespace corefeed::fluids
