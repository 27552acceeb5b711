// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Face.hxx>
#include <cstddef>
#include <string>
#include <vector>

#include "cad_bridge/geometry/cad_file.hpp"
#include "corefeed/result.hpp"

/// Ports: thin bodies or surfaces named `port:<element>.<end>`, placed on the openings of passages.
namespace corefeed::geometry {

struct BoundPort {
  std::string name;      ///< `<element>.<end>`
  std::size_t body = 0;  ///< index
  int index = 0;         ///< of the body's face, from 1, in the order of `TopExp::MapShapes`; 0 for a cap
  TopoDS_Face face;      ///< the face itself
};

/// A flat face over an end or a hole of a body that has no face there: of a sheet part, a shell, a panel.
struct BodyCap {
  std::size_t body = 0;
  TopoDS_Face face;
};

struct PortBinding {
  std::vector<BoundPort> ports;
  std::vector<Issue> warnings;  ///< unbound_port, ambiguous_port, port_not_thin, port_repeated
};

/// Binds each port to the one planar face of a solid that it lies on: parallel, within 0.1 mm of the port's
/// thickness, and covered by half or more. Of several such faces those of the part named like the element are
/// preferred, then those of parts that say they are air, then those of parts that are no cores, then those of
/// solids over caps; the two mouths of one hole are one. Anything but one face is a warning that lists the
/// candidates. A body with caps is bound by these alone.
PortBinding bind_ports(const std::vector<Body>& bodies, const std::vector<BodyCap>& caps);

}  // namespace corefeed::geometry
