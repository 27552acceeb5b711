// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "cad_bridge/geometry/ports.hpp"
#include "corefeed/result.hpp"

namespace corefeed::geometry {

enum class PartKind { flow_volume, body };

struct Part {
  std::size_t body = 0;  ///< index
  PartKind kind = PartKind::body;
};

/// The parts among the bodies: every solid that is no port. The only one of a file is a flow volume; of
/// several those are that a port touches or whose name says so.
std::vector<Part> parts_of(const std::vector<Body>& bodies, const std::vector<BoundPort>& ports);

/// The part that `name` means: by its whole path with or without the root, or by its last components where
/// only one part ends so. Error unknown_part, which lists the names there are.
Result<Part> part_named(const std::string& name, const std::vector<Part>& parts,
                        const std::vector<Body>& bodies);

/// Names of the parts, quoted and joined by commas, at most 20 of them; "none" where there are none.
std::string list_names(const std::vector<Part>& parts, const std::vector<Body>& bodies);

}  // namespace corefeed::geometry
