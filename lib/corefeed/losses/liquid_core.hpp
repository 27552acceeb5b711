// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "corefeed/losses/law.hpp"

/// Places of the keys of kinds in which a liquid gives or takes heat.
namespace corefeed::losses {

/// The liquid side of a core.
namespace passage {
enum : std::size_t {
  core,
  passes,
  pass_layout,
  bore,
  loss,
  port_loss,
  return_area,
  return_loss,
  tubes,
  length,
  width,
  height,
  section,
  roughness,
  spacing,
  strip_height,
  strip_length,
  thickness,
  surface_efficiency,
  headers,
  header_area,
  tube_pitch,
  heat_factor,
  friction_factor
};
enum Section { rectangular, flat, round };

/// Whether the element tells the geometry of its tubes, from which loss and heat conductance follow.
inline bool has_tubes(const Values& values) { return values.has(tubes); }
}  // namespace passage

/// One side of a cooler between two liquids.
namespace liquid_cooler {
enum : std::size_t {
  other_side,
  bore,
  loss,
  conductance,
  reference_flow,
  exponent,
  arrangement,
  heat_transfer
};
}  // namespace liquid_cooler

}  // namespace corefeed::losses
