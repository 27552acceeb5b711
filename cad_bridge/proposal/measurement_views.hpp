// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"

/// The drawings of a measured part: true outlines, to scale.
namespace corefeed::proposal {

/// The stations of a path that are drawn and listed, a dozen at most, both ends among them; they are numbered
/// from 1 in this order.
std::vector<std::size_t> numbered_stations(const worker::Path& path);

/// Two views along the car's axes, those in which most is seen.
std::string duct_views(const worker::Part& part);

/// The numbered sections and the narrowest one as cut, all to one scale.
std::string section_gallery(const worker::Path& path);

/// A panel seen against the normal of its largest cut-out and along its face, with what stands behind; then
/// each cut-out by itself.
std::string panel_views(const worker::Part& panel, const worker::Measurement& whole);

/// Width and height of closed curves in their plane, mm: "300 x 140". The sides are along the axes in which
/// the sheet shows them; `normal` is the plane's.
std::string sides_text(const std::vector<worker::Curve>& outlines, const worker::Direction& normal);

}  // namespace corefeed::proposal
