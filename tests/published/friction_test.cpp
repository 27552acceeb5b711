// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/friction.hpp"

#include <fmt/core.h>
#include <gtest/gtest.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <string>

#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published friction factors and pressure drops of pipes. Source beside each value; worked examples were read
// in public transcriptions of the books' examples, their arithmetic redone apart from this program.
namespace corefeed::losses {
namespace {

using published::absolute;
using published::Published;
using published::relative;
using testing::pi;

constexpr double gravity = 9.81;

struct Factor {
  const char* id;
  double reynolds, roughness, factor;
  std::string what() const { return fmt::format("Darcy f at Re {:g}, e/D {:g}", reynolds, roughness); }
};

double friction(double reynolds, double roughness) { return darcy_friction<double>(reynolds, roughness); }

void beside(const Factor& row, const char* source, double within, const char* note) {
  Published(row.id, source, row.what())
      .compared("f", friction(row.reynolds, row.roughness), row.factor, relative(within), note);
}

// Colebrook, J. Inst. Civ. Eng. 11, 1939; Moody, Trans. ASME 66, 1944: another author's equation, computed.
TEST(PublishedFriction, BesideColebrook) {
  const char* source = "Colebrook, J. Inst. Civ. Eng. 11, 1939; Moody, Trans. ASME 66, 1944; computed";
  const char* note = "Colebrook's equation; ours is Churchill's, within 3 % of it.";
  for (const Factor& row :
       {Factor{"S-FR-01", 1e4, 0, 0.03088295035}, Factor{"S-FR-02", 1e5, 0, 0.01798977308},
        Factor{"S-FR-03", 1e6, 0, 0.011645041}, Factor{"S-FR-04", 1e5, 1e-4, 0.01851386608},
        Factor{"S-FR-05", 1e6, 1e-3, 0.01994346584}, Factor{"S-FR-06", 1e5, 1e-2, 0.03850354353},
        Factor{"S-FR-07", 1e7, 1e-5, 0.008995711745}}) {
    beside(row, source, 0.03, note);
  }
  beside({"S-FR-08", 4000, 0.05, 0.07698683489}, source, 0.05,
         "Colebrook's equation; ours is Churchill's, within 5 % of it here, at the edge of transition on the "
         "roughest wall.");
}

// White, Fluid Mechanics, 7th ed., sec. 6.6, table under Prandtl's smooth-wall law; from memory.
TEST(PublishedFriction, BesidePrandtl) {
  const char* source = "White, Fluid Mechanics, 7th ed., sec. 6.6, table under Prandtl's law; memory";
  beside({"S-FR-09", 4000, 0, 0.0399}, source, 0.25,
         "Prandtl's equation; at Re 4000 Churchill's still rises to it from the laminar branch: band 25 %.");
  for (const Factor& row : {Factor{"S-FR-10", 1e4, 0, 0.0309}, Factor{"S-FR-11", 1e5, 0, 0.0180},
                            Factor{"S-FR-12", 1e7, 0, 0.0081}, Factor{"S-FR-13", 1e8, 0, 0.0059}}) {
    beside(row, source, 0.03, "Prandtl's equation; ours is Churchill's, within 3 % of it.");
  }
}

// Haaland, J. Fluids Eng. 105, 1983; Swamee & Jain, J. Hydraul. Div. ASCE 102, 1976; computed.
TEST(PublishedFriction, BesideHaalandAndSwameeJain) {
  for (const Factor& row :
       {Factor{"S-FR-14", 1e5, 1e-4, 0.01826505301}, Factor{"S-FR-15", 1e6, 1e-3, 0.01994120427},
        Factor{"S-FR-16", 5e4, 0.02, 0.04948936303}}) {
    beside(row, "Haaland, J. Fluids Eng. 105, 1983; computed", 0.03,
           "Haaland's equation; ours is Churchill's, within 3 % of it.");
  }
  for (const Factor& row :
       {Factor{"S-FR-17", 1e5, 1e-4, 0.01845244531}, Factor{"S-FR-18", 1e6, 1e-3, 0.02002924132}}) {
    beside(row, "Swamee & Jain, J. Hydraul. Div. ASCE 102, 1976; computed", 0.03,
           "Swamee's and Jain's equation; ours is Churchill's, within 3 % of it.");
  }
}

// Churchill, Chem. Eng. 84(24), 1977, p. 91; computed.
TEST(PublishedFriction, Churchill) {
  for (const Factor& row :
       {Factor{"S-FR-19", 500, 0, 0.128}, Factor{"S-FR-20", 2000, 0, 0.03204331743},
        Factor{"S-FR-21", 3000, 1e-4, 0.04304899257}, Factor{"S-FR-22", 1e4, 0, 0.03100213065},
        Factor{"S-FR-23", 1e5, 1e-4, 0.01846262457}, Factor{"S-FR-24", 1e5, 1e-2, 0.03873355752},
        Factor{"S-FR-25", 1e6, 1e-3, 0.02002195641}}) {
    Published(row.id, "Churchill, Chem. Eng. 84(24), 1977, p. 91; computed", row.what())
        .met("f", friction(row.reynolds, row.roughness), row.factor, relative(1e-6));
  }
}

struct Pipe {
  double density, viscosity, diameter, length, roughness, flow;
  double velocity() const { return flow / (pi / 4.0 * diameter * diameter); }
  double reynolds() const { return density * velocity() * diameter / viscosity; }
  double factor() const { return friction(reynolds(), roughness / diameter); }
  double head() const { return 0.5 * density * velocity() * velocity(); }
  double drop_with(double f) const { return f * length / diameter * head(); }
  double drop() const { return drop_with(factor()); }
};

// Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., 2006, Example 8.2, p. 412.
TEST(PublishedFriction, LaminarOilPipe) {
  const Pipe pipe{900, 0.4, 0.02, 10, 0, 2e-5};
  Published("S-FR-39", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.2",
            "laminar oil pipe, 20 mm by 10 m")
      .met("drop, Pa", pipe.drop(), 20371.83272, relative(0.002))
      .met("Re", pipe.reynolds(), 2.864788976, relative(0.002));
}

// The same book, Example 8.5, p. 435: air at 50 m/s in a drawn tube of 4 mm, turbulent and if it were
// laminar.
TEST(PublishedFriction, AirInASmallTube) {
  const Pipe tube{1.23, 1.79e-5, 0.004, 0.1, 1.5e-6, 50.0 * pi / 4.0 * 0.004 * 0.004};
  // The law's own laminar branch, carried on to this Reynolds number.
  const double laminar = friction(100.0, 0.0) * 100.0 / tube.reynolds();
  Published("S-FR-40", "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, 5th ed., Example 8.5",
            "air at 50 m/s in a drawn tube of 4 mm")
      .met("Re", tube.reynolds(), 13743.01676, relative(0.002))
      .met("drop if laminar, Pa", tube.drop_with(laminar), 179.0, relative(0.003))
      .met("turbulent drop, Pa", tube.drop(), 1076.0, relative(0.05));
}

// Cengel & Cimbala, Fluid Mechanics: Fundamentals and Applications, 2nd ed., 2010, Example 8-2, p. 350.
TEST(PublishedFriction, LaminarWaterTube) {
  const Pipe tube{1000, 0.001519, 0.003, 9, 0, 0.9 * pi / 4.0 * 0.003 * 0.003};
  Published("S-FR-41", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Example 8-2",
            "laminar water in a 3 mm tube")
      .met("head lost, m", tube.drop() / (1000 * gravity), 4.46, relative(0.005))
      .met("drop, Pa", tube.drop(), 43700, relative(0.005))
      .met("power, W", tube.drop() * tube.flow, 0.28, absolute(0.006));
}

// The same book, Example 8-3, p. 360: water in a stainless pipe.
TEST(PublishedFriction, WaterPipe) {
  const Pipe pipe{999, 0.001138, 0.05, 60, 2e-6, 0.006};
  Published("S-FR-42", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Example 8-3", "water in a stainless pipe")
      .met("f", pipe.factor(), 0.01718838888, relative(0.005))
      .met("drop, Pa", pipe.drop(), 96204.33238, relative(0.01))
      .met("power, W", pipe.drop() * pipe.flow, 577.2259943, relative(0.01));
}

// The same book, Example 8-4, p. 361: diameter of a smooth air duct for 20 m of head.
TEST(PublishedFriction, SizeOfAnAirDuct) {
  const auto duct = [](double diameter) { return Pipe{1.0, 1.655e-5, diameter, 150, 0, 0.35}; };
  const auto excess = [&duct](double diameter) { return duct(diameter).drop() / gravity - 20.0; };
  boost::uintmax_t steps = 100;
  const auto bracket = boost::math::tools::toms748_solve(
      excess, 0.1, 1.0, boost::math::tools::eps_tolerance<double>(40), steps);
  Published("S-FR-43", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Example 8-4",
            "smooth air duct sized for 20 m of head")
      .met("diameter, m", bracket.first, 0.267, relative(0.006))
      .not_met(
          "f", duct(bracket.first).factor(), 0.018, relative(0.006),
          "the book solves Colebrook's equation and prints two digits; Churchill's, which covers laminar and "
          "turbulent flow in one, lies 0.6 % below Colebrook's at this Re of 1.0e5. Diameter and velocity, "
          "which are what the example asks for, are met.")
      .met("velocity, m/s", duct(bracket.first).velocity(), 6.24, relative(0.006));
}

// Massey & Ward-Smith, Mechanics of Fluids, 8th ed., Example 7.1, p. 255.
TEST(PublishedFriction, GalvanizedPipe) {
  const Pipe pipe{1000, 1.14e-3, 0.15, 300, 0.00015, 0.05};
  Published("S-FR-44", "Massey & Ward-Smith, Mechanics of Fluids, 8th ed., Example 7.1",
            "water in a galvanized pipe")
      .met("head lost, m", pipe.drop() / (1000 * gravity), 16.81, relative(0.015));
}

// White, Fluid Mechanics, Example 6.7: 500 m of cast iron, sloping down 10 degrees; computed with Colebrook.
TEST(PublishedFriction, OilPipeDownASlope) {
  const Pipe pipe{900, 900 * 1e-5, 0.2, 500, 0.00026, 0.2};
  const double fall = 500 * std::sin(10 * testing::degree);
  Published("S-FR-45", "White, Fluid Mechanics, Example 6.7; computed",
            "oil in a pipe down a slope of 10 degrees")
      .met("head lost, m", pipe.drop() / (900 * gravity), 117.3524017, relative(0.02))
      .not_met(
          "drop, Pa", pipe.drop() - 900 * gravity * fall, 269534.4746, relative(0.02),
          "the head lost is met, Churchill's equation giving 0.8 % more than Colebrook's; the pipe's fall of "
          "86.8 m takes three quarters of the loss away and leaves the same difference on a quarter of it.");
}

// Cengel & Cimbala, Examples 8-8 and 8-9, p. 377: reservoirs, friction and a sum of fittings of 2.36.
TEST(PublishedFriction, PipeBetweenReservoirs) {
  const Pipe pipe{999.7, 0.001307, 0.05, 89, 0.00026, 0.006};
  const double fittings = 2.36 * pipe.head();
  Published("S-ML-111", "Cengel & Cimbala, Fluid Mechanics, 2nd ed., Examples 8-8 and 8-9",
            "pipe with fittings between reservoirs")
      .met("level, m", 4.0 + (pipe.drop() + fittings) / (999.7 * gravity), 31.9, relative(0.01))
      .met("f", pipe.factor(), 0.0315, relative(0.01));
}

}  // namespace
}  // namespace corefeed::losses
