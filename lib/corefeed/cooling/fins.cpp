// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/fins.hpp"

namespace corefeed::cooling {
namespace {

/// Straight fins between tubes: per fin and gap two sides of fin and two strips of tube wall.
Surface straight_fins(double pitch, double height, double thickness, double tube_pitch, double depth) {
  const double clear = pitch - thickness;
  const double cell = pitch * tube_pitch;
  Surface surface;
  surface.depth = depth;
  surface.free_flow_ratio = clear * height / cell;
  surface.hydraulic_diameter = 2 * clear * height / (clear + height);
  surface.area_ratio = 2 * (clear + height) * depth / cell;
  surface.fin_share = height / (clear + height);
  surface.half_height = height / 2;
  surface.fin_thickness = thickness;
  return surface;
}

constexpr double millimeter = 1e-3;

}  // namespace

Surface surface_of(const LouverFin& fin) {
  Surface surface =
      straight_fins(fin.fin_pitch, fin.fin_height, fin.fin_thickness, fin.tube_pitch, fin.depth);
  surface.fin_conductivity = fin.conductivity;
  return surface;
}

Surface surface_of(const PlainFin& fin) {
  Surface surface =
      straight_fins(fin.fin_pitch, fin.fin_height, fin.fin_thickness, fin.tube_pitch, fin.depth);
  surface.fin_conductivity = fin.conductivity;
  return surface;
}

Surface surface_of(const OffsetStripFin& fin) {
  const double s = fin.spacing;
  const double h = fin.height;
  const double l = fin.strip_length;
  const double t = fin.thickness;
  const double wetted = 2 * (s * l + h * l + t * h) + t * s;  // of one strip's cell
  Surface surface;
  surface.depth = fin.depth;
  surface.free_flow_ratio = s * h / ((s + t) * fin.layer_pitch);
  surface.hydraulic_diameter = 4 * s * h * l / wetted;
  surface.area_ratio = 4 * fin.depth / surface.hydraulic_diameter * surface.free_flow_ratio;
  surface.fin_share = (wetted - 2 * s * l) / wetted;
  surface.half_height = h / 2;
  surface.fin_thickness = t;
  surface.fin_conductivity = fin.conductivity;
  return surface;
}

// The spans of the cores behind the law, from memory.
std::vector<OutOfRange> fin_excesses(const LouverFin& fin, double reynolds) {
  constexpr std::string_view law = "louvered fin, Chang & Wang 1997";
  constexpr double degree = std::numbers::pi / 180;
  std::vector<OutOfRange> excesses;
  const auto length = [&](std::string_view what, double value, double low, double high) {
    note_range(excesses, {law, what, value / millimeter, low, high});
  };
  note_range(excesses, {law, "Reynolds number on the louver pitch", reynolds, 100, 3000});
  note_range(excesses, {law, "louver angle in degrees", fin.louver_angle / degree, 8.4, 35});
  length("louver pitch in mm", fin.louver_pitch, 0.5, 3);
  length("louver length in mm", fin.louver_length, 2.13, 18.5);
  length("fin pitch in mm", fin.fin_pitch, 0.51, 3.33);
  length("fin height in mm", fin.fin_height, 2.84, 20);
  length("fin depth in mm", fin.depth, 15.6, 57.4);
  length("tube pitch in mm", fin.tube_pitch, 7.51, 25);
  // Below a thickness of 1 % of the pitch the friction law has no value: a logarithm turns negative.
  note_range(excesses, {law, "fin thickness over fin pitch", fin.fin_thickness / fin.fin_pitch, 0.015, 0.2});
  return excesses;
}

std::vector<OutOfRange> fin_excesses(const OffsetStripFin& fin, double reynolds, double prandtl) {
  constexpr std::string_view law = "offset strips, Manglik & Bergles 1995";
  std::vector<OutOfRange> excesses;
  note_range(excesses, {law, "Reynolds number", reynolds, 120, 10000});
  note_range(excesses, {law, "Prandtl number", prandtl, 0.5, 15});
  note_range(excesses, {law, "spacing over height", fin.spacing / fin.height, 0.134, 0.997});
  note_range(excesses, {law, "thickness over strip length", fin.thickness / fin.strip_length, 0.012, 0.048});
  note_range(excesses, {law, "thickness over spacing", fin.thickness / fin.spacing, 0.041, 0.121});
  return excesses;
}

}  // namespace corefeed::cooling
