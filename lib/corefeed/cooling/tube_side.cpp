// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/tube_side.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

namespace corefeed::cooling {
namespace {

TubeSection flat_tube(double width, double height) {
  TubeSection section;
  section.flow_area = width * height;
  section.wetted_perimeter = 2 * (width + height);
  return section;
}

}  // namespace

std::string describe(const OutOfRange& excess) {
  return fmt::format("{}: the {} is {:.4g}, the law holds from {:.4g} to {:.4g}", excess.law, excess.quantity,
                     excess.found, excess.low, excess.high);
}

void note_range(std::vector<OutOfRange>& excesses, const OutOfRange& asked) {
  if (!(asked.found >= asked.low && asked.found <= asked.high)) excesses.push_back(asked);
}

TubeSection round_tube(double diameter) {
  TubeSection section;
  section.flow_area = std::numbers::pi / 4 * diameter * diameter;
  section.wetted_perimeter = std::numbers::pi * diameter;
  return section;
}

TubeSection wide_tube(double width, double height) {
  TubeSection section = flat_tube(width, height);
  section.laminar_product = 96;
  section.developed_nusselt = 7.54;
  return section;
}

TubeSection rectangular_tube(double width, double height) {
  const double aspect = std::min(width, height) / std::max(width, height);
  TubeSection section = flat_tube(width, height);
  section.laminar_product = losses::rectangle_laminar<double>(aspect);
  section.developed_nusselt = rectangular_nusselt(aspect);
  return section;
}

double tube_resistance(const FouledTube& tube) {
  const double inside = std::numbers::pi * tube.inner_diameter * tube.length;
  const double outside = std::numbers::pi * tube.outer_diameter * tube.length;
  const double wall = std::log(tube.outer_diameter / tube.inner_diameter) /
                      (2 * std::numbers::pi * tube.conductivity * tube.length);
  return (1 / tube.inner_coefficient + tube.inner_fouling) / inside + wall +
         (1 / tube.outer_coefficient + tube.outer_fouling) / outside;
}

std::vector<OutOfRange> tube_excesses(double reynolds, double prandtl) {
  std::vector<OutOfRange> excesses;
  if (reynolds <= laminar_end) {
    note_range(excesses, {"Sieder & Tate 1936", "Prandtl number", prandtl, 0.48, 16700});
    return excesses;
  }
  note_range(excesses, {"Gnielinski 1976", "Reynolds number", reynolds, turbulent_begin, 5e6});
  note_range(excesses, {"Gnielinski 1976", "Prandtl number", prandtl, 0.5, 2000});
  return excesses;
}

}  // namespace corefeed::cooling
