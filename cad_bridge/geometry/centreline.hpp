// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "cad_bridge/geometry/centreline_levels.hpp"
#include "cad_bridge/geometry/centreline_select.hpp"
#include "cad_bridge/geometry/section.hpp"
#include "corefeed/result.hpp"

/// The line through the centers of area of sections that are themselves normal to it. Lengths in mm.
namespace corefeed::geometry {

/// A point of the line with the section there.
struct Knot {
  double distance = 0;  ///< along the line from the first opening's center
  Vec3 position = Vec3::Zero();
  Vec3 tangent = Vec3::Zero();  ///< unit, towards the second opening
  double level = 0;             ///< of the harmonic function: 0 at the first opening, 1 at the second
  Section section;
};

/// The cubic between two knots; its parameter runs from 0 to 1.
struct KnotSpan {
  Vec3 from;
  Vec3 to;
  Vec3 from_slope;
  Vec3 to_slope;

  KnotSpan(const Knot& a, const Knot& b);
  Vec3 position(double t) const;
  Vec3 slope(double t) const;
  double length() const;
};

class Centerline {
 public:
  /// The mesh and the tree must outlive the line.
  Centerline(const WallMesh& mesh, const SectionTree& tree, int from, int to);

  /// Finds the line: level-set centers first, then planes normal to the fitted tangent until the centers
  /// settle; the level curves' own planes where they do not (side branches, plena). Errors: `no_path`,
  /// `section_failed`.
  Result<bool> follow();

  double length() const { return knots_.back().distance; }
  const std::vector<Knot>& knots() const { return knots_; }

  /// The exact section at a distance, in the plane normal to the line; an end face at the ends. Errors:
  /// `section_failed` with the place.
  Result<Knot> at(double distance) const;

 private:
  struct End {
    CutPlane plane;  ///< normal out of the passage
    std::vector<Vec3> rim;
    Section section;
    double reach = 0;  ///< from the center to the farthest rim point
  };

  End make_end(int opening) const;
  Result<bool> trace();
  void first_guess();
  Vec3 guide(double level) const;
  Result<bool> refine(Accuracy accuracy);
  void still_echoes();
  void fit_tangents(int window);
  int window_of(double width) const;
  void measure_distances();
  void space_evenly(int count);
  Result<Section> section_at(const Vec3& position, const Vec3& tangent, double distance, double level,
                             Accuracy accuracy, double* found_level) const;
  Result<Section> cut_once(const CutPlane& plane, double level, Accuracy accuracy,
                           Selection& selection) const;
  Vec3 clear_of_ends(const Vec3& position, const Vec3& tangent, double distance) const;
  double distance_of_level(double level) const;

  const WallMesh& mesh_;
  const SectionTree& tree_;
  int from_;
  int to_;
  End first_;
  End last_;
  double size_ = 0;      ///< hydraulic diameter of the smaller end
  bool guided_ = false;  ///< planes are those of the level curves
  std::vector<double> levels_;
  std::vector<LevelCenter> guides_;  ///< in order of level, from 0 to 1
  std::vector<Knot> knots_;
};

}  // namespace corefeed::geometry
