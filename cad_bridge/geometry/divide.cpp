// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/divide.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "cad_bridge/geometry/divide_corners.hpp"

namespace corefeed::geometry {
namespace {

/// Boundaries of bends and area changes nearer than this (hydraulic diameters) are one and the same.
constexpr double same_place = 0.1;
/// A straight, constant remnant shorter than this belongs to its neighbor.
constexpr double remnant = 0.25;

double in_degrees(double angle) { return angle * 180 / std::numbers::pi; }

/// Means over a stretch.
struct Means {
  double area = 0;
  double hydraulic_diameter = 0;
};

/// By trapezoids between the samples inside; what lies between an outer sample and the stretch's end may
/// belong to the next piece.
Means means(std::span<const PathSample> samples, double from, double to) {
  Means sum;
  double weight = 0;
  const double margin = 1e-9 * samples.back().distance;
  for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
    const PathSample& a = samples[i];
    const PathSample& b = samples[i + 1];
    if (a.distance < from - margin || b.distance > to + margin) continue;
    const double length = b.distance - a.distance;
    sum.area += 0.5 * length * (a.area + b.area);
    sum.hydraulic_diameter += 0.5 * length * (a.hydraulic_diameter + b.hydraulic_diameter);
    weight += length;
  }
  if (weight > 0) return {sum.area / weight, sum.hydraulic_diameter / weight};
  const PathSample& middle = nearest(samples, 0.5 * (from + to));
  return {middle.area, middle.hydraulic_diameter};
}

/// Which of the laws' three shapes the sections have.
const char* shape_of(std::span<const PathSample> samples, double from, double to) {
  const PathSample& inlet = nearest(samples, from);
  const PathSample& outlet = nearest(samples, to);
  const PathSample& middle = nearest(samples, 0.5 * (from + to));
  if (inlet.round + middle.round + outlet.round >= 2) return "conical";
  // Where the outlet's longer side lies along the inlet's shorter one, sides are compared crosswise.
  const bool turned = std::abs(inlet.long_axis.dot(outlet.long_axis)) < std::numbers::sqrt2 / 2;
  const double first = std::abs(std::log((turned ? outlet.short_side : outlet.long_side) / inlet.long_side));
  const double second =
      std::abs(std::log((turned ? outlet.long_side : outlet.short_side) / inlet.short_side));
  return std::min(first, second) < 0.1 * std::max(first, second) ? "planar" : "pyramidal";
}

Piece duct_piece(std::span<const PathSample> samples, double from, double to) {
  const Means mean = means(samples, from, to);
  Piece piece{"duct", from, to, {}, {}, {}};
  piece.numbers = {
      {"length", to - from}, {"area", mean.area}, {"hydraulic_diameter", mean.hydraulic_diameter}};
  piece.reason = fmt::format("straight with a constant area of {:.4g} cm2", mean.area * 1e4);
  return piece;
}

Piece bend_piece(std::span<const PathSample> samples, const Bend& bend) {
  Means mean = means(samples, bend.from, bend.to);
  if (bend.sharp) {
    // The legs' section, not the diagonal of the corner.
    const PathSample& leg = nearest(samples, bend.from - 0.1 * mean.hydraulic_diameter);
    mean = {leg.area, leg.hydraulic_diameter};
  }
  Piece piece{"bend", bend.from, bend.to, {}, {}, {}};
  piece.numbers = {{"angle", bend.angle},
                   {"radius", bend.radius},
                   {"area", mean.area},
                   {"hydraulic_diameter", mean.hydraulic_diameter}};
  piece.choices = {{"style", bend.sharp ? "mitre" : "smooth"}};
  piece.reason = fmt::format("the centreline turns by {:.3g} degrees at a radius of {:.4g} mm",
                             in_degrees(bend.angle), bend.radius * 1000);
  return piece;
}

Piece change_piece(std::span<const PathSample> samples, const AreaChange& change) {
  const bool grows = change.outlet_area > change.inlet_area;
  Piece piece{
      change.step ? "step" : (grows ? "diffuser" : "contraction"), change.from, change.to, {}, {}, {}};
  piece.numbers = {{"inlet_area", change.inlet_area}, {"outlet_area", change.outlet_area}};
  const double length = change.to - change.from;
  piece.reason =
      fmt::format("the area {} from {:.4g} to {:.4g} cm2 within {:.4g} mm", grows ? "grows" : "falls",
                  change.inlet_area * 1e4, change.outlet_area * 1e4, length * 1000);
  if (change.step) return piece;
  // The cone with the same areas and length.
  const double rise = std::sqrt(change.outlet_area) - std::sqrt(change.inlet_area);
  piece.numbers["angle"] = 2 * std::atan(std::abs(rise) / (length * std::sqrt(std::numbers::pi)));
  piece.numbers["length"] = length;
  piece.choices = {{"shape", shape_of(samples, change.from, change.to)}};
  return piece;
}

/// Where bends and area changes meet or nearly meet, both get the area change's boundary; their numbers stay.
void align(std::vector<Bend>& bends, const std::vector<AreaChange>& changes,
           std::span<const PathSample> samples) {
  const auto pull = [&](double& place) {
    for (const AreaChange& change : changes) {
      for (const double target : {change.from, change.to}) {
        const double reach = same_place * nearest(samples, target).hydraulic_diameter;
        if (std::abs(place - target) < reach) place = target;
      }
    }
  };
  for (Bend& bend : bends) {
    pull(bend.from);
    pull(bend.to);
  }
}

struct Stretch {
  double from;
  double to;
};

/// What neither a bend nor an area change covers.
std::vector<Stretch> uncovered(const std::vector<Piece>& pieces, double length) {
  std::vector<Stretch> result;
  double reached = 0;
  for (const Piece& piece : pieces) {
    if (piece.from > reached) result.push_back({reached, piece.from});
    reached = std::max(reached, piece.to);
  }
  if (reached < length) result.push_back({reached, length});
  return result;
}

bool step_at(const std::vector<Piece>& pieces, double place) {
  return std::any_of(pieces.begin(), pieces.end(), [&](const Piece& piece) {
    return piece.kind == "step" && (piece.from == place || piece.to == place);
  });
}

/// Gives a short remnant to the pieces that end or begin there, but across no step. False when there are
/// none.
bool absorb(std::vector<Piece>& pieces, const Stretch& stretch) {
  bool taken = false;
  for (Piece& piece : pieces) {
    if (piece.to != stretch.from || step_at(pieces, stretch.from)) continue;
    piece.to = stretch.to;
    taken = true;
  }
  if (taken) return true;
  for (Piece& piece : pieces) {
    if (piece.from != stretch.to || step_at(pieces, stretch.to)) continue;
    piece.from = stretch.from;
    taken = true;
  }
  return taken;
}

}  // namespace

