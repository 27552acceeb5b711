// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <BRepTools.hxx>
#include <fstream>
#include <sstream>

#include "cad_bridge/geometry/measure.hpp"
#include "cad_bridge/geometry/read_step.hpp"
#include "nlohmann/json.hpp"

namespace corefeed::geometry {
namespace {

using nlohmann::json;

std::string sample(const std::string& name) {
  return std::string(COREFEED_SOURCE_DIR) + "/geometry_samples/" + name;
}

Result<Measured> measured(std::istream& text, std::vector<HandedShape> shapes) {
  MeasureRequest request;
  request.sections = 5;
  request.shapes = std::move(shapes);
  return measure_step_whole(text, request);
}

/// A CAD program reads the file itself and hands the bodies over as text. Same shapes, same kernel: the
/// numbers are the same to the bit, although the text rounds.
TEST(Brep, AShapeHandedOverGivesTheNumbersOfItsFile) {
  for (const char* name : {"s_duct.step", "straight_round_ports.step", "louvre_panel.step"}) {
    std::ifstream step(sample(name), std::ios::binary);
    const auto from_file = measured(step, {});
    ASSERT_TRUE(from_file.ok()) << name;
    std::ifstream again(sample(name), std::ios::binary);
    const auto bodies = read_step(again, std::nullopt);
    ASSERT_TRUE(bodies.ok());
    std::string all;
    std::vector<HandedShape> shapes;
    for (const Body& body : bodies.value().bodies) {
      std::ostringstream text;
      BRepTools::Write(body.shape, text);
      shapes.push_back({body.name, text.str().size()});
      all += text.str();
    }
    std::istringstream text(all);
    const auto from_shapes = measured(text, shapes);
    ASSERT_TRUE(from_shapes.ok()) << name;
    json one = json::parse(from_file.value().document);
    json other = json::parse(from_shapes.value().document);
    other["unit"] = one["unit"];  // shapes of a host are in mm
    EXPECT_EQ(one, other) << name;
  }
}

TEST(Brep, WhatIsNoTextIsAnIssue) {
  for (const std::size_t bytes : {std::size_t{0}, std::size_t{11}, std::size_t{1} << 40}) {
    std::istringstream text("hello there");
    const auto result = measured(text, {{"nose", bytes}});
    ASSERT_FALSE(result.ok());
    EXPECT_EQ(result.issues().front().code, "not_brep");
    EXPECT_EQ(result.issues().front().status, Status::geometry);
    EXPECT_NE(result.issues().front().text.find("nose"), std::string::npos);
  }
}

}  // namespace
}  // namespace corefeed::geometry
