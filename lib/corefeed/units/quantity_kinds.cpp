// SPDX-License-Identifier: Apache-2.0
#include "corefeed/units/quantity_kinds.hpp"

#include <cassert>
#include <cstddef>
#include <vector>

namespace corefeed::units {
namespace {

constexpr std::string_view pressures = "Pa, hPa, kPa, mbar, bar, psi, mmH2O, inH2O, mmHg";

// In the order of the enumeration, which `kind_of` relies on.
constexpr Kind rows[] = {
    {Quantity::number, {"plain number", "", "0.4", ""}, "", {}},
    {Quantity::length, {"length", "m", "350 mm", "mm"}, "m, cm, mm, um, in, ft", {}},
    {Quantity::area, {"area", "m2", "420 cm2", "cm2"}, "m2, cm2, mm2, in2, ft2", {}},
    {Quantity::volume, {"volume", "m3", "4.5 L", "L"}, "m3, L, mL, cc, mm3, in3, gal_us, gal_imp", {}},
    {Quantity::angle, {"angle", "rad", "7 deg", "deg"}, "rad, deg, rev", {}},
    {Quantity::time, {"time", "s", "90 s", "s"}, "s, ms, min, h", {}},
    {Quantity::speed, {"speed", "m/s", "180 km/h", "km/h"}, "m/s, km/h, kph, mph, ft/s", {}},
    {Quantity::velocity, {"velocity", "m/s", "8 m/s", "m/s"}, "m/s, km/h, kph, mph, ft/s", {}},
    {Quantity::mass, {"mass", "kg", "12 kg", "kg"}, "kg, g, lb, oz", {}},
    {Quantity::mass_flow,
     {"mass flow", "kg/s", "1.2 kg/s", "kg/s"},
     "kg/s, g/s, kg/min, kg/h, lb/s, lb/min",
     {}},
    {Quantity::volume_flow,
     {"volume flow", "m3/s", "20 L/min", "L/min"},
     "m3/s, m3/h, L/s, L/min, cfm, gal_us/min, gal_imp/min",
     {}},
    {Quantity::air_flow,
     {"air flow", "m3/s", "1200 m3/h", "m3/h"},
     "m3/s, m3/h, L/s, L/min, cfm, gal_us/min, gal_imp/min",
     {}},
    {Quantity::pressure_gauge, {"gauge pressure", "Pa", "400 Pa", "Pa"}, pressures, {}},
    {Quantity::pressure_absolute, {"absolute pressure", "Pa", "95 kPa", "kPa"}, pressures, {}},
    {Quantity::pressure_difference, {"pressure difference", "Pa", "250 Pa", "Pa"}, pressures, {}},
    {Quantity::temperature, {"temperature", "K", "30 degC", "degC"}, "degC, degF, K", {}},
    {Quantity::temperature_difference,
     {"temperature difference", "K", "10 K", "K"},
     "K, delta_degC, delta_degF",
     {}},
    {Quantity::density, {"density", "kg/m3", "1.2 kg/m3", "kg/m3"}, "kg/m3, g/cm3, kg/L, lb/ft3", {}},
    {Quantity::dynamic_viscosity,
     {"dynamic viscosity", "Pa s", "0.9 mPa s", "mPa s"},
     "Pa s, mPa s, uPa s, cP",
     {}},
    {Quantity::kinematic_viscosity, {"kinematic viscosity", "m2/s", "85 cSt", "cSt"}, "m2/s, mm2/s, cSt", {}},
    {Quantity::heat_capacity,
     {"specific heat capacity", "J/(kg K)", "3500 J/(kg K)", "J/(kg K)"},
     "J/(kg K), kJ/(kg K), BTU/(lb delta_degF)",
     {}},
    {Quantity::conductivity,
     {"thermal conductivity", "W/(m K)", "0.4 W/(m K)", "W/(m K)"},
     "W/(m K), BTU/(h ft delta_degF)",
     {}},
    {Quantity::conductance, {"thermal conductance", "W/K", "1100 W/K", "W/K"}, "W/K, kW/K", {}},
    {Quantity::power, {"power", "W", "68 kW", "kW"}, "W, kW, hp, PS, BTU/min, BTU/h", {}},
    {Quantity::force, {"force", "N", "85 N", "N"}, "N, kN, lbf, kgf", {}},
    {Quantity::energy, {"energy", "J", "60 kJ", "kJ"}, "J, kJ, MJ, kW h, BTU", {}},
    {Quantity::shaft_speed, {"shaft speed", "rad/s", "6000 rpm", "rpm"}, "rad/s, rpm, rev/min, rev/s", {}},
    {Quantity::voltage, {"voltage", "V", "13.5 V", "V"}, "V, mV", {}},
    {Quantity::linear_loss,
     {"linear loss coefficient", "Pa s/m", "24 Pa s/m", "Pa s/m"},
     "Pa s/m, kPa s/m",
     {}},
    {Quantity::quadratic_loss,
     {"quadratic loss coefficient", "Pa s2/m2", "8.2 Pa s2/m2", "Pa s2/m2"},
     "Pa s2/m2, kg/m3",
     {}},
    {Quantity::permeability, {"permeability", "m2", "2e-8 m2", "m2"}, "m2, mm2, um2", {}},
    {Quantity::per_length, {"value per length", "1/m", "150 1/m", "1/m"}, "1/m, 1/cm, 1/mm, 1/in", {}},
    {Quantity::heat_capacity_total, {"heat capacity", "J/K", "60 kJ/K", "kJ/K"}, "J/K, kJ/K", {}},
    {Quantity::flow_per_pressure,
     {"flow per pressure", "m3/(s Pa)", "12 L/(min bar)", "L/(min bar)"},
     "m3/(s Pa), L/(min bar), L/(min kPa), L/(s bar)",
     {}},
};

}  // namespace

std::span<const Kind> kinds() {
  static const std::vector<Kind> list = [] {
    std::vector<Kind> filled(std::begin(rows), std::end(rows));
    for (Kind& kind : filled) {
      if (kind.info.si_unit.empty()) continue;
      const Scale scale = std::get<Scale>(read_unit(kind.info.si_unit));
      kind.dimension = scale.dimension;
      kind.bases = scale.bases;
    }
    return filled;
  }();
  return list;
}

const Kind& kind_of(Quantity quantity) {
  const auto index = static_cast<std::size_t>(quantity);
  assert(index < kinds().size() && kinds()[index].quantity == quantity);
  return kinds()[index];
}

const QuantityInfo& info(Quantity quantity) { return kind_of(quantity).info; }

std::string with_article(std::string_view name) {
  constexpr std::string_view vowels = "aeiou";
  return (vowels.find(name.front()) == std::string_view::npos ? "a " : "an ") + std::string(name);
}

}  // namespace corefeed::units