Division divide(std::span<const PathSample> samples, const AreaAt& area_at) {
  Division division;
  division.bends = find_bends(samples);
  std::vector<AreaChange> changes = find_area_changes(samples, area_at);
  for (AreaChange& change : changes) {
    // A step has no length of its own on the path.
    if (change.step && change.to - change.from < 0.01 * nearest(samples, change.from).hydraulic_diameter) {
      change.from = change.to = 0.5 * (change.from + change.to);
    }
  }
  join_corners(division.bends, changes, samples);
  join_steps(changes, samples);
  drop_kinks(division.bends, changes, samples);
  align(division.bends, changes, samples);
  std::vector<Piece>& pieces = division.pieces;
  for (const Bend& bend : division.bends) pieces.push_back(bend_piece(samples, bend));
  for (const AreaChange& change : changes) pieces.push_back(change_piece(samples, change));
  const auto in_order = [](const Piece& a, const Piece& b) {
    return a.from != b.from ? a.from < b.from : a.to < b.to;
  };
  std::stable_sort(pieces.begin(), pieces.end(), in_order);
  for (const Stretch& stretch : uncovered(pieces, samples.back().distance)) {
    const double diameter = nearest(samples, stretch.from).hydraulic_diameter;
    if (stretch.to - stretch.from < remnant * diameter && absorb(pieces, stretch)) continue;
    pieces.push_back(duct_piece(samples, stretch.from, stretch.to));
  }
  std::stable_sort(pieces.begin(), pieces.end(), in_order);
  return division;
}

}  // namespace corefeed::geometry
