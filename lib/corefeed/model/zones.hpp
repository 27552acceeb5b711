// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "corefeed/model/model.hpp"

/// Cores split into zones, each with air of its own: `part_of` names the whole, `share` is the zone's part of
/// its face, tubes and liquid. What the zones leave lies between the whole's own ends. Private to the
/// library's sources.
namespace corefeed::model {

/// Places, in the model's elements, of the parts of an element.
std::vector<std::size_t> zones_of(const Model& model, const Element& whole);

/// What its parts leave of an element, 1 without any.
double share_left(const Model& model, const Element& whole);

/// The numbers of a part: the whole's, but for what it gives itself. The whole exists.
Numbers zone_numbers(const Model& model, const Element& zone);

/// Place of "share" among a kind's keys, or npos.
std::size_t share_key(const losses::Kind& kind);

}  // namespace corefeed::model
