// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "corefeed/losses/area_change.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published losses where the area of a duct changes: steps, contractions, outlets and diffusers. Source
// beside each value.
namespace corefeed::losses {
namespace {

using published::absolute;
using published::incompressible;
using published::Published;
using published::relative;
using testing::degree;
using testing::LawCase;
using testing::part_coefficient;
using testing::pi;

struct Ratio {
  const char* id;
  double ratio, expected;
};

LawCase change(const char* kind, double inlet, double outlet) {
  return LawCase(kind).set("inlet_area", inlet).set("outlet_area", outlet);
}

/// Coefficient at a Reynolds number of 6e9 and more, where what slow flow adds is below 1e-8.
double fast_coefficient(LawCase law, const char* part, double area) {
  law.set("inlet_area", 1e12 * law.numbers[0]).set("outlet_area", 1e12 * law.numbers[1]);
  return part_coefficient(law, part, 1e12 * area);
}

// Borda-Carnot momentum balance (Idelchik, Handbook of Hydraulic Resistance, sec. 4; any text), on the
// velocity of the small pipe; computed.
TEST(PublishedAreaChanges, SuddenExpansion) {
  for (const Ratio& row : {Ratio{"S-ML-01", 0.1, 0.81}, Ratio{"S-ML-02", 0.2, 0.64},
                           Ratio{"S-ML-03", 0.5, 0.25}, Ratio{"S-ML-04", 0.7, 0.09}}) {
    const LawCase law = change("step", 0.01 * row.ratio, 0.01);
    Published(row.id, "Borda-Carnot; Idelchik, Handbook of Hydraulic Resistance, sec. 4; computed",
              fmt::format("sudden expansion, A1/A2 = {:g}", row.ratio))
        .met("K", fast_coefficient(law, "step", 0.01 * row.ratio), row.expected, relative(1e-6));
  }
}

// Idelchik, Handbook of Hydraulic Resistance, 3rd ed., Diagrams 4-9 and 4-10, on the small pipe's velocity;
// the equation from memory of the diagram.
TEST(PublishedAreaChanges, SuddenContractionAfterIdelchik) {
  for (const Ratio& row : {Ratio{"S-ML-11", 0.1, 0.4620105432}, Ratio{"S-ML-12", 0.3, 0.3826427899},
                           Ratio{"S-ML-13", 0.5, 0.2973017788}, Ratio{"S-ML-14", 0.9, 0.0889139705}}) {
    const LawCase law = change("contraction", 0.01, 0.01 * row.ratio);
    Published(row.id, "Idelchik, Handbook of Hydraulic Resistance, 3rd ed., Diagrams 4-9 and 4-10; memory",
              fmt::format("sudden contraction, A2/A1 = {:g}", row.ratio))
        .met("K", fast_coefficient(law, "contraction", 0.01 * row.ratio), row.expected, relative(1e-4));
  }
}

// Weisbach's contraction coefficients as printed in Streeter & Wylie, 1975, K = (1/Cc - 1)^2: another
// author's law.
TEST(PublishedAreaChanges, SuddenContractionBesideWeisbach) {
  struct Contraction {
    const char* id;
    double ratio, coefficient, expected;
  };
  for (const Contraction& row :
       {Contraction{"S-ML-05", 0.1, 0.624, 0.3630834977}, Contraction{"S-ML-06", 0.2, 0.632, 0.3390482295},
        Contraction{"S-ML-07", 0.4, 0.659, 0.2677552092}, Contraction{"S-ML-08", 0.5, 0.681, 0.2194255231},
        Contraction{"S-ML-09", 0.7, 0.755, 0.105302399}, Contraction{"S-ML-10", 0.9, 0.892, 0.01465945424}}) {
    const LawCase law = change("contraction", 0.01, 0.01 * row.ratio);
    const double found = fast_coefficient(law, "contraction", 0.01 * row.ratio);
    Published(row.id, "Weisbach's coefficients in Streeter & Wylie, 1975",
              fmt::format("sudden contraction, A2/A1 = {:g}, Cc = {:g}", row.ratio, row.coefficient))
        .compared(
            "K", found, row.expected, absolute(0.12),
            "Weisbach's contraction of the jet; ours is Idelchik's, which lies above it by at most 0.12.");
    EXPECT_GT(found, row.expected) << row.id;
  }
}

// Any text: discharge into a large space loses the head of the jet, computed.
TEST(PublishedAreaChanges, FreeOutlet) {
  LawCase law = incompressible("duct", 1.2);
  law.set("length", 0.0).set("area", 0.05).set("hydraulic_diameter", 0.25);
  law.to_plenum = true;
  // At 100 m/s the rounding that keeps a slope at zero flow leaves 5e-11.
  Published("S-ML-25", "any text; computed", "free outlet into a plenum")
      .met("K", part_coefficient(law, "entrance and exit", 0.05, 100.0), 1.0, relative(1e-9));
}

// One-dimensional Bernoulli, 1 - 1/AR^2: what a diffuser without loss recovers; computed.
TEST(PublishedAreaChanges, IdealDiffuserRecovery) {
  for (const Ratio& row :
       {Ratio{"S-ML-99", 1.5, 0.5555555556}, Ratio{"S-ML-100", 2, 0.75}, Ratio{"S-ML-101", 4, 0.9375}}) {
    LawCase law = change("diffuser", 0.02, 0.02 * row.ratio);
    law.set("expansion_loss", 0.0);
    const double kinetic = 1.0 - 1.0 / (row.ratio * row.ratio);
    Published(row.id, "one-dimensional Bernoulli; computed",
              fmt::format("diffuser without loss, area ratio {:g}", row.ratio))
        .met("Cp", kinetic - part_coefficient(law, "diffuser", 0.02), row.expected, relative(1e-6));
    // A real one recovers less.
    law.set("expansion_loss", 0.2);
    EXPECT_LT(kinetic - part_coefficient(law, "diffuser", 0.02), row.expected);
  }
}

// Cengel & Cimbala, Fluid Mechanics: Fundamentals and Applications, 2nd ed., 2010, Example 8-6, p. 370: water
// at 7 m/s from 60 to 90 mm, K 0.133 and kinetic-energy factors of 1.06 given by the book.
TEST(PublishedAreaChanges, EnergyAcrossAGradualExpansion) {
  constexpr double density = 1000.0;
  constexpr double kinetic_factor = 1.06;
  const double area = pi / 4.0 * 0.06 * 0.06;
  LawCase law = incompressible("loss", density);
  law.set("area", area).set("loss", 0.133);
  law.state.mass_flow = density * 7.0 * area;
  const double behind = 7.0 * std::pow(0.06 / 0.09, 2);
  const double kinetic = kinetic_factor * 0.5 * density * (49.0 - behind * behind);
  Published(
      "S-ML-102", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Example 8-6",
      "gradual expansion 60 to 90 mm, K 0.133 given, energy equation with a kinetic-energy factor of 1.06")
      .met("head lost, m", law.loss() / (density * 9.81), 0.332, relative(0.01))
      .met("pressure behind, Pa", 150000.0 + kinetic - law.loss(), 167580.0, absolute(500));
}

// Fox & McDonald, Introduction to Fluid Mechanics, 5th ed., 1998, Example 8.10, p. 362, from the map of
// McDonald & Fox 1966.
TEST(PublishedAreaChanges, ConicalDiffuserOnTheMap) {
  const double radius = 0.05;
  const double area = pi * radius * radius;
  LawCase law = change("diffuser", area, 2.0 * area);
  law.set("length", 3.0 * radius);
  const double loss = part_coefficient(law, "diffuser", area) + part_coefficient(law, "friction", area);
  const char* reason =
      "the book reads Cp 0.45 off the map of McDonald & Fox 1966; ours is Idelchik's attached cone, 3.2 "
      "tan(theta)^1.25 of the sudden expansion and wall friction, which at this half angle of 7.9 degrees "
      "also Eckert, "
      "Mort & Jope give (S-ML-104). A thick inlet layer (`blockage`) makes up a quarter of the difference.";
  Published("S-ML-103", "Fox & McDonald, Introduction to Fluid Mechanics, 5th ed., Example 8.10",
            "conical diffuser, N/R1 = 3, area ratio 2")
      .not_met("Cp", 1.0 - 0.25 - loss, 0.45, absolute(0.05), reason)
      .not_met("K", loss, 0.30, absolute(0.05), reason);
}

// Eckert, Mort & Jope, NASA TN D-8243, 1976: expansion factor of a cone, from memory.
TEST(PublishedAreaChanges, ConicalDiffuserExpansionFactor) {
  const auto factor = [](double half_angle) {
    LawCase law = change("diffuser", 0.02, 0.04);
    law.set("angle", 2.0 * half_angle * degree);
    return law.reported("expansion_share");
  };
  Published("S-ML-104", "Eckert, Mort & Jope, NASA TN D-8243, 1976; memory",
            "conical diffuser, expansion factor at half angles of 1 and 8 degrees")
      .not_met(
          "K_exp at 1 degree", factor(1.0), 0.07941, relative(0.01),
          "their factor keeps 0.08 of the sudden expansion in the narrowest cone; ours, Idelchik's, falls to "
          "nothing with the angle, and the friction of the wall is counted apart. At 8 degrees the two agree "
          "within 1 %.")
      .met("K_exp at 8 degrees", factor(8.0), 0.27715, relative(0.01));
}

}  // namespace
}  // namespace corefeed::losses
