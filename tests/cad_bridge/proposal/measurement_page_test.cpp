// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_page.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "cad_bridge/proposal/measurement_text.hpp"

namespace corefeed::proposal {
namespace {

worker::Measurement measured() {
  worker::Measurement measurement;
  measurement.file = "duct & vent.step";
  measurement.unit = "mm";
  measurement.bounding_box = {worker::Point{0.0, 0.0, 0.0}, worker::Point{0.5, 0.2, 0.1}};
  worker::Part duct;
  duct.name = "<duct>";
  duct.kind = "flow volume";
  worker::Path path;
  path.from = "duct.from";
  path.to = "duct.to";
  path.length = 0.5;
  const auto rectangle = [](double x) {
    return worker::Curve{{x, -0.1, -0.025}, {x, 0.1, -0.025}, {x, 0.1, 0.025}, {x, -0.1, 0.025}};
  };
  path.narrowest = {
      0.25, 0.008, {{{0.25, -0.1, -0.02}, {0.25, 0.1, -0.02}, {0.25, 0.1, 0.02}, {0.25, -0.1, 0.02}}}};
  path.stations = {{0.0, 0.01, 0.5, 0.08, {0, 0, 0}, {1, 0, 0}, 1, {rectangle(0)}},
                   {0.5, 0.01, 0.5, 0.08, {0.5, 0, 0}, {1, 0, 0}, 1, {rectangle(0.5)}}};
  duct.paths = {path};
  duct.edges = {{{0, 0.1, 0.025}, {0.5, 0.1, 0.025}}, {{0, -0.1, -0.025}, {0.5, -0.1, -0.025}}};
  worker::Part panel;
  panel.name = "fender";
  panel.kind = "panel";
  worker::Cutout cutout;
  cutout.name = "gill";
  cutout.area = cutout.projected_area = 0.02;
  cutout.perimeter = 0.6;
  cutout.thickness = 0.002;
  cutout.free_area = 0.016;
  cutout.normal = {0, 0, 1};
  cutout.blocked_by = {
      {"frame_rail", 0.03, 0.2, 0.28, {{{0.16, 0, 0}, {0.2, 0, 0}, {0.2, 0.1, 0}, {0.16, 0.1, 0}}}}};
  cutout.outlines = {{{0, 0, 0}, {0.2, 0, 0}, {0.2, 0.1, 0}, {0, 0.1, 0}}};
  cutout.louvre = worker::Louvre{4, 0.6981317007977318, 0.0132, 0.0064};
  panel.cutouts = {cutout};
  worker::Part core;
  core.name = "radiator";
  core.kind = "core";
  core.core = worker::Core{0.15, 0.12, 0.04, {0.52, 0, 0}, {1, 0, 0}, {}};
  measurement.parts = {duct, panel, core};
  measurement.gaps = {{"<duct>", "radiator", 1.6, 0.008, 0.9, 0.35}};
  return measurement;
}

TEST(MeasurementPage, StandsAloneAndShowsEveryPart) {
  const std::string page = measurement_page(measured());
  for (const char* wanted :
       {"<!DOCTYPE html>", "duct &amp; vent.step", "&lt;duct&gt; (flow volume)", "class=\"section\"",
        "class=\"outline\"", "narrowest 80 cm2", "distance, mm", "gill", "frame_rail covers 20.0 %",
        "4 blades at 40.0 deg", "radiator (core)", "90.0 %"}) {
    EXPECT_NE(page.find(wanted), std::string::npos) << wanted;
  }
  // The name of the SVG language is the only address in it, and nothing is loaded or run.
  for (const char* unwanted : {"<script", "src=", "href=", "url(", "<duct>", "nan", "inf"})
    EXPECT_EQ(page.find(unwanted), std::string::npos) << unwanted;
}

/// A section 200 mm x 50 mm is drawn as that, with its sides as dimensions, and so is the rest.
TEST(MeasurementPage, DrawsTrueOutlinesWithDimensions) {
  const std::string page = measurement_page(measured());
  for (const char* wanted :
       {"200 x 50", "class=\"narrow\"", "class=\"cut\"", "class=\"cut narrow\"", "class=\"covered\"",
        "class=\"number\"", "class=\"dimension\"", "class=\"bar\"", " mm</text>", ">500</text>",
        ">200</text>", ">50</text>", "Seen along z", "gill: 200 x 100 mm", "20.1 deg"}) {
    EXPECT_NE(page.find(wanted), std::string::npos) << wanted;
  }
}

/// Smooth walls have no edges to draw: their silhouette is that of the sections.
TEST(MeasurementPage, DrawsTheSilhouetteOfARoundDuct) {
  worker::Measurement measurement = measured();
  worker::Path& path = measurement.parts[0].paths[0];
  for (worker::Station& station : path.stations) {
    station.outlines = {{}};
    for (int i = 0; i < 24; ++i)
      station.outlines[0].push_back(
          {station.center[0], 0.05 * std::cos(i * 0.2618), 0.05 * std::sin(i * 0.2618)});
  }
  EXPECT_NE(measurement_page(measurement).find("class=\"wall\""), std::string::npos);
}

/// Without curves (a document read from elsewhere) the tables still stand.
TEST(MeasurementPage, DoesWithoutOutlines) {
  worker::Measurement measurement = measured();
  for (worker::Part& part : measurement.parts) {
    for (worker::Path& path : part.paths) {
      path.narrowest.outlines.clear();
      for (worker::Station& station : path.stations) station.outlines.clear();
    }
    for (worker::Cutout& cutout : part.cutouts) cutout.outlines.clear();
  }
  const std::string page = measurement_page(measurement);
  EXPECT_NE(page.find("narrowest 80 cm2"), std::string::npos);
  for (const char* unwanted : {"nan", "inf", "class=\"cut\""})
    EXPECT_EQ(page.find(unwanted), std::string::npos);
}

TEST(MeasurementText, ShowsCutoutsCoresAndGaps) {
  const std::string text = measurement_text(measured());
  for (const char* wanted :
       {"cut-out gill: 200 cm2, perimeter 600 mm, edge 2 mm thick, free 160 cm2",
        "louvre: 4 blades at 40 deg, gross area 132 cm2, throat 64 cm2 (open fraction 0.485)",
        "frame_rail covers 20.0 % of it, gap 30 mm, open along 280 mm",
        "face 1500 cm2, free between the tubes 1200 cm2, depth 40 mm",
        "gap <duct> - radiator: 80 cm2 along a rim of 1600 mm, 90.0 % of the core's face covered, inclined "
        "by 20.1 deg"}) {
    EXPECT_NE(text.find(wanted), std::string::npos) << wanted << "\n" << text;
  }
}

}  // namespace
}  // namespace corefeed::proposal
