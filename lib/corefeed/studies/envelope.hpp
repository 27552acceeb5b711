// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// Every requirement over speed, ride height and yaw, and the points of a model ranked by how hard they are.
namespace corefeed::studies {

/// What to look over. Empty axes take what the model has: the speeds of its points, the ride heights and yaws
/// of its runs of CFD.
struct EnvelopeQuestion {
  std::vector<double> speeds;        ///< m/s
  std::vector<double> ride_heights;  ///< m
  std::vector<double> yaws;          ///< rad
};

/// A requirement at one place of the envelope.
struct EnvelopeValue {
  double value = 0;   ///< SI
  double margin = 0;  ///< SI, positive on the right side
  double sigma = 0;
  Verdict verdict = Verdict::not_met;
};

struct EnvelopeCell {
  double speed = 0;
  std::optional<double> ride_height;  ///< m; none where the model has no runs over it
  std::optional<double> yaw;          ///< rad
  bool solved = false;
  std::string explanation;   ///< why there is no solution
  std::string extrapolated;  ///< what lies beyond the runs, in words; empty within
  /// By requirement of the model; nothing where it speaks of none of the points, or without a solution.
  std::vector<std::optional<EnvelopeValue>> requirements;
};

struct Envelope {
  /// Points that differ in speed, ride height, yaw and pressures alone, and so have one envelope: the first
  /// of them gives heat loads, fans and what else the axes do not.
  std::vector<std::string> points;
  EnvelopeQuestion axes;  ///< as looked over; ride heights and yaws are empty without runs over them
  std::vector<EnvelopeCell> cells;  ///< yaw fastest, then ride height, then speed
  /// By requirement: the place of its worst cell, by verdict and then margin; nothing where no cell has a
  /// value.
  std::vector<std::optional<std::size_t>> worst;
};

/// Solves the grid for the model's points, pressures from its table of surface pressures; requirements are
/// judged as at the points they speak of. Between runs of CFD it is interpolated, beyond them the nearest run
/// holds and the cell says so. Empty where the model has no such table and the question names no axis.
std::vector<Envelope> envelopes(const model::Model& model, const EnvelopeQuestion& question = {},
                                const StudyOptions& options = {});

/// A point among others.
struct PointRank {
  std::string point;
  std::size_t requirement = 0;  ///< the one that decides, in the model's requirements
  Verdict verdict = Verdict::met;
  double sigmas = 0;   ///< its margin in units of its 1-sigma
  bool solved = true;  ///< has one solution
};

/// Hardest first: points without one solution, then by the worst verdict and the smallest margin in sigmas.
/// Points that no requirement speaks of are left out.
std::vector<PointRank> hardest_first(const Study& study);

}  // namespace corefeed::studies
