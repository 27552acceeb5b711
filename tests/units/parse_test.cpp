// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <chrono>
#include <clocale>
#include <numbers>
#include <random>
#include <string>

#include "corefeed/units/quantity.hpp"
#include "corefeed/units/spelling_help.hpp"

namespace corefeed::units {
namespace {

double si(std::string_view text, Quantity quantity) {
  const Result<double> value = parse(text, quantity);
  EXPECT_TRUE(value.ok()) << text << ": " << (value.ok() ? "" : value.issues()[0].text);
  return value.ok() ? value.value() : -1;
}

Issue issue_of(std::string_view text, Quantity quantity) {
  const Result<double> value = parse(text, quantity);
  EXPECT_FALSE(value.ok()) << text;
  return value.ok() ? Issue{} : value.issues()[0];
}

TEST(Parse, ReadsDecimalUnitsToTheNearestDouble) {
  EXPECT_EQ(si("420 cm2", Quantity::area), 0.042);
  EXPECT_EQ(si("0.1 mm", Quantity::length), 0.0001);
  EXPECT_EQ(si("1.5 in", Quantity::length), 0.0381);
  EXPECT_EQ(si("180 km/h", Quantity::speed), 50.0);
  EXPECT_EQ(si("95 kPa", Quantity::pressure_absolute), 95000.0);
  EXPECT_EQ(si("20 L/min", Quantity::volume_flow), 20e-3 / 60);
  EXPECT_EQ(si("24 Pa s/m", Quantity::linear_loss), 24.0);
  EXPECT_EQ(si("0.9 mPa s", Quantity::dynamic_viscosity), 0.0009);
  EXPECT_EQ(si("85 cSt", Quantity::kinematic_viscosity), 85e-6);
  EXPECT_EQ(si("60 mph", Quantity::speed), 26.8224);
  EXPECT_EQ(si("6000 rpm", Quantity::shaft_speed), 6000 * std::numbers::pi / 30);
  EXPECT_EQ(si("180 deg", Quantity::angle), std::numbers::pi);
  EXPECT_EQ(si("0.4", Quantity::number), 0.4);
}

TEST(Parse, ReadsTemperatureLevelsWithTheirOffset) {
  EXPECT_EQ(si("30 degC", Quantity::temperature), 303.15);
  EXPECT_DOUBLE_EQ(si("-40 degF", Quantity::temperature), 233.15);  // 419.67 * 5/9 is one rounding off
  EXPECT_DOUBLE_EQ(si("212 degF", Quantity::temperature), 373.15);
  EXPECT_EQ(si("300 K", Quantity::temperature), 300.0);
  EXPECT_EQ(si("0 K", Quantity::temperature), 0.0);
  EXPECT_EQ(si("10 K", Quantity::temperature_difference), 10.0);
  EXPECT_EQ(si("18 delta_degF", Quantity::temperature_difference), 10.0);
  EXPECT_EQ(si("-10 delta_degC", Quantity::temperature_difference), -10.0);
}

TEST(Parse, AcceptsTheWaysPeopleWriteTheSameUnit) {
  for (const char* text :
       {"12 m2", "12m2", "12 m^2", "12 m\u00B2", "  12\tm2 ", "+12 m2", "1.2e1 m2", "12. m2", "12 m m",
        "12 m*m", "12 m\u00B7m", "12 m \u22C5 m", "12 (m m)", "1200E-2 m2", "12 m3/m", "12 m3 m^-1",
        "12 m\u00B3 m\u207B\u00B9", "12 m^3*m^-1"}) {
    EXPECT_EQ(si(text, Quantity::area), 12.0) << text;
  }
  for (const char* text : {"5 1/m", "5 /m", "5 m^-1", "5 m\u207B\u00B9", "5/m", "5 1 / m", "5 1/(m)"}) {
    EXPECT_EQ(si(text, Quantity::per_length), 5.0) << text;
  }
  EXPECT_EQ(si("3500 J/(kg K)", Quantity::heat_capacity), 3500.0);
  EXPECT_EQ(si("3.5 kJ kg^-1 K^-1", Quantity::heat_capacity), 3500.0);
  EXPECT_EQ(si(".5 kg/s", Quantity::mass_flow), 0.5);
  EXPECT_EQ(si("30\u00B0C", Quantity::temperature), 303.15);
  EXPECT_EQ(si("30\u00B0", Quantity::angle), si("30 deg", Quantity::angle));
  EXPECT_EQ(si("2 mmH2O", Quantity::pressure_gauge), 19.6133);
}

TEST(Parse, TakesGaugeOnlyWhereAGaugePressureIsMeant) {
  EXPECT_EQ(si("20 kPa gauge", Quantity::pressure_gauge), 20000.0);
  EXPECT_EQ(si("20 kPa", Quantity::pressure_gauge), 20000.0);
  EXPECT_EQ(issue_of("20 kPa gauge", Quantity::pressure_absolute).text,
            "\"20 kPa gauge\" is a gauge pressure, expected an absolute pressure such as \"95 kPa\"");
  EXPECT_EQ(issue_of("20 kPa gauge", Quantity::pressure_difference).code, "wrong_dimension");
  EXPECT_EQ(issue_of("20 m gauge", Quantity::length).code, "wrong_dimension");
  EXPECT_EQ(issue_of("20 m gauge", Quantity::length).text,
            "\"20 m gauge\" is no pressure but called gauge, expected a length such as \"350 mm\"");
  EXPECT_EQ(issue_of("20 gauge", Quantity::pressure_gauge).code, "unknown_unit");
}

TEST(Parse, NamesTheMissingUnit) {
  const Issue issue = issue_of("420", Quantity::area);
  EXPECT_EQ(issue.code, "missing_unit");
  EXPECT_EQ(issue.text, "\"420\" has no unit; write an area such as \"420 cm2\"");
  EXPECT_EQ(issue.status, Status::input);
  EXPECT_EQ(issue.severity, Severity::error);
}

TEST(Parse, NamesTheWrongKind) {
  const auto text = [](const char* value, Quantity quantity) {
    const Issue issue = issue_of(value, quantity);
    EXPECT_EQ(issue.code, "wrong_dimension") << value;
    return issue.text;
  };
  EXPECT_EQ(text("420 kPa", Quantity::area),
            "\"420 kPa\" is a pressure, expected an area such as \"420 cm2\"");
  EXPECT_EQ(text("420 cm", Quantity::area), "\"420 cm\" is a length, expected an area such as \"420 cm2\"");
  EXPECT_EQ(text("3 kg m", Quantity::mass), "\"3 kg m\" is in kg m, expected a mass such as \"12 kg\"");
  EXPECT_EQ(text("30 deg", Quantity::number), "\"30 deg\" has a unit, expected a plain number such as 0.4");
  EXPECT_EQ(text("50 1/s", Quantity::shaft_speed),
            "\"50 1/s\" is in 1/s, expected a shaft speed such as \"6000 rpm\"");
  EXPECT_EQ(text("3 m/m", Quantity::length),
            "\"3 m/m\" is a plain number, expected a length such as \"350 mm\"");
  text("1 rad/s", Quantity::number);
}

TEST(Parse, TellsTemperatureLevelsFromDifferences) {
  EXPECT_EQ(issue_of("10 degC", Quantity::temperature_difference).text,
            "\"10 degC\" is a temperature, expected a difference of temperatures such as \"10 delta_degC\"");
  EXPECT_EQ(issue_of("18 degF", Quantity::temperature_difference).text,
            "\"18 degF\" is a temperature, expected a difference of temperatures such as \"18 delta_degF\"");
  EXPECT_EQ(issue_of("10 delta_degC", Quantity::temperature).text,
            "\"10 delta_degC\" is a temperature difference, expected a temperature such as \"30 degC\"");
  const Issue product = issue_of("3500 J/(kg degC)", Quantity::heat_capacity);
  EXPECT_EQ(product.code, "unknown_unit");
  EXPECT_NE(product.text.find("uses degC in a product, where only a difference makes sense; write K there"),
            std::string::npos);
  EXPECT_FALSE(parse("5 1/degC", Quantity::temperature).ok());
  EXPECT_FALSE(parse("5 degC2", Quantity::temperature).ok());
  EXPECT_FALSE(parse("5 K m/m", Quantity::temperature).ok());
  EXPECT_EQ(issue_of("-300 degC", Quantity::temperature).code, "number_out_of_range");
}

TEST(Parse, NamesTheNearestUnitAndTheAllowedOnes) {
  const auto text = [](const char* value, Quantity quantity) {
    const Issue issue = issue_of(value, quantity);
    EXPECT_EQ(issue.code, "unknown_unit") << value;
    return issue.text;
  };
  EXPECT_EQ(
      text("420 sqcm", Quantity::area),
      "\"420 sqcm\" has the unknown unit \"sqcm\"; write cm2; an area may be in m2, cm2, mm2, in2, ft2");
  EXPECT_EQ(text("12 KG", Quantity::mass),
            "\"12 KG\" has the unknown unit \"KG\"; did you mean \"kg\"? a mass may be in kg, g, lb, oz");
  EXPECT_NE(text("95 kpa", Quantity::pressure_absolute).find("did you mean \"kPa\"?"), std::string::npos);
  EXPECT_NE(text("95 kapa", Quantity::pressure_absolute).find("did you mean \"kPa\"?"), std::string::npos);
  EXPECT_NE(text("30 dgeC", Quantity::temperature).find("did you mean \"degC\"?"), std::string::npos);
  EXPECT_NE(text("30 C", Quantity::temperature).find("write degC"), std::string::npos);
  EXPECT_NE(text("10 psig", Quantity::pressure_gauge).find("write psi gauge"), std::string::npos);
  EXPECT_EQ(text("10 furlongs", Quantity::length).find("did you mean"), std::string::npos);
  EXPECT_NE(text("10 \u043C", Quantity::length).find("\u043C"), std::string::npos);  // Cyrillic letter
}

TEST(Parse, RefusesUnitsThatCanBeReadInTwoWays) {
  EXPECT_NE(issue_of("5 W/m K", Quantity::conductivity).text.find("can be read in two ways"),
            std::string::npos);
  EXPECT_NE(issue_of("5 W/m/K", Quantity::conductivity).text.find("more than one \"/\""), std::string::npos);
  for (const char* text :
       {"5 (m", "5 m)", "5 ()", "5 m^",  "5 m^x", "5 m^0", "5 m0",    "5 m^2^2", "5 m\u207B", "5 *m",
        "5 m*", "5 m/", "5 /",  "5 m 2", "5 m2m", "5 m!",  "5 ((m))", "5 m**m",  "5 m^-",     "5 m^22"}) {
    EXPECT_EQ(issue_of(text, Quantity::length).code, "unknown_unit") << text;
  }
}

TEST(Parse, RefusesUnitsOfOtherKindsThatCancel) {
  const Issue issue = issue_of("3 J/N", Quantity::length);
  EXPECT_EQ(issue.code, "wrong_dimension");
  EXPECT_NE(issue.text.find("cancel"), std::string::npos);
}

TEST(Parse, RefusesWhatIsNoDecimalNumber) {
  for (const char* text : {"", " ", "cm2", "nan m2", "inf m2", "-inf m2", "NaN", "e5 m2", ". m2", "- 5 m2",
                           "--5 m2", "1 200 cm2", "1.2.3 m2", "0x10 m2", "12 1 m2", "1..2 m2"}) {
    const std::string code = issue_of(text, Quantity::area).code;
    if (std::string(text) == "0x10 m2") {
      EXPECT_EQ(code, "unknown_unit");  // zero, and a unit that nobody knows
    } else {
      EXPECT_EQ(code, "not_a_number") << text;
    }
  }
  EXPECT_EQ(issue_of("1,2 kg/s", Quantity::mass_flow).text,
            "\"1,2 kg/s\" has a comma in its number; write a decimal point and nothing between thousands: "
            "\"1.2 kg/s\"");
  EXPECT_EQ(issue_of("1.234,5 kg", Quantity::mass).text,
            "\"1.234,5 kg\" has a comma in its number; write a decimal point and nothing between thousands");
}

TEST(Parse, RefusesNumbersBeyondTheRangeOfADouble) {
  EXPECT_EQ(issue_of("1e999 m2", Quantity::area).text, "\"1e999\" is too large or too small to compute with");
  EXPECT_EQ(issue_of("1e-999 m2", Quantity::area).code, "number_out_of_range");
  EXPECT_EQ(issue_of("1e308 km2", Quantity::area).code, "number_out_of_range");
  EXPECT_EQ(issue_of("1e-320 mm2", Quantity::area).code, "number_out_of_range");
  EXPECT_EQ(issue_of("1e99999999999999999999 m2", Quantity::area).code, "number_out_of_range");
  EXPECT_EQ(issue_of(std::string(400, '9') + " m2", Quantity::area).code, "number_out_of_range");
  EXPECT_EQ(si("0 mm2", Quantity::area), 0.0);
}

TEST(Parse, BoundsItsWorkOnHugeInput) {
  const auto start = std::chrono::steady_clock::now();
  const std::size_t size = 65536;
  std::string products = "5 m";
  while (products.size() < size) products += " m";
  EXPECT_FALSE(parse(products, Quantity::area).ok());
  EXPECT_FALSE(parse("5 " + std::string(size, 'm'), Quantity::area).ok());
  EXPECT_FALSE(parse("5 " + std::string(size, '('), Quantity::area).ok());
  EXPECT_FALSE(parse(std::string(size, '9') + " m2", Quantity::area).ok());
  EXPECT_TRUE(parse("0." + std::string(size, '3') + " m2", Quantity::area).ok());
  EXPECT_FALSE(parse("1e" + std::string(size, '9') + " m2", Quantity::area).ok());
  EXPECT_FALSE(parse("5," + std::string(size, '9') + " m2", Quantity::area).ok());
  const Result<double> junk = parse("5 m2" + std::string(size, '\x01'), Quantity::area);
  ASSERT_FALSE(junk.ok());
  EXPECT_LT(junk.issues()[0].text.size(), 1000u);
  // A thousand times what it takes here; quadratic work would need minutes.
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(2));
}

TEST(Parse, SurvivesRandomText) {
  std::mt19937 random(20240607);
  const std::string alphabet = "0123456789.,eE+-mkgPasNJWKdegCF2^*/() \t\xc2\xb2\xb5\xe2\x81\xbb_\"\\\x1b";
  int accepted = 0;
  for (int i = 0; i < 20000; ++i) {
    std::string text = i % 2 == 0 ? "5 " : "";
    const std::size_t size = random() % 12;
    for (std::size_t j = 0; j < size; ++j) text += alphabet[random() % alphabet.size()];
    for (const Quantity quantity : {Quantity::length, Quantity::temperature, Quantity::pressure_gauge}) {
      const Result<double> value = parse(text, quantity);
      if (value.ok()) {
        ++accepted;
      } else {
        ASSERT_FALSE(value.issues()[0].text.empty());
        ASSERT_EQ(value.issues()[0].text.find('\x1b'), std::string::npos);
      }
    }
  }
  EXPECT_GT(accepted, 10);  // the generator reaches good text, too
}

TEST(Parse, DoesNotDependOnTheLocale) {
  const std::string before = std::setlocale(LC_ALL, nullptr);
  const char* comma = std::setlocale(LC_ALL, "de_DE.UTF-8");
  EXPECT_EQ(si("1.5 m", Quantity::length), 1.5);
  EXPECT_EQ(write(0.0015, Quantity::length, "mm"), "1.5 mm");
  std::setlocale(LC_ALL, before.c_str());
  if (comma == nullptr) GTEST_SKIP() << "no locale with a decimal comma is installed";
}

TEST(UnitOf, GivesTheTextBehindTheNumber) {
  EXPECT_EQ(unit_of("420 cm2"), "cm2");
  EXPECT_EQ(unit_of("  1.2e3kPa gauge "), "kPa gauge");
  EXPECT_EQ(unit_of("5 1/m"), "1/m");
  EXPECT_EQ(unit_of("0.4"), "");
}

TEST(EditDistance, CountsSingleEditsAndSwaps) {
  EXPECT_EQ(edit_distance("kPa", "kPa", 5), 0);
  EXPECT_EQ(edit_distance("kPa", "kpa", 5), 1);
  EXPECT_EQ(edit_distance("degC", "dgeC", 5), 1);
  EXPECT_EQ(edit_distance("", "abc", 5), 3);
  EXPECT_EQ(edit_distance("kitten", "sitting", 5), 3);
  EXPECT_EQ(edit_distance("kitten", "sitting", 1), 2);
  EXPECT_EQ(edit_distance(std::string(41, 'a'), std::string(41, 'a'), 2), 3);
}

}  // namespace
}  // namespace corefeed::units
