// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/batch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <new>

namespace corefeed::network {
namespace {

/// As of `Elimination`: a larger one says that the order chosen for other numbers does not serve these.
constexpr double largest_kept_multiplier = 1e9;
constexpr std::align_val_t alignment{alignof(Lanes)};

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Whether the machine code knows each law of the network for several points at once.
bool knows_laws(const Network& network, const PackedKernels& kernels) {
  return std::all_of(network.elements.begin(), network.elements.end(),
                     [&](const Element& element) { return kernels.has_law(element.kind->name); });
}

Lanes all_alike(double value) {
  Lanes lanes;
  lanes.lane.fill(value);
  return lanes;
}

}  // namespace

void Batch::FreeBytes::operator()(std::byte* bytes) const { ::operator delete[](bytes, alignment); }

std::optional<Batch> Batch::make(const Assembly& assembly, const Workspace& work,
                                 const PackedKernels& kernels) {
  if (!work.elimination() || !knows_laws(*assembly.network, kernels)) return std::nullopt;
  std::vector<Row> rows;
  for (const int index : work.equations()) {
    const Equation& equation = work.system().equations()[at(index)];
    const Formula& formula = *equation.residual.formula;
    const PackedEvaluator evaluate = kernels.evaluator(formula.packed_name());
    if (evaluate == nullptr) return std::nullopt;
    rows.push_back({&equation, evaluate, formula.callable()});
  }
  return Batch(work, kernels, std::move(rows));
}

Batch::Batch(const Workspace& work, const PackedKernels& kernels, std::vector<Row> rows)
    : work_(&work), kernels_(&kernels), program_(work.elimination()), rows_(std::move(rows)) {
  numbers_.resize(work.system().parameters().size());
  set_parameters(work.system().parameters());
  state_.resize(work.system().unknowns().size());
  before_ = state_;
  rest_.resize(rows_.size());
  step_.resize(rows_.size());
  number_.resize(program_->slots);
  std::size_t unknowns = 0;
  std::size_t parameters = 0;
  for (const Row& row : rows_) {
    unknowns = std::max(unknowns, row.equation->residual.unknowns.size());
    parameters = std::max(parameters, row.equation->residual.parameters.size());
  }
  const auto room = [&kernels](std::size_t count) {
    const std::size_t bytes = std::max<std::size_t>(count, 1) * kernels.dual_size;
    return Bytes(static_cast<std::byte*>(::operator new[](bytes, alignment)));
  };
  local_state_ = room(unknowns);
  local_numbers_ = room(parameters);
}

void Batch::set_parameters(std::span<const double> values) {
  for (std::size_t i = 0; i < values.size(); ++i) numbers_[i] = all_alike(values[i]);
}

void Batch::set_parameter(int parameter, std::size_t lane, double value) {
  numbers_[at(parameter)].lane[lane] = value;
}

void Batch::set_state(std::size_t lane, std::span<const double> x) {
  for (std::size_t i = 0; i < x.size(); ++i) state_[i].lane[lane] = x[i];
}

void Batch::get_state(std::size_t lane, std::span<double> x) const {
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = state_[i].lane[lane];
}

/// Residuals of all points, and with the Jacobian wanted its numbers. The residuals do not depend on what is
/// wanted.
void Batch::look(Wanted wanted) {
  if (wanted == Wanted::jacobian) std::fill(number_.begin(), number_.end(), Lanes{});
  for (std::size_t row = 0; row < rows_.size(); ++row) {
    std::span<const Workspace::Active> active = work_->active(row);
    if (wanted == Wanted::residuals) active = {};
    std::size_t first = 0;
    do {
      const std::size_t count = std::min(kernels_->width, active.size() - first);
      look_at_row(row, active.subspan(first, count));
      first += count;
    } while (first < active.size());
  }
}

/// One row, with its derivatives by these of its unknowns.
void Batch::look_at_row(std::size_t row, std::span<const Workspace::Active> active) {
  constexpr std::size_t most = 16;
  std::array<int, most> seeds;
  std::array<Lanes, most> slopes;
  const Function& residual = rows_[row].equation->residual;
  const double scale = rows_[row].equation->scale;
  for (std::size_t i = 0; i < active.size(); ++i) seeds[i] = active[i].position;
  Lanes value;
  rows_[row].evaluate({rows_[row].callable,
                       residual.unknowns,
                       residual.parameters,
                       state_.data(),
                       numbers_.data(),
                       {seeds.data(), active.size()},
                       local_state_.get(),
                       local_numbers_.get(),
                       &value,
                       slopes.data()});
  for (std::size_t lane = 0; lane < lane_count; ++lane) rest_[row].lane[lane] = value.lane[lane] / scale;
  for (std::size_t i = 0; i < active.size(); ++i) {
    const auto unknown = at(work_->unknowns()[at(active[i].column)]);
    const double factor = work_->system().unknowns()[unknown].scale / scale;
    Lanes& number = number_[at(active[i].slot)];
    for (std::size_t lane = 0; lane < lane_count; ++lane) number.lane[lane] += slopes[i].lane[lane] * factor;
  }
}

/// NaN where a residual is no number.
void Batch::measure(Lanes& largest, Lanes& norm) const {
  largest = all_alike(0.0);
  norm = all_alike(0.0);
  for (const Lanes& row : rest_) {
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
      const double one = row.lane[lane];
      norm.lane[lane] += one * one;
      largest.lane[lane] = std::max(largest.lane[lane], std::abs(one));
    }
  }
  for (std::size_t lane = 0; lane < lane_count; ++lane) norm.lane[lane] = std::sqrt(norm.lane[lane]);
}

