// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <string>

#include "corefeed/units/quantity.hpp"

namespace corefeed::units {
namespace {

std::uint64_t bits(double value) { return std::bit_cast<std::uint64_t>(value); }

TEST(Write, KeepsTheUnitAndTheShortestDigits) {
  EXPECT_EQ(write(0.042, Quantity::area, "cm2"), "420 cm2");
  EXPECT_EQ(write(303.15, Quantity::temperature, "degC"), "30 degC");
  EXPECT_EQ(write(50, Quantity::speed, "km/h"), "180 km/h");
  EXPECT_EQ(write(24, Quantity::linear_loss, "Pa s/m"), "24 Pa s/m");
  EXPECT_EQ(write(20000, Quantity::pressure_gauge, "kPa gauge"), "20 kPa gauge");
  EXPECT_EQ(write(0.1, Quantity::number, ""), "0.1");
  EXPECT_EQ(write(0, Quantity::length, "mm"), "0 mm");
  EXPECT_EQ(write(-0.0, Quantity::length, "mm"), "-0 mm");
  EXPECT_EQ(write(2e-8, Quantity::permeability, "m2"), "2e-8 m2");
  EXPECT_EQ(write(1e20, Quantity::length, "m"), "1e20 m");
  EXPECT_EQ(write(0.00012, Quantity::length, "m"), "0.00012 m");
}

TEST(Write, RoundsToTheDigitsAskedFor) {
  EXPECT_EQ(write(0.04214567, Quantity::area, "cm2", 4), "421.5 cm2");
  EXPECT_EQ(write(101325, Quantity::pressure_absolute, "Pa", 4), "101300 Pa");
  EXPECT_EQ(write(0.99996, Quantity::length, "m", 4), "1 m");
  EXPECT_EQ(write(1234567, Quantity::length, "m", 30), "1234567 m");
}

TEST(Write, NamesValuesThatAreNoNumbers) {
  EXPECT_EQ(write(std::numeric_limits<double>::quiet_NaN(), Quantity::length, "m"), "nan m");
  EXPECT_EQ(write(-std::numeric_limits<double>::infinity(), Quantity::length, "m", 4), "-inf m");
}

TEST(Show, UsesTheEngineersUnit) {
  EXPECT_EQ(show(0.042, Quantity::area), "420 cm2");
  EXPECT_EQ(show(366.984, Quantity::temperature), "93.83 degC");
  EXPECT_EQ(show(1.31712, Quantity::mass_flow), "1.317 kg/s");
  EXPECT_EQ(show(68000, Quantity::power), "68 kW");
  EXPECT_EQ(show(0.25, Quantity::number), "0.25");
}

TEST(Convert, IsTheInverseOfParse) {
  EXPECT_EQ(convert(0.042, Quantity::area, "cm2"), 420.0);
  EXPECT_DOUBLE_EQ(convert(303.15, Quantity::temperature, "degF"), 86.0);
  EXPECT_EQ(convert(10, Quantity::temperature_difference, "delta_degF"), 18.0);
}

// What a user wrote comes back letter by letter, so that a model that is read and written does not change.
TEST(RoundTrip, ShortDecimalTextIsKept) {
  std::mt19937 random(7);
  for (int i = 0; i < 20000; ++i) {
    const std::string number = write(static_cast<double>(random() % 1000000) / 1000.0, Quantity::number, "");
    const auto check = [&](const char* unit, Quantity quantity) {
      const std::string text = number + ' ' + unit;
      ASSERT_EQ(write(parse(text, quantity).value(), quantity, unit), text);
    };
    check("cm2", Quantity::area);
    check("km/h", Quantity::speed);
    check("degC", Quantity::temperature);
    check("rpm", Quantity::shaft_speed);
    check("psi", Quantity::pressure_difference);
    check("L/min", Quantity::volume_flow);
  }
}

double random_value(std::mt19937_64& random) {
  std::uniform_real_distribution<double> exponent(-9, 9);
  std::uniform_real_distribution<double> mantissa(1, 10);
  return (random() % 2 == 0 ? 1 : -1) * mantissa(random) * std::pow(10.0, exponent(random));
}

TEST(RoundTrip, AnyValueInItsSiUnitComesBackBitForBit) {
  std::mt19937_64 random(11);
  for (int i = 0; i < 20000; ++i) {
    const double value = random_value(random);
    for (const auto& [quantity, unit] : {std::pair{Quantity::pressure_gauge, "Pa"},
                                         {Quantity::number, ""},
                                         {Quantity::linear_loss, "Pa s/m"}}) {
      const std::string text = write(value, quantity, unit);
      ASSERT_EQ(bits(parse(text, quantity).value()), bits(value)) << text;
    }
  }
}

// The grid of doubles in another unit can be coarser than in SI units; then no text reads back to the same
// double and the nearest one stands: never more than one step away.
TEST(RoundTrip, AnyValueInAnotherUnitComesBackToItselfOrItsNeighbor) {
  std::mt19937_64 random(13);
  int exact = 0;
  int all = 0;
  for (int i = 0; i < 5000; ++i) {
    const double value = random_value(random);
    for (const auto& [quantity, unit] : {std::pair{Quantity::area, "cm2"},
                                         {Quantity::speed, "km/h"},
                                         {Quantity::pressure_difference, "psi"},
                                         {Quantity::angle, "deg"},
                                         {Quantity::volume_flow, "gal_us/min"},
                                         {Quantity::power, "hp"}}) {
      const double back = parse(write(value, quantity, unit), quantity).value();
      ASSERT_GE(back, std::nextafter(value, -1e300)) << unit;
      ASSERT_LE(back, std::nextafter(value, 1e300)) << unit;
      exact += back == value;
      ++all;
    }
  }
  EXPECT_GT(exact, all * 8 / 10);
}

TEST(RoundTrip, TemperaturesComeBackBitForBit) {
  std::mt19937_64 random(17);
  std::uniform_real_distribution<double> kelvin(220, 480);
  for (int i = 0; i < 20000; ++i) {
    const double value = kelvin(random);
    const std::string text = write(value, Quantity::temperature, "degC");
    ASSERT_EQ(bits(parse(text, Quantity::temperature).value()), bits(value)) << text;
  }
}

}  // namespace
}  // namespace corefeed::units
