// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "corefeed/losses/friction.hpp"
#include "tests/losses/law_fixture.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published friction of ducts of any section, by the duct law: laminar f Re of the sections, and air measured
// in sheet-metal ducts. Source beside each value.
namespace corefeed::losses {
namespace {

using published::Published;
using published::relative;
using testing::flow_of;
using testing::LawCase;
using testing::pi;

enum Section { round_section, rectangle, annulus, triangle };

/// f Re that the duct law reports for air that creeps: Re 13, far from where transition is felt.
double laminar_product(Section section, double aspect) {
  LawCase law("duct");
  law.set("length", 1.0).set("area", 1e-4).set("hydraulic_diameter", 0.002).set("roughness", 0.0);
  law.set("section", section).set("aspect", aspect);
  law.state.mass_flow = flow_of(law, 1e-4, 0.1);
  return law.reported("friction_factor") * law.reported("reynolds");
}

// Hagen-Poiseuille: f Re = 64 in a circle.
TEST(PublishedDucts, LaminarCircle) {
  Published("S-FR-26", "Hagen-Poiseuille", "laminar f Re of a circle")
      .met("f Re", laminar_product(round_section, 1.0), 64.0, relative(1e-6));
}

// Shah & London, Laminar Flow Forced Convection in Ducts, 1978; White, Fluid Mechanics, Table 6.4 (memory):
// exact series, on the hydraulic diameter.
TEST(PublishedDucts, LaminarRectangle) {
  struct Row {
    const char* id;
    double aspect, product;
  };
  for (const Row& row :
       {Row{"S-FR-27", 1, 56.90830754}, Row{"S-FR-28", 0.5, 62.19222459}, Row{"S-FR-29", 0.4, 65.47240279},
        Row{"S-FR-30", 0.25, 72.93110732}, Row{"S-FR-31", 0.125, 82.33857625},
        Row{"S-FR-32", 0.1, 84.67550731}, Row{"S-FR-33", 0.05, 89.90805238}, Row{"S-FR-34", 0, 96.0}}) {
    const double found = laminar_product(rectangle, row.aspect);
    Published(row.id, "Shah & London, Laminar Flow Forced Convection in Ducts, 1978; computed",
              fmt::format("laminar f Re of a rectangle, short over long side {:g}", row.aspect))
        .met("f Re", found, row.product, relative(0.001));
    testing::expect_relative(rectangle_laminar<double>(row.aspect), found, 1e-6, "series");
  }
}

// White, Fluid Mechanics, Table 6.3 (memory); closed form, computed.
TEST(PublishedDucts, LaminarAnnulus) {
  struct Row {
    const char* id;
    double ratio, product;
  };
  for (const Row& row : {Row{"S-FR-35", 0.01, 80.11295655}, Row{"S-FR-36", 0.1, 89.37184272},
                         Row{"S-FR-37", 0.8, 95.9205384}}) {
    Published(row.id, "White, Fluid Mechanics, Table 6.3; computed",
              fmt::format("laminar f Re of an annulus, radii {:g}", row.ratio))
        .met("f Re", laminar_product(annulus, row.ratio), row.product, relative(1e-4));
  }
}

// Shah & London 1978: 160/3.
TEST(PublishedDucts, LaminarTriangle) {
  Published("S-FR-38", "Shah & London, Laminar Flow Forced Convection in Ducts, 1978",
            "laminar f Re of an equilateral triangle")
      .met("f Re", laminar_product(triangle, 1.0), 53.33333333, relative(0.001));
}

struct Measured {
  const char* id;
  int test;
  double diameter, temperature, density, velocity, gradient;
};

/// A section of the duct, with its side ratio; the law reads area and hydraulic diameter.
struct Form {
  const char* name;
  Section section;
  double aspect;
};

/// Loss of a meter of the duct in air of the printed temperature and density, by the duct law, Pa.
double gradient(const Measured& row, const Form& form) {
  LawCase law("duct");
  const double area = pi / 4.0 * row.diameter * row.diameter;
  law.set("length", 1.0).set("area", area).set("hydraulic_diameter", row.diameter).set("roughness", 0.0);
  law.set("section", form.section).set("aspect", form.aspect);
  // Static pressure that gives the printed density; that the law takes total pressure moves it by M^2/2, 1 %
  // at the fastest, so the static state is what is set.
  const auto air = law.outside.air;
  const double dynamic = 0.5 * row.density * row.velocity * row.velocity;
  const double pressure = row.density * air.gas_constant * row.temperature;
  const double total = row.temperature + row.velocity * row.velocity / (2.0 * air.heat_capacity);
  law.outside = surroundings_of(air, pressure, row.temperature, 0.0, 0.0);
  law.state.temperature_from = law.state.temperature_to = total;
  law.state.pressure_from = law.state.pressure_to = dynamic;
  law.state.mass_flow = row.density * row.velocity * area;
  return law.loss();
}

// Huebscher, Heating, Piping & Air Conditioning 19(12), 1947, pp. 127-135, Tables 2 to 4: MEASURED pressure
// gradients in smooth sheet-metal air ducts, flow error 2 %; the tables were read in a public transcription.
// Besides the tolerance stated with the rows all lie within 6 %.
void measured(const Measured& row, const Form& form, double tolerance) {
  const double found = gradient(row, form);
  Published(
      row.id, "Huebscher, Heating, Piping & Air Conditioning 19(12), 1947, Tables 2 to 4",
      fmt::format("measured: smooth {} air duct, test {}, {:.3g} m/s", form.name, row.test, row.velocity))
      .met("gradient, Pa/m", found, row.gradient, relative(tolerance));
  testing::expect_relative(found, row.gradient, 0.06, row.id);
}

TEST(PublishedDucts, MeasuredRound) {
  for (const Measured& row : {Measured{"S-FR-46", 2, 0.20371, 295.93, 1.1117, 47.2948, 82.62102625},
                              Measured{"S-FR-47", 4, 0.20371, 294.82, 1.1133, 25.3492, 25.57901208},
                              Measured{"S-FR-48", 6, 0.20371, 293.71, 1.1325, 10.5156, 5.1975245},
                              Measured{"S-FR-49", 7, 0.20371, 294.26, 1.1373, 7.62, 2.974683833},
                              Measured{"S-FR-50", 9, 0.20371, 294.26, 1.1405, 3.8049, 0.8417374583}}) {
    measured(row, {"round", round_section, 1.0}, 0.08);
  }
}

TEST(PublishedDucts, MeasuredSquare) {
  for (const Measured& row : {Measured{"S-FR-51", 1, 0.20015, 296.48, 1.1245, 43.3832, 70.44443583},
                              Measured{"S-FR-52", 4, 0.20015, 294.26, 1.1485, 27.5336, 30.400615},
                              Measured{"S-FR-53", 8, 0.20015, 295.93, 1.1437, 17.6276, 13.56586583},
                              Measured{"S-FR-54", 13, 0.20015, 295.93, 1.1373, 6.7056, 2.369940417}}) {
    measured(row, {"square", rectangle, 1.0}, 0.08);
  }
}

TEST(PublishedDucts, MeasuredEightToOne) {
  for (const Measured& row : {Measured{"S-FR-55", 2, 0.20117, 299.26, 1.1197, 19.2024, 16.09925042},
                              Measured{"S-FR-56", 5, 0.20371, 298.15, 1.1309, 9.906, 4.919669417},
                              Measured{"S-FR-57", 8, 0.20295, 298.71, 1.1293, 8.4836, 3.742871417},
                              Measured{"S-FR-58", 15, 0.20117, 296.48, 1.1149, 4.191, 1.02969825},
                              Measured{"S-FR-59", 25, 0.20193, 299.26, 1.1133, 27.0764, 30.400615}}) {
    measured(row, {"8 to 1", rectangle, 0.125}, 0.10);
  }
}

}  // namespace
}  // namespace corefeed::losses
