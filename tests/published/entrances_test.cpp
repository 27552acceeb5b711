// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/published/incompressible.hpp"
#include "tests/published/published.hpp"
#include "tests/support/check.hpp"

// Published losses of the entry into a duct from still air, by the inlet law at rest, on the duct's velocity.
// Tables of Idelchik, Handbook of Hydraulic Resistance, as ASHRAE prints them. Source beside each value.
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

constexpr double duct_area = pi / 4.0;  // of a duct of 1 m, so that lengths are shares of its diameter

enum LipStyle { flush, protruding };

LawCase entry(LipStyle style = flush) {
  LawCase law = incompressible("inlet", 1.2);
  law.set("area", duct_area).set("cp", 0.0).set("internal_loss", 0.0);
  return law.set("lip_style", style);
}

double coefficient(const LawCase& law) { return part_coefficient(law, "lip and internal loss", duct_area); }

struct Radius {
  const char* id;
  double ratio, loss;
};

// Idelchik & Fried, Flow Resistance, 1989, p. 52; ASHRAE Fundamentals 1977, p. 32.31; ASHRAE, Principles of
// HVAC, 2013, Table 9-4, fitting 1-3.
TEST(PublishedEntrances, BellmouthInAWall) {
  for (const Radius& row :
       {Radius{"S-ML-15", 0, 0.5}, Radius{"S-ML-16", 0.01, 0.44}, Radius{"S-ML-17", 0.02, 0.37},
        Radius{"S-ML-18", 0.04, 0.26}, Radius{"S-ML-19", 0.05, 0.22}, Radius{"S-ML-20", 0.06, 0.20},
        Radius{"S-ML-21", 0.1, 0.12}, Radius{"S-ML-22", 0.12, 0.09}, Radius{"S-ML-23", 0.2, 0.03}}) {
    Published(row.id, "Idelchik & Fried, Flow Resistance, 1989, p. 52; ASHRAE Fundamentals 1977, p. 32.31",
              fmt::format("bellmouth in a wall, r/D = {:g}", row.ratio))
        .met("K", coefficient(entry().set("lip_radius", row.ratio)), row.loss, absolute(0.02));
  }
}

// Borda 1766, momentum theorem: a thin sharp lip in still air contracts the stream to a half and loses one
// head; computed.
TEST(PublishedEntrances, BordaMouthpiece) {
  const double loss = coefficient(entry());
  Published("S-ML-24", "Borda 1766; computed", "thin tube reaching into still air")
      .met("Cc", 1.0 / (1.0 + std::sqrt(loss)), 0.5, relative(1e-6))
      .met("K", loss, 1.0, relative(1e-6));
}

// ASHRAE, Principles of HVAC, 2013, Table 9-4, fitting 1-1, after Idelchik 1986, Diagram 3-1.
TEST(PublishedEntrances, DuctEndThroughAWall) {
  struct Row {
    const char* id;
    double thickness, projection, loss;
  };
  for (const Row& row :
       {Row{"S-ML-72", 0, 0.01, 0.68}, Row{"S-ML-73", 0, 0.2, 0.92}, Row{"S-ML-74", 0, 0.5, 1.0},
        Row{"S-ML-75", 0.02, 0.2, 0.66}, Row{"S-ML-76", 0.05, 0.5, 0.5}}) {
    LawCase law = entry();
    law.set("lip_thickness", row.thickness).set("lip_projection", row.projection);
    Published(row.id, "ASHRAE, Principles of HVAC, 2013, Table 9-4, after Idelchik 1986, Diagram 3-1",
              fmt::format("duct end through a wall, t/D = {:g}, b/D = {:g}", row.thickness, row.projection))
        .met("K", coefficient(law), row.loss, absolute(0.03));
  }
}

// The same table, fitting 1-2, after Idelchik 1986, Diagram 3-4.
TEST(PublishedEntrances, FreeBellmouth) {
  for (const Radius& row :
       {Radius{"S-ML-77", 0, 1.0}, Radius{"S-ML-78", 0.02, 0.74}, Radius{"S-ML-79", 0.05, 0.40},
        Radius{"S-ML-80", 0.1, 0.15}, Radius{"S-ML-81", 0.2, 0.03}}) {
    Published(row.id, "ASHRAE, Principles of HVAC, 2013, Table 9-4, after Idelchik 1986, Diagram 3-4",
              fmt::format("bellmouth in free air, r/D = {:g}", row.ratio))
        .met("K", coefficient(entry(protruding).set("lip_radius", row.ratio)), row.loss, absolute(0.03));
  }
}

struct Cone {
  const char* id;
  double length, angle, loss;
};

void conical(const Cone& row, LipStyle style, const char* source, const char* where) {
  LawCase law = entry(style);
  law.set("lip_cone.length", row.length).set("lip_cone.angle", row.angle * degree);
  Published(row.id, source,
            fmt::format("conical mouth {}, l/D = {:g}, {:g} degrees in all", where, row.length, row.angle))
      .met("K", coefficient(law), row.loss, absolute(0.03));
}

// The same table, fitting 1-4, after Idelchik 1986.
TEST(PublishedEntrances, FreeCone) {
  for (const Cone& row : {Cone{"S-ML-82", 0.25, 30, 0.30}, Cone{"S-ML-83", 0.25, 60, 0.17},
                          Cone{"S-ML-84", 0.6, 45, 0.14}, Cone{"S-ML-85", 0.1, 60, 0.41}}) {
    conical(row, protruding, "ASHRAE, Principles of HVAC, 2013, Table 9-4, fitting 1-4, after Idelchik 1986",
            "in free air");
  }
}

// The same table, fitting 1-5, after Idelchik 1986, Diagram 3-7.
TEST(PublishedEntrances, ConeInAWall) {
  for (const Cone& row :
       {Cone{"S-ML-86", 0.1, 30, 0.25}, Cone{"S-ML-87", 0.1, 60, 0.18}, Cone{"S-ML-88", 0.025, 45, 0.41}}) {
    conical(row, flush, "ASHRAE, Principles of HVAC, 2013, Table 9-4, fitting 1-5, after Idelchik 1986",
            "in a wall");
  }
}

}  // namespace
}  // namespace corefeed::losses
