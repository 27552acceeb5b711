// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>
#include <BRepPrimAPI_MakeBox.hxx>
#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>
#include <vector>

#include "cad_bridge/geometry/measure.hpp"
#include "nlohmann/json.hpp"

namespace corefeed::geometry::testing {

using nlohmann::json;

// STEP text keeps 15 digits of each coordinate.
inline constexpr double relative = 1e-9;
#define EXPECT_CLOSE(found, expected) \
  EXPECT_NEAR((found).get<double>(), expected, relative* std::max(1e-3, std::abs(expected)))

inline TopoDS_Shape box_duct() { return BRepPrimAPI_MakeBox(300, 120, 80).Shape(); }

/// A plate 1 mm thick on the end x = 0 of `box_duct`, outside it.
inline TopoDS_Shape plate() { return BRepPrimAPI_MakeBox(gp_Pnt(-1, 0, 0), 1, 120, 80).Shape(); }

inline json measured(const std::string& step, MeasureRequest request = {}) {
  std::istringstream stream(step);
  request.sections = 3;
  const auto result = measure_step(stream, request);
  EXPECT_TRUE(result.ok()) << result.issues().front().text;
  return result.ok() ? json::parse(result.value()) : json();
}

inline std::vector<Issue> refused(const std::string& step, MeasureRequest request = {}) {
  std::istringstream stream(step);
  const auto result = measure_step(stream, request);
  EXPECT_FALSE(result.ok());
  return result.ok() ? std::vector<Issue>(1) : result.issues();
}

inline std::vector<std::string> codes(const json& document) {
  std::vector<std::string> found;
  for (const json& warning : document.at("warnings")) found.push_back(warning.at("code"));
  return found;
}

}  // namespace corefeed::geometry::testing
