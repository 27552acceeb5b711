// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/envelope.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "corefeed/model/surface_pressure.hpp"

namespace corefeed::studies {
namespace {

using Axis = model::SurfacePressure::Axis;

/// Whether two points differ in nothing but what the axes and the table give.
bool share_envelope(const model::Point& a, const model::Point& b) {
  return std::tie(a.heat_load, a.fans, a.engine_speed, a.shaft_power) ==
         std::tie(b.heat_load, b.fans, b.engine_speed, b.shaft_power);
}

std::vector<std::vector<model::Point>> groups_of(const model::Model& model, const StudyOptions& options) {
  std::vector<std::vector<model::Point>> groups;
  for (const model::Point& point : model.points) {
    if (!is_wanted(options.points, point.name)) continue;
    const auto same = std::find_if(groups.begin(), groups.end(), [&point](const auto& group) {
      return share_envelope(group.front(), point);
    });
    if (same == groups.end()) {
      groups.push_back({point});
    } else {
      same->push_back(point);
    }
  }
  return groups;
}

EnvelopeQuestion axes_of(const model::Model& model, const std::vector<model::Point>& group,
                         const EnvelopeQuestion& question) {
  EnvelopeQuestion axes = question;
  if (axes.speeds.empty()) {
    for (const model::Point& point : group) axes.speeds.push_back(point.speed);
    std::sort(axes.speeds.begin(), axes.speeds.end());
    axes.speeds.erase(std::unique(axes.speeds.begin(), axes.speeds.end()), axes.speeds.end());
  }
  if (!model.surface_pressure) return axes;
  if (axes.ride_heights.empty()) axes.ride_heights = model.surface_pressure->values(Axis::ride_height);
  if (axes.yaws.empty()) axes.yaws = model.surface_pressure->values(Axis::yaw);
  return axes;
}

/// The axis' values, or one cell without it.
std::vector<std::optional<double>> places(const std::vector<double>& axis) {
  if (axis.empty()) return {std::nullopt};
  return {axis.begin(), axis.end()};
}

/// The first point of the group without its own pressures where the table has them.
model::Point base_point(const model::Model& model, const std::vector<model::Point>& group) {
  model::Point point = group.front();
  if (!model.surface_pressure) return point;
  std::erase_if(point.cp, [&model](const auto& one) { return model.surface_pressure->has(one.first); });
  return point;
}

bool speaks_of(const model::Requirement& requirement, const std::vector<model::Point>& group) {
  return std::any_of(group.begin(), group.end(), [&requirement](const model::Point& point) {
    return is_wanted(requirement.at, point.name);
  });
}

EnvelopeValue value_of(const model::Model& model, const model::Requirement& requirement,
                       const PointResult& result) {
  const double value = result.solution.value(requirement.quantity).value_or(0.0);
  const Judgment judged =
      judge(requirement, result.name, value, uncertainty_of(model, result, requirement.quantity).sigma);
  return {judged.value, judged.margin, judged.sigma, judged.verdict};
}

EnvelopeCell solve_cell(const model::Model& model, const std::vector<model::Point>& group,
                        const model::Point& point, const StudyOptions& options) {
  EnvelopeCell cell;
  cell.speed = point.speed;
  const PointResult result = solve_point(model, point, options.solver);
  cell.requirements.resize(model.requirements.size());
  for (const model::TakenPressure& taken : result.built.pressures) {
    if (cell.extrapolated.empty()) cell.extrapolated = taken.held;
  }
  cell.solved = result.solution.converged && result.solution.further.empty();
  cell.explanation = cell.solved ? "" : result.solution.explanation;
  if (!cell.solved) return cell;
  for (std::size_t r = 0; r < model.requirements.size(); ++r) {
    if (speaks_of(model.requirements[r], group))
      cell.requirements[r] = value_of(model, model.requirements[r], result);
  }
  return cell;
}

/// Verdict first, then the margin; smaller is worse.
std::pair<int, double> rank(Verdict verdict, double margin) {
  return {verdict == Verdict::not_met ? 0 : (verdict == Verdict::too_close ? 1 : 2), margin};
}

void find_worst(Envelope& envelope, std::size_t requirements) {
  envelope.worst.resize(requirements);
  for (std::size_t r = 0; r < requirements; ++r) {
    std::pair<int, double> least{3, 0.0};
    for (std::size_t c = 0; c < envelope.cells.size(); ++c) {
      const EnvelopeCell& cell = envelope.cells[c];
      if (!cell.requirements[r]) continue;
      const auto here = rank(cell.requirements[r]->verdict, cell.requirements[r]->margin);
      if (here >= least) continue;
      least = here;
      envelope.worst[r] = c;
    }
  }
}

Envelope envelope_of(const model::Model& model, const std::vector<model::Point>& group,
                     const EnvelopeQuestion& question, const StudyOptions& options) {
  Envelope envelope;
  for (const model::Point& point : group) envelope.points.push_back(point.name);
  envelope.axes = axes_of(model, group, question);
  model::Point point = base_point(model, group);
  for (const double speed : envelope.axes.speeds) {
    for (const auto& height : places(envelope.axes.ride_heights)) {
      for (const auto& yaw : places(envelope.axes.yaws)) {
        point.speed = speed;
        if (height) point.ride_height = height;
        if (yaw) point.yaw = *yaw;
        envelope.cells.push_back(solve_cell(model, group, point, options));
        envelope.cells.back().ride_height = height;
        envelope.cells.back().yaw = yaw;
      }
    }
  }
  find_worst(envelope, model.requirements.size());
  return envelope;
}

/// The requirement that decides over a point, if any speaks of it.
std::optional<PointRank> rank_of(const Study& study, const std::string& point) {
  std::optional<PointRank> worst;
  for (const JudgedRequirement& judged : study.requirements) {
    for (const Judgment& one : judged.judgments) {
      if (one.point != point) continue;
      const double sigmas = in_sigmas(one);
      if (worst && rank(worst->verdict, worst->sigmas) <= rank(one.verdict, sigmas)) continue;
      worst = PointRank{point, judged.index, one.verdict, sigmas, true};
    }
  }
  return worst;
}

}  // namespace

std::vector<Envelope> envelopes(const model::Model& model, const EnvelopeQuestion& question,
                                const StudyOptions& options) {
  const bool asked = !question.speeds.empty() || !question.ride_heights.empty() || !question.yaws.empty();
  if (!model.surface_pressure && !asked) return {};
  std::vector<Envelope> all;
  for (const std::vector<model::Point>& group : groups_of(model, options)) {
    all.push_back(envelope_of(model, group, question, options));
  }
  return all;
}

std::vector<PointRank> hardest_first(const Study& study) {
  std::vector<PointRank> ranks;
  for (const PointResult& point : study.points) {
    if (!point.solution.converged || !point.solution.further.empty()) {
      ranks.push_back({point.name, 0, Verdict::not_met, -std::numeric_limits<double>::infinity(), false});
    } else if (const auto found = rank_of(study, point.name)) {
      ranks.push_back(*found);
    }
  }
  std::stable_sort(ranks.begin(), ranks.end(), [](const PointRank& a, const PointRank& b) {
    return std::pair(a.solved, rank(a.verdict, a.sigmas)) < std::pair(b.solved, rank(b.verdict, b.sigmas));
  });
  return ranks;
}

}  // namespace corefeed::studies
