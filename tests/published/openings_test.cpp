// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "corefeed/losses/area_change.hpp"
#include "corefeed/units/quantity.hpp"
#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published values of openings in the skin and of the flow that passes them. Source beside each value.
namespace corefeed::losses {
namespace {

using published::absolute;
using published::incompressible;
using published::Published;
using published::relative;
using testing::degree;
using testing::expect_relative;
using testing::flow_of;
using testing::LawCase;
using testing::pi;

/// The standard atmosphere at sea level, 1.225 kg/m3.
Surroundings sea_level(double speed) {
  return surroundings_of(fluids::humid_air(288.15, 101325.0, 0.0), 101325.0, 288.15, speed, 0.0);
}

// Isentropic flow, gamma 1.4, q_c = p [(1 + 0.2 M^2)^3.5 - 1]; computed.
TEST(PublishedOpenings, FreestreamHeads) {
  struct Row {
    const char* id;
    double speed, dynamic, impact, ratio;
  };
  const auto row_of = [](const Row& row) {
    return Published(row.id, "isentropic flow, gamma = 1.4; computed",
                     fmt::format("freestream heads at sea level, {:g} m/s", row.speed));
  };
  for (const Row& row : {Row{"S-AE-01", 20, 245.0, 245.2116311, 1.000863801},
                         Row{"S-AE-02", 40, 980.0, 983.3897708, 1.00345895}}) {
    const Surroundings air = sea_level(row.speed);
    row_of(row)
        .met("q, Pa", air.dynamic_head, row.dynamic, relative(2e-5))
        .met("q_c, Pa", air.total_pressure, row.impact, relative(2e-5))
        .met("q_c/q", air.total_pressure / air.dynamic_head, row.ratio, relative(2e-5));
  }
  const Row fast{"S-AE-03", 80, 3920.0, 3974.461881, 1.013893337};
  const Surroundings air = sea_level(fast.speed);
  const char* reason =
      "the freestream's total pressure is q (1 + M^2/4); the next term of the series, M^4/40, is left out "
      "and is "
      "7.6e-5 of q at 80 m/s, for a tolerance of 2e-5.";
  row_of(fast)
      .met("q, Pa", air.dynamic_head, fast.dynamic, relative(2e-5))
      .not_met("q_c, Pa", air.total_pressure, fast.impact, relative(2e-5), reason)
      .not_met("q_c/q", air.total_pressure / air.dynamic_head, fast.ratio, relative(2e-5), reason);
}

/// Velocity at the exit over the car's, for a core on a velocity head and an exit at the freestream's static
/// pressure that loses its jet; `heat` is temperature behind over before the core.
struct Radiator {
  double exit_ratio;  ///< of velocities
  double core_ratio;
  double flow_ratio;  ///< of mass flows, on the exit's area
  double drag() const { return 2.0 * flow_ratio * (1.0 - exit_ratio); }
};

Radiator radiator(double core_loss, double exit_share, double heat) {
  constexpr double density = 1.2;
  constexpr double speed = 20.0;
  constexpr double face = 0.2;
  LawCase core = incompressible("loss", density, speed);
  core.set("area", face).set("loss", core_loss);
  LawCase exit = incompressible("vent", density, speed);
  exit.set("area", exit_share * face)
      .set("cp", 0.0)
      .set("discharge_coefficient", 1.0)
      .set("cross_stream", 0.0);
  exit.state.temperature_from = heat * core.state.temperature_from;
  const auto excess = [&](double flow) {
    core.state.mass_flow = exit.state.mass_flow = flow;
    return core.loss() + exit.loss() - core.outside.total_pressure;
  };
  const double whole = density * speed * exit_share * face;
  boost::uintmax_t steps = 100;
  const auto bracket = boost::math::tools::toms748_solve(
      excess, 1e-3 * whole, 2.0 * whole, boost::math::tools::eps_tolerance<double>(48), steps);
  core.state.mass_flow = exit.state.mass_flow = bracket.first;
  return {exit.reported("velocity") / speed, core.reported("velocity") / speed, bracket.first / whole};
}

// Radiator in a duct, one-dimensional as in Rogallo, NACA TR 713, 1941 and Kuechemann & Weber, Aerodynamics
// of Propulsion, 1953 (derivation redone), incompressible: 1 - x^2 = K (A_e/A_c)^2 x^2.
TEST(PublishedOpenings, RadiatorInADuct) {
  struct Row {
    const char* id;
    double core, exit, exit_ratio, core_ratio, drag;
  };
  for (const Row& row : {Row{"S-AE-04", 6, 0.3, 0.805822964, 0.2417468892, 0.3129446293},
                         Row{"S-AE-05", 10, 0.2, 0.8451542547, 0.1690308509, 0.2617370809},
                         Row{"S-AE-06", 4, 0.5, 0.7071067812, 0.3535533906, 0.4142135624}}) {
    const Radiator found = radiator(row.core, row.exit, 1.0);
    Published(row.id, "one-dimensional, as in Rogallo, NACA TR 713, 1941; computed",
              fmt::format("radiator in a duct, K = {:g}, A_e/A_c = {:g}", row.core, row.exit))
        .met("V_e/V_0", found.exit_ratio, row.exit_ratio, relative(1e-6))
        .met("V_c/V_0", found.core_ratio, row.core_ratio, relative(1e-6))
        .met("C_D on the exit", found.drag(), row.drag, relative(1e-6));
  }
}

// Heated core at low speed (constant-pressure heating, own one-dimensional derivation).
TEST(PublishedOpenings, HeatedCore) {
  const Radiator found = radiator(8, 0.3, 1.15);
  Published("S-AE-07", "one-dimensional, heating at constant pressure; computed",
            "heated core, K = 8 on cold air, A_e/A_c = 0.3, temperatures 1.15 to 1")
      .met("V_e/V_0", found.exit_ratio, 0.8409632877, relative(1e-6))
      .met("mass flow ratio", found.flow_ratio, 0.7312724241, relative(1e-6))
      .met("C_D on the exit", found.drag(), 0.2325983242, relative(1e-6));
}

/// An inlet that recovers everything, at this ratio of throat velocity to car speed.
LawCase inlet_at(double ratio) {
  constexpr double speed = 20.0;
  constexpr double area = 0.05;
  LawCase law = incompressible("inlet", 1.2, speed);
  law.set("area", area).set("cp", 0.0).set("recovery", 1.0).set("internal_loss", 0.0);
  law.state.mass_flow = flow_of(law, area, ratio * speed);
  // The density in the throat is that of the recovered pressure and the total temperature.
  for (int pass = 0; pass < 3; ++pass) law.state.mass_flow *= ratio / law.reported("velocity_ratio");
  return law;
}

// Bernoulli and continuity; computed.
TEST(PublishedOpenings, PreEntryDiffusion) {
  struct Row {
    const char* id;
    double ratio, pressure, streamtube;
  };
  for (const Row& row : {Row{"S-AE-08", 0.4, 0.84, 2.5}, Row{"S-AE-09", 0.7, 0.51, 1.428571429}}) {
    const LawCase law = inlet_at(row.ratio);
    Published(row.id, "Bernoulli and continuity; computed",
              fmt::format("diffusion ahead of an inlet, V_i/V_0 = {:g}", row.ratio))
        .met("Cp in the inlet", law.reported("pre_entry_pressure"), row.pressure, absolute(1e-9))
        .met("stream tube's area ratio", 1.0 / law.reported("velocity_ratio"), row.streamtube,
             absolute(1e-9));
    // What the law's own total pressure and throat leave as static pressure: the recovery is counted once.
    const Terms<double> terms = law.terms();
    const double inside = terms.boundary - terms.pressure_loss() - testing::head_of(law, 0.05);
    expect_relative(inside / law.outside.dynamic_head, row.pressure, 1e-7, row.id);
  }
}

/// Share of the freestream's head that an inlet of the rig below, 1 in deep and 4 in wide, recovers at
/// V_i/V_0 = 0.4 from a boundary layer of this thickness over the opening's depth.
double layer_recovery(double thickness) {
  constexpr double speed = 20.0;
  constexpr double inch = 0.0254;
  LawCase law = incompressible("inlet", 1.2, speed);
  law.set("area", 4.0 * inch * inch).set("cp", 0.0).set("internal_loss", 0.0);
  law.set("boundary_layer.capture_width", 4.0 * inch).set("boundary_layer.thickness", thickness * inch);
  law.state.mass_flow = flow_of(law, 4.0 * inch * inch, 0.4 * speed);
  return 1.0 - law.reported("ram_not_recovered") / law.outside.total_pressure;
}

// Mossman & Randall, NACA RM A7I30, 1948; Frick et al., NACA ACR 5I20, 1945; the number from memory. What a
// thin layer is, is our reading: a quarter of the opening's depth, of which the captured stream is 0.4 high.
TEST(PublishedOpenings, SubmergedInletOnAThinLayer) {
  Published("S-AE-10", "Mossman & Randall, NACA RM A7I30, 1948; memory",
            "NACA submerged inlet, 7 degree ramp, V_i/V_0 = 0.4, thin boundary layer: a quarter of the "
            "opening's depth")
      .met("ram recovery", layer_recovery(0.25), 0.90, absolute(0.04));
}

// Frick, Davis, Randall & Mossman, NACA ACR 5I20, 1945 (figures read in an article describing the tests): the
// rig's geometry, as a model would hold it.
TEST(PublishedOpenings, GeometryOfTheSubmergedInletRig) {
  const double opening = units::parse("4 in2", units::Quantity::area).value();
  expect_relative(opening, 4.0 * 0.0254 * 0.0254, 1e-12, "4 in2");
  constexpr double area_ratio = 13.0;
  const double first = std::sqrt(4.0 * opening / pi);
  const double last = first * std::sqrt(area_ratio);
  LawCase law("diffuser");
  law.set("inlet_area", opening).set("outlet_area", area_ratio * opening);
  // A length by hand from the angle, which the law finds again.
  law.set("length", 0.5 * (last - first) / std::tan(4.0 * degree));
  law.to_plenum = true;
  law.state.mass_flow = flow_of(law, opening, 10.0);
  const double leaving = law.terms().item[testing::item_place(law, "entrance and exit")];
  Published("S-AE-11", "Frick, Davis, Randall & Mossman, NACA ACR 5I20, 1945",
            "geometry of the submerged inlet rig")
      .met("opening, in2", units::convert(opening, units::Quantity::area, "in2"), 4.0, absolute(0.01))
      .met("diffuser's angle, degrees", law.reported("total_angle") / degree, 8.0, absolute(0.01))
      .met("diffuser's area ratio, from its leaving head",
           std::sqrt(testing::head_of(law, opening) / leaving), 13.0, absolute(0.01));
}

// Free-jet limit of a flush sharp hole, Cd 0.61 (Kirchhoff 0.611; circular 0.60 to 0.62); computed.
TEST(PublishedOpenings, FlushHoleInStillAir) {
  LawCase law = incompressible("orifice", 1.2);
  law.set("area", 0.02);
  law.state.mass_flow = flow_of(law, 0.02, 100.0);
  Published("S-AE-12", "free-jet limit of a flush outlet; computed", "sharp thin hole into still air")
      .met("Cd", std::sqrt(testing::head_of(law, 0.02) / law.loss()), 0.61, absolute(0.03));
}

// Borda-Carnot: jet of half the area, recovery 2b(1 - b) and loss (1 - b)^2; computed.
TEST(PublishedOpenings, JetIntoALargerDuct) {
  const double loss = sudden_expansion<double>(0.5);
  Published("S-AE-13", "Borda-Carnot; computed", "jet into a duct of twice its area")
      .met("Cp", 1.0 - 0.25 - loss, 0.5, relative(1e-9))
      .met("K", loss, 0.25, relative(1e-9));
}

}  // namespace
}  // namespace corefeed::losses
