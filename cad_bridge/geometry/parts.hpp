// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "cad_bridge/geometry/body_shape.hpp"
#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/ports.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

enum class PartKind { flow_volume, sheet_part, shell, panel, core, body };

/// The word for a kind in the measurement document.
std::string_view word_for(PartKind kind);

struct Part {
  std::string name;  ///< instance path
  PartKind kind = PartKind::body;
  std::vector<std::size_t> bodies;  ///< indices; several only for a core that is an assembly
};

/// The parts among the bodies; ports are none. A solid that a port touches or whose name says air is a flow
/// volume; a thin wall is a sheet part or a panel; the innermost part or sub-assembly that is named like a
/// core, or whose name or path is one of `cores`, is a core; the only solid left in a file that holds one
/// solid is a flow volume; every other solid is a body. The loose surfaces of a product are a shell.
std::vector<Part> parts_of(const std::vector<Body>& bodies, const std::vector<BodyShape>& shapes,
                           const std::vector<BoundPort>& ports, const std::vector<std::string>& cores);

/// The part that `name` means: by its whole path with or without the root, or by its last components where
/// only one part ends so. Error unknown_part, which lists the names there are.
Result<Part> part_named(const std::string& name, const std::vector<Part>& parts,
                        const std::vector<Body>& bodies);

/// Names of the parts, quoted and joined by commas, at most 20 of them; "none" where there are none.
std::string list_names(const std::vector<Part>& parts);

}  // namespace corefeed::geometry