/// Newton's step for the points that move, which ends here for those whose pivots do not serve; the others
/// are left where they are.
void Batch::step(LaneFlags& moving) {
  Lanes multiplier;
  kernels_->eliminate(*program_, number_.data(), multiplier);
  for (Lanes& row : rest_) {
    for (double& one : row.lane) one = -one;
  }
  kernels_->substitute(*program_, number_.data(), rest_.data(), step_.data());
  for (std::size_t lane = 0; lane < lane_count; ++lane) {
    moving[lane] = moving[lane] && multiplier.lane[lane] <= largest_kept_multiplier;
  }
  for (std::size_t j = 0; j < step_.size(); ++j) {
    const auto unknown = at(work_->unknowns()[j]);
    const double scale = work_->system().unknowns()[unknown].scale;
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
      if (moving[lane]) state_[unknown].lane[lane] += step_[j].lane[lane] * scale;
    }
  }
}

void Batch::take_back(std::size_t lane) {
  for (std::size_t i = 0; i < state_.size(); ++i) state_[i].lane[lane] = before_[i].lane[lane];
}

LaneFlags Batch::solve(const SolveOptions& options) {
  // As for single points: below a hundredth of the tolerance further steps only shuffle rounding.
  const double enough = 0.01 * options.tolerance;
  constexpr double anything = std::numeric_limits<double>::max();
  LaneFlags moving, converged{};
  moving.fill(true);
  before_ = state_;
  Lanes largest, norm;
  Lanes last_largest = all_alike(anything);
  Lanes last_norm = all_alike(anything);
  Wanted wanted = Wanted::jacobian;
  for (int iteration = 0;; ++iteration) {
    look(wanted);
    measure(largest, norm);
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
      if (!moving[lane]) continue;
      const bool better = norm.lane[lane] <= (1.0 - 1e-4) * last_norm.lane[lane];
      if (!better) {
        // The last step led nowhere: the state before it stands, and is as good as it was.
        largest.lane[lane] = last_largest.lane[lane];
        take_back(lane);
      }
      const bool ended = !better || largest.lane[lane] <= enough || iteration >= options.most_iterations;
      converged[lane] = ended && largest.lane[lane] <= options.tolerance;
      moving[lane] = !ended;
    }
    if (std::find(moving.begin(), moving.end(), true) == moving.end()) return converged;
    // As convergence goes, the state after this step will do: then its Jacobian is not needed.
    bool nearly_there = iteration > 0;
    for (std::size_t lane = 0; lane < lane_count; ++lane) {
      const double gain = largest.lane[lane] / last_largest.lane[lane];
      nearly_there = nearly_there && (!moving[lane] || 2.0 * largest.lane[lane] * gain * gain <= enough);
    }
    if (wanted == Wanted::residuals) look(Wanted::jacobian);
    wanted = nearly_there ? Wanted::residuals : Wanted::jacobian;
    last_largest = largest;
    last_norm = norm;
    before_ = state_;
    step(moving);
  }
}

}  // namespace corefeed::network
