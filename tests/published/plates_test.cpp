// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published losses of holes, plates and screens. Source beside each value.
namespace corefeed::losses {
namespace {

using published::incompressible;
using published::Published;
using published::relative;
using testing::LawCase;
using testing::part_coefficient;
using testing::pi;

struct Open {
  const char* id;
  double fraction, loss;
};

enum Style { mesh, plate };

double screen(double open_fraction, Style style) {
  LawCase law = incompressible("screen", 1.2);
  law.set("area", 1.0).set("open_fraction", open_fraction).set("style", style);
  return part_coefficient(law, "screen", 1.0);
}

// Kirchhoff 1869 (Lamb, Hydrodynamics): plane slot in a thin wall, pi/(pi + 2).
TEST(PublishedPlates, FreeStreamlineSlot) {
  LawCase law = incompressible("leak", 1.2);
  law.set("area", 0.01).set("edge", 1.0);
  law.state.mass_flow = testing::flow_of(law, 0.01, 10.0);
  Published("S-ML-26", "Kirchhoff 1869; Lamb, Hydrodynamics; computed", "plane slot in a thin wall")
      .met("Cc", std::sqrt(testing::head_of(law, 0.01) / law.loss()), 0.6110154704, relative(1e-6));
}

// Idelchik, Diagrams 4-14 and 8-1: thin sharp-edged plate, on the approach; the equation from memory.
TEST(PublishedPlates, PerforatedPlate) {
  for (const Open& row : {Open{"S-ML-27", 0.1, 246.7158465}, Open{"S-ML-28", 0.2, 51.29138096},
                          Open{"S-ML-29", 0.3, 18.53355994}, Open{"S-ML-30", 0.5, 3.999395977},
                          Open{"S-ML-31", 0.6, 1.993490136}, Open{"S-ML-32", 0.8, 0.41631532}}) {
    Published(row.id, "Idelchik, Handbook of Hydraulic Resistance, Diagrams 4-14 and 8-1; memory",
              fmt::format("thin sharp-edged plate, open fraction {:g}", row.fraction))
        .met("K on the approach", screen(row.fraction, plate), row.loss, relative(0.005));
  }
}

/// A hole of 1 m in a wall of a large space, with a smooth bore; Re 6e5.
double hole(double thickness) {
  LawCase law = incompressible("orifice", 1.2);
  law.set("area", pi / 4.0).set("thickness", thickness).set("roughness", 0.0);
  return part_coefficient(law, "orifice", pi / 4.0);
}

// Idelchik, Diagram 4-18 (2.7 to 2.9 by edition), and the classical short tube, Cd 0.80 to 0.82; memory.
TEST(PublishedPlates, HoleInAWall) {
  const double thin = hole(0.0);
  Published("S-ML-33", "Idelchik, Handbook of Hydraulic Resistance, Diagram 4-18; memory",
            "thin sharp-edged hole in a wall")
      .met("K on the hole", thin, 2.85, relative(0.06))
      .met("Cd", 1.0 / std::sqrt(thin), 0.5923488778, relative(0.06));
  const double thick = hole(2.0);
  Published("S-ML-34", "Idelchik, Diagram 4-18; the classical short tube; memory",
            "thick hole in a wall, l/D = 2")
      .met("K on the hole", thick, 1.52, relative(0.05))
      .met("Cd", 1.0 / std::sqrt(thick), 0.81, relative(0.05));
}

// Idelchik, Diagram 8-6: 1.3 (1 - s) + (1/s - 1)^2 in fast air, from memory.
TEST(PublishedPlates, RoundWireScreen) {
  for (const Open& row :
       {Open{"S-ML-35", 0.3, 6.354444444}, Open{"S-ML-36", 0.5, 1.65}, Open{"S-ML-37", 0.8, 0.3225}}) {
    Published(row.id, "Idelchik, Handbook of Hydraulic Resistance, Diagram 8-6; memory",
              fmt::format("screen of round wires, open fraction {:g}", row.fraction))
        .met("K on the approach", screen(row.fraction, mesh), row.loss, relative(0.005));
  }
}

}  // namespace
}  // namespace corefeed::losses
