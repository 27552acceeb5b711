// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/studies/study.hpp"

/// Every requirement over speed, ride height and yaw, and the points of a model ranked by how hard they are.
namespace corefeed::studies {

/// What to look over. Empty axes take what the model has: the speeds of its points from the lowest to the
/// highest, the ride heights and yaws of its runs of CFD.
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
  std::string explanation;                  ///< why there is no solution
  std::string extrapolated;                 ///< what lies beyond the runs, in words; empty within
  std::vector<EnvelopeValue> requirements;  ///< by requirement of the model; empty where not solved
};

struct Envelope {
  std::string point;  ///< gives heat loads, fans and what else the axes do not
  EnvelopeQuestion axes;
  std::vector<EnvelopeCell> cells;  ///< yaw fastest, then ride height, then speed
  /// By requirement: the place of its worst cell, by verdict and then margin; nothing where no cell has a
  /// solution.
  std::vector<std::optional<std::size_t>> worst;
};

/// Solves the grid for each point that a requirement speaks of (each of the model where none does).
/// Requirements are judged as at the point itself. Runs between CFD's are interpolated, beyond them held and
/// flagged.
std::vector<Envelope> envelopes(const model::Model& model, const EnvelopeQuestion& question = {},
                                const StudyOptions& options = {});

/// A point among others.
struct PointRank {
  std::string point;
  std::size_t requirement = 0;  ///< the one that decides, in the model's requirements
  Verdict verdict = Verdict::met;
  double sigmas = 0;  ///< its margin in units of its 1-sigma
  bool solved = true;
};

/// Hardest first: points without a solution, then by the worst verdict and the smallest margin in sigmas.
/// Points that no requirement speaks of are left out.
std::vector<PointRank> hardest_first(const model::Model& model, const Study& study);

}  // namespace corefeed::studies
