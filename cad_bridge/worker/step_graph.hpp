// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "cad_bridge/worker/step_tokens.hpp"

/// Who refers to whom in a STEP file. In a sound file the references form no circle; parts are placed by
/// assembly usages and by mapped items, and a short file that nests these can ask for millions of copies.
namespace corefeed::worker {

/// What the placement count needs to know of an entity.
enum class EntityKind : std::uint8_t {
  other,
  usage,               ///< NEXT_ASSEMBLY_USAGE_OCCURRENCE: refers to the assembly, then to its component
  mapped_item,         ///< refers to a representation map, which refers to what is placed
  representation,      ///< a shape made of items
  product_definition,  ///< a part or an assembly
  definition_shape,    ///< refers to the product definition whose shape it is
  shape_definition,    ///< ties a definition shape to a representation
  unit_context         ///< refers to the units that hold
};

/// The entities in the order of the file. Entity i has the number ids[i] and refers to
/// references[first[i]] up to, not including, references[first[i + 1]]: numbers as written until
/// `resolve_references` has turned them into indices.
struct ReferenceGraph {
  std::vector<std::uint32_t> ids;
  std::vector<std::uint32_t> offsets;  ///< byte of the file
  std::vector<std::uint32_t> first{0};
  std::vector<std::uint32_t> references;
  std::vector<EntityKind> kinds;

  std::size_t size() const { return ids.size(); }
};

/// Turns instance numbers into indices. Returns a flaw for every number given twice and every reference to
/// nothing, `most` at the most; references are indices only if there is none.
std::vector<Flaw> resolve_references(ReferenceGraph& graph, std::size_t most);

/// The figures that tell a resource bomb.
struct PlacementCount {
  std::uint64_t instances = 0;  ///< placed parts, assemblies and mapped items, each as often as it appears
  std::uint32_t nesting = 0;    ///< placements one within the other
  std::uint32_t chain = 0;      ///< entities on the longest way along references
  std::size_t deepest = 0;      ///< index of the entity where that way begins
  std::size_t busiest = 0;      ///< index of the shape or product that places most
};

/// Counts along resolved references by visiting every entity once, so in linear time whatever the count is. A
/// circle (also an assembly that contains itself) is returned as a flaw in `circle` and leaves the count at
/// 0.
PlacementCount count_placements(const ReferenceGraph& graph, std::vector<Flaw>& circle);

}  // namespace corefeed::worker
