// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <map>
#include <string>

#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

/// Writes the bodies with their product and face names; the bytes depend on nothing but the sample.
/// Throws std::runtime_error where the file cannot be written.
void write_step(const Sample& sample, const std::string& path);

struct StepContent {
  std::string unit;                           // "mm", "in", "m", else as the file calls it
  std::map<std::string, TopoDS_Shape> parts;  // by product name, placed in the root frame, in millimeters
  std::map<std::string, TopoDS_Shape> faces;  // by face name, likewise
};

/// Throws std::runtime_error where the file cannot be read.
StepContent read_step(const std::string& path);

}  // namespace corefeed::geometry_samples
