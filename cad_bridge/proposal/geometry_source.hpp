// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/model/model.hpp"

/// From measured shapes to numbers of elements.
namespace corefeed::proposal {

/// What an element takes from a measured file: pieces for a duct path, the face for a core, the gap round its
/// rim for a leak, the area and what stands before it for an opening or cut-out.
/// Errors (status input): unknown_part, several_parts, no_path, unknown_opening, several_openings,
/// unknown_cutout, unknown_gap, each with the candidates; no_gap; unusable_piece when a piece lacks a number
/// of its kind (status internal).
Result<model::MeasuredElement> element_from(const worker::Measurement& measurement,
                                            const model::Element& element);

/// A source for the model reader that measures each STEP file once, however many elements ask for it.
model::GeometrySource step_source(const worker::WorkerLimits& limits = {});

}  // namespace corefeed::proposal
