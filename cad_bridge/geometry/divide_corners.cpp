// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/divide_corners.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace corefeed::geometry {
namespace {

double turned(std::span<const PathSample> samples, double from, double to) {
  const Eigen::Vector3d& a = nearest(samples, from).tangent;
  const Eigen::Vector3d& b = nearest(samples, to).tangent;
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

using Place = std::vector<AreaChange>::iterator;

/// The last change of a run from `first` on, all near the bend, after which the area is what it was; `last`
/// of the vector's own end when there is none.
Place corner_end(const Bend& bend, Place first, Place last, double reach) {
  constexpr double same_area = 0.05;
  Place found = last;
  for (Place change = first; change != last; ++change) {
    const bool near = change->from > bend.from - reach && change->to < bend.to + reach;
    if (!near) break;
    const bool back = std::abs(std::log(change->outlet_area / first->inlet_area)) < same_area;
    if (back && change != first && change->to > bend.from && first->from < bend.to) found = change;
  }
  return found;
}

void drop_small_beside_steps(std::vector<AreaChange>& changes, std::span<const PathSample> samples) {
  constexpr double small = 0.02;  // of ln(area)
  constexpr double beside = 0.3;  // hydraulic diameters
  const std::vector<AreaChange> all = changes;
  std::erase_if(changes, [&](const AreaChange& change) {
    if (change.step || std::abs(std::log(change.outlet_area / change.inlet_area)) >= small) return false;
    const double reach = beside * nearest(samples, change.from).hydraulic_diameter;
    return std::any_of(all.begin(), all.end(), [&](const AreaChange& other) {
      return other.step && other.from < change.to + reach && change.from < other.to + reach;
    });
  });
}

}  // namespace

const PathSample& nearest(std::span<const PathSample> samples, double distance) {
  return *std::min_element(samples.begin(), samples.end(), [&](const PathSample& a, const PathSample& b) {
    return std::abs(a.distance - distance) < std::abs(b.distance - distance);
  });
}

void join_steps(std::vector<AreaChange>& changes, std::span<const PathSample> samples) {
  constexpr double together = 0.6;
  std::vector<AreaChange> joined;
  for (const AreaChange& change : changes) {
    const double diameter = nearest(samples, change.to).hydraulic_diameter;
    const bool touches = !joined.empty() && change.from - joined.back().to < 0.05 * diameter &&
                         change.to - joined.back().from < together * diameter;
    if (!touches || !(change.step || joined.back().step)) {
      joined.push_back(change);
      continue;
    }
    joined.back().to = change.to;
    joined.back().outlet_area = change.outlet_area;
    joined.back().step = true;
  }
  constexpr double least_change = 0.01;
  std::erase_if(joined, [](const AreaChange& change) {
    return std::abs(std::log(change.outlet_area / change.inlet_area)) < least_change && change.step;
  });
  drop_small_beside_steps(joined, samples);
  changes = std::move(joined);
}

void join_corners(std::vector<Bend>& bends, std::vector<AreaChange>& changes,
                  std::span<const PathSample> samples) {
  constexpr double tight = 0.75;  // radius in hydraulic diameters
  for (Bend& bend : bends) {
    const double diameter = nearest(samples, bend.from).hydraulic_diameter;
    if (bend.radius > tight * diameter) continue;
    for (Place first = changes.begin(); first != changes.end(); ++first) {
      if (first->outlet_area < first->inlet_area) continue;
      const Place last = corner_end(bend, first, changes.end(), tight * diameter);
      if (last == changes.end()) continue;
      bend.from = std::min(bend.from, first->from);
      bend.to = std::max(bend.to, last->to);
      // One sample further out: those at the ends are already part of the corner.
      bend.angle = turned(samples, bend.from - 0.1 * diameter, bend.to + 0.1 * diameter);
      bend.radius = (bend.to - bend.from) / bend.angle;
      bend.sharp = true;
      changes.erase(first, last + 1);
      break;
    }
  }
}

void drop_kinks(std::vector<Bend>& bends, const std::vector<AreaChange>& changes,
                std::span<const PathSample> samples) {
  constexpr double least_turn = 5 * std::numbers::pi / 180;
  for (const AreaChange& change : changes) {
    if (!change.step) continue;
    const double reach = nearest(samples, change.from).hydraulic_diameter;
    const double from = change.from - reach;
    const double to = change.to + reach;
    if (turned(samples, from, to) >= least_turn) continue;
    std::erase_if(bends, [&](const Bend& bend) { return bend.from > from && bend.to < to; });
  }
}

}  // namespace corefeed::geometry
