// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <vector>

#include "cad_bridge/geometry/blockers.hpp"
#include "cad_bridge/geometry/measure_part.hpp"
#include "cad_bridge/geometry/parts.hpp"

namespace corefeed::geometry {

/// What stands close before or behind the openings of a part.
class Surroundings {
 public:
  /// Both must outlive this.
  Surroundings(const std::vector<Body>& bodies, const std::vector<Part>& parts);

  /// Fills in what blocks the openings and cut-outs of a measured part. Bodies, panels and sheet parts block;
  /// air, shells, cores, ports and the part itself do not, nor does a sheet part that ends there, nor a part
  /// named as a mesh, screen, gauze or guard: for these a warning mesh_before_opening is returned.
  std::vector<Issue> look_around(const Part& part, PartOutcome& outcome);

 private:
  const std::vector<Triangle>& triangles(std::size_t body);
  std::vector<Obstacle> obstacles(const Part& part, const View& view);
  Obstruction look(const Part& part, const View& view, const std::string& opening,
                   std::vector<Issue>& warnings);

  const std::vector<Body>& bodies_;
  const std::vector<Part>& parts_;
  std::map<std::size_t, std::vector<Triangle>> triangles_;
};

}  // namespace corefeed::geometry
