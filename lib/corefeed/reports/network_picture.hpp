// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "corefeed/studies/study.hpp"

namespace corefeed::reports {

/// The network of a solved point as a picture: from inlets on the left to vents on the right, lines as wide
/// as their flow. Elements are boxes with name and flow, nodes are dots (plenums: bars). A stream that runs
/// against its element's `from` and `to` is marked as reversed, one that leads back to where it came from
/// runs from right to left. `loop` empty: the air; else the liquid of that loop. Empty where there is none.
std::string network_picture(const model::Model& model, const studies::PointResult& point,
                            const std::string& loop);

}  // namespace corefeed::reports
