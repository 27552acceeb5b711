// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_text.hpp"

#include <gtest/gtest.h>

namespace corefeed::proposal {
namespace {

TEST(MeasurementText, ShowsWhatWasMeasuredInWorkshopUnits) {
  worker::Measurement measurement;
  measurement.file = "duct.step";
  measurement.unit = "in";
  measurement.bounding_box = {worker::Point{0.0, 0.0, 0.0}, worker::Point{0.5, 0.2, 0.1}};
  worker::Part part;
  part.name = "duct";
  part.kind = "flow volume";
  part.volume = 0.004;
  worker::Path path;
  path.from = "duct.from";
  path.to = "duct.to";
  path.length = 0.5;
  path.narrowest = {0.25, 0.008};
  path.stations = {{0.0, 0.01, 0.4, 0.1, {}, {}, 1}, {0.5, 0.01, 0.4, 0.1, {}, {}, 1}};
  path.pieces = {{"bend",
                  0.1,
                  0.3,
                  {{"angle", 0.7853981633974483}, {"radius", 0.14}},
                  {{"style", "smooth"}},
                  "it turns"}};
  part.paths = {path};
  measurement.parts = {part};
  measurement.warnings = {{"code", "look at the unit"}};
  const std::string text = measurement_text(measurement);
  for (const char* fragment : {"duct.step: unit in, 500 mm x 200 mm x 100 mm",
                               "duct (flow volume), volume 4 L", "length 500 mm, narrowest 80 cm2 at 250 mm",
                               "1 bend from 100 mm to 300 mm: angle 45 deg, radius 140 mm, style smooth",
                               "(it turns)", "warning: look at the unit"}) {
    EXPECT_NE(text.find(fragment), std::string::npos) << fragment << "\n" << text;
  }
}

}  // namespace
}  // namespace corefeed::proposal
