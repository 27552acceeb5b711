// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/model/model.hpp"

namespace corefeed::proposal {

/// What an inlet or a vent takes from the opening or cut-out that its `geometry` names: the area (of a louvre
/// also the open fraction and the blades' angle, unless the model states the loss otherwise) and, for a kind
/// that knows blockers, the curtain behind it. Errors: unknown_opening, several_openings, unknown_cutout,
/// with the candidates.
Result<model::MeasuredElement> opening_from(const worker::Part& part, const model::Element& element);

/// Blockers of an opening as the one curtain that costs as much. Through the free part and through each
/// covered part air flows side by side under one pressure; a covered part costs (its area / its curtain)^2
/// more, the curtain being gap times open perimeter. Closure of ours: the paths do not disturb each other.
/// Where one body covers all, the curtain is that body's own.
struct Curtain {
  double gap = 0;        ///< m, mean over the covered parts
  double perimeter = 0;  ///< m, all of it open
};

/// `loss` is the opening's own coefficient on its gross area. Nothing where nothing is blocked.
std::optional<Curtain> curtain_of(const std::vector<worker::Blocker>& blockers, double area, double loss);

}  // namespace corefeed::proposal
