// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/measurement_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "corefeed/losses/kind.hpp"
#include "corefeed/units/quantity.hpp"

namespace corefeed::proposal {
namespace {

using units::Quantity;

std::string length(double value) { return units::show(value, Quantity::length); }
std::string area(double value) { return units::show(value, Quantity::area); }

/// A measured number in the unit of its kind's key.
std::string number_text(const worker::Piece& piece, const std::string& key, double value) {
  const losses::Kind* kind = losses::find_kind(piece.kind);
  const std::size_t place = kind == nullptr ? losses::npos : losses::find_key(*kind, key);
  // A length along the axis is measured for pieces whose law does not need it, too.
  const Quantity other = key == "length" ? Quantity::length : Quantity::number;
  const Quantity quantity = place == losses::npos ? other : kind->keys[place].quantity;
  return quantity == Quantity::number ? fmt::format("{} {:.4g}", key, value)
                                      : fmt::format("{} {}", key, units::show(value, quantity));
}

std::string piece_text(std::size_t place, const worker::Piece& piece) {
  std::string text =
      fmt::format("    {} {} from {} to {}:", place, piece.kind, length(piece.from), length(piece.to));
  bool first = true;
  for (const auto& [key, value] : piece.numbers) {
    text += fmt::format("{} {}", first ? "" : ",", number_text(piece, key, value));
    first = false;
  }
  for (const auto& [key, word] : piece.choices) text += fmt::format(", {} {}", key, word);
  text += "\n";
  if (!piece.reason.empty()) text += fmt::format("      ({})\n", piece.reason);
  return text;
}

/// About ten of the stations, ends included.
std::string stations_text(const worker::Path& path) {
  std::string text = fmt::format("    {:>12}  {:>12}  {:>12}\n", "distance", "area", "hyd. diam.");
  const std::size_t count = path.stations.size();
  const std::size_t rows = std::min<std::size_t>(11, count);
  for (std::size_t i = 0; i < rows; ++i) {
    const worker::Station& station = path.stations[rows == 1 ? 0 : i * (count - 1) / (rows - 1)];
    text += fmt::format("    {:>12}  {:>12}  {:>12}\n", length(station.distance), area(station.area),
                        length(station.hydraulic_diameter));
  }
  return text;
}

std::string path_text(const worker::Path& path) {
  std::string text =
      fmt::format("  path {} -> {}: length {}, narrowest {} at {}\n", path.from, path.to, length(path.length),
                  area(path.narrowest.area), length(path.narrowest.distance));
  for (std::size_t i = 0; i < path.pieces.size(); ++i) text += piece_text(i + 1, path.pieces[i]);
  return text + stations_text(path);
}

std::string blocker_text(const worker::Blocker& blocker) {
  return fmt::format("    {} covers {:.1f} % of it, gap {}, open along {}\n", blocker.part,
                     100 * blocker.share, length(blocker.gap), length(blocker.open_perimeter));
}

std::string cutout_text(const worker::Cutout& cutout) {
  std::string text =
      fmt::format("  cut-out {}: {}, perimeter {}, edge {} thick", cutout.name, area(cutout.projected_area),
                  length(cutout.perimeter), length(cutout.thickness));
  // A curved skin across the hole is larger than what one sees of it.
  if (cutout.area > 1.001 * cutout.projected_area)
    text += fmt::format(", {} along the skin", area(cutout.area));
  text += fmt::format(", free {}\n", area(cutout.free_area));
  if (cutout.louvre) {
    text += fmt::format("    louvre: {} blades at {}, gross area {}, throat {} (open fraction {:.3f})\n",
                        cutout.louvre->blades, units::show(cutout.louvre->blade_angle, Quantity::angle),
                        area(cutout.louvre->gross_area), area(cutout.louvre->throat_area),
                        cutout.louvre->throat_area / cutout.louvre->gross_area);
  }
  for (const worker::Blocker& blocker : cutout.blocked_by) text += blocker_text(blocker);
  return text;
}

std::string core_text(const worker::Core& core) {
  return fmt::format("  face {}, free between the tubes {}, depth {}\n", area(core.face_area),
                     area(core.free_face_area), length(core.depth));
}

std::string gap_text(const worker::Gap& gap) {
  return fmt::format("gap {} - {}: {} along a rim of {}, {:.1f} % of the core's face covered{}\n", gap.duct,
                     gap.core, area(gap.gap_area), length(gap.rim_length), 100 * gap.face_coverage,
                     gap.incidence < 0.005
                         ? ""
                         : fmt::format(", inclined by {:.1f} deg", gap.incidence * 180 / std::numbers::pi));
}

std::string part_text(const worker::Part& part) {
  std::string text = fmt::format("{} ({})", part.name, part.kind);
  if (part.volume) text += ", volume " + units::show(*part.volume, Quantity::volume);
  text += "\n";
  for (const worker::Opening& opening : part.openings) {
    text += fmt::format("  opening {}: {}, perimeter {}, hydraulic diameter {}\n", opening.name,
                        area(opening.area), length(opening.perimeter), length(opening.hydraulic_diameter));
    for (const worker::Blocker& blocker : opening.blocked_by) text += blocker_text(blocker);
  }
  for (const worker::Cutout& cutout : part.cutouts) text += cutout_text(cutout);
  if (part.core) text += core_text(*part.core);
  for (const worker::Path& path : part.paths) text += path_text(path);
  return text;
}

}  // namespace

std::string measurement_text(const worker::Measurement& measurement) {
  const auto& box = measurement.bounding_box;
  std::string text = fmt::format("{}: unit {}, {} x {} x {}\n", measurement.file, measurement.unit,
                                 length(box[1][0] - box[0][0]), length(box[1][1] - box[0][1]),
                                 length(box[1][2] - box[0][2]));
  for (const worker::Part& part : measurement.parts) text += part_text(part);
  for (const worker::Gap& gap : measurement.gaps) text += gap_text(gap);
  for (const worker::MeasureWarning& warning : measurement.warnings)
    text += "warning: " + warning.text + "\n";
  return text;
}

}  // namespace corefeed::proposal
