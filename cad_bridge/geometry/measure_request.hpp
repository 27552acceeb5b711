// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// What the measuring program is asked. Knows nothing of the kernel, so that what reads a request can be
/// tried without one.
namespace corefeed::geometry {

/// A shape that a host program hands over as BREP text, in mm.
struct HandedShape {
  std::string name;       ///< instance path, such as "nose_duct" or "port:nose_duct.in"
  std::size_t bytes = 0;  ///< length of its text
};

struct MeasureRequest {
  std::string file;                        ///< label of the input, for the document and for messages
  std::optional<std::string> part;         ///< measure this part alone; its last path component will do
  int sections = 50;                       ///< equally spaced stations, both ends included; at least 2
  std::vector<double> at;                  ///< further stations at these shares (0..1) of each path
  std::vector<std::string> cores;          ///< parts or sub-assemblies that are cores whatever their names
  std::optional<std::string> assume_unit;  ///< "mm", "cm", "m", "in" or "ft", for a file that names no unit
  /// Where there are some, the input is no STEP but their texts, one after the other.
  std::vector<HandedShape> shapes = {};
};

/// Reads a request as the program that starts the worker writes it: {"part": string or null, "sections": int,
/// "at": [numbers], "cores": [strings], "assume_unit": string or null, "file": string, "shapes": [{"name",
/// "bytes"}]}. Nothing where the text is no such request.
std::optional<MeasureRequest> parse_request(std::string_view json);

}  // namespace corefeed::geometry
