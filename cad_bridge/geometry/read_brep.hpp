// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <iosfwd>
#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/measure.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

/// Writes each body's shape as such a text and takes what is read from it. The text rounds in the 16th digit,
/// and where a mesh of the shape begins is that sensitive; so a shape from a file is measured as the text
/// that a CAD program hands over of the same shape, and both give the same numbers. May throw what the kernel
/// throws.
void take_as_text(std::vector<Body>& bodies);

/// Reads shapes as a CAD program writes them, BREP text in mm, one after the other. Errors: not_brep. May
/// throw what the kernel throws.
Result<CadFile> read_brep(std::istream& text, const std::vector<HandedShape>& shapes);

}  // namespace corefeed::geometry
