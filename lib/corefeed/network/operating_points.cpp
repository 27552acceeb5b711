// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/operating_points.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <optional>

#include "corefeed/network/certificate.hpp"
#include "corefeed/network/newton.hpp"
#include "corefeed/network/norms.hpp"
#include "corefeed/network/workspace.hpp"

namespace corefeed::network {
namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// Two states are one where no flow differs by more than this share of its typical size.
constexpr double same_flow = 1e-6;
constexpr std::size_t most_states = 8;

bool falls(const Element& element) {
  if (element.sibling != none) return true;
  return element.feeds == none && !is_monotone(element);
}

/// The equations with one flow held at a value in place of its own law.
class Held {
 public:
  Held(const Assembly& assembly, Workspace& work, int element)
      : work_(&work),
        flow_(at(assembly.places.flow[at(element)])),
        scale_(work.system().unknowns()[flow_].scale),
        rest_(work.size()),
        step_(work.size()),
        next_(work.size()) {
    const std::string& name = assembly.network->elements[at(element)].name;
    for (std::size_t row = 0; row < work.size(); ++row) {
      const Equation& equation = work.system().equations()[at(work.equations()[row])];
      if (equation.block == Block::flow && equation.name == name) row_ = row;
    }
    const auto column = static_cast<std::size_t>(work.column_of(static_cast<int>(flow_)));
    for (std::size_t slot = 0; slot < work.pattern().size(); ++slot) {
      if (static_cast<std::size_t>(work.pattern()[slot].row) == row_) slots_.push_back(slot);
    }
    own_ = work.slot(row_, column);
  }

  double scale() const { return scale_; }

  /// Solves with the flow at `value`; gives what its law then lacks (scaled), or nothing.
  std::optional<double> solve(std::vector<double>& x, double value) {
    constexpr int most_steps = 15;
    // Only the sign of what lacks counts here.
    constexpr double close_enough = 1e-4;
    for (int steps = 0; steps < most_steps; ++steps) {
      work_->linearize(x, rest_);
      const double lacking = rest_[row_];
      rest_[row_] = (x[flow_] - value) / scale_;
      const double size = largest(rest_);
      if (!std::isfinite(size)) return std::nullopt;
      if (size <= close_enough) return lacking;
      for (const std::size_t slot : slots_) work_->jacobian(slot) = 0.0;
      work_->jacobian(own_) = 1.0;
      if (!work_->factor()) return std::nullopt;
      std::transform(rest_.begin(), rest_.end(), step_.begin(), [](double one) { return -one; });
      work_->solve(step_);
      if (!descend(x, value)) return std::nullopt;
    }
    return std::nullopt;
  }

 private:
  bool descend(std::vector<double>& x, double value) {
    const double before = norm(rest_);
    constexpr int most_halvings = 13;
    for (int halvings = 0; halvings <= most_halvings; ++halvings) {
      const double share = std::ldexp(1.0, -halvings);
      trial_ = x;
      for (std::size_t j = 0; j < step_.size(); ++j) {
        const std::size_t unknown = at(work_->unknowns()[j]);
        trial_[unknown] += share * step_[j] * work_->system().unknowns()[unknown].scale;
      }
      work_->evaluate(trial_, next_);
      next_[row_] = (trial_[flow_] - value) / scale_;
      if (std::isfinite(largest(next_)) && norm(next_) < (1.0 - 1e-4 * share) * before) {
        x = trial_;
        return true;
      }
    }
    return false;
  }

  Workspace* work_;
  std::size_t flow_;
  double scale_;
  std::size_t row_ = 0;
  std::size_t own_ = 0;
  std::vector<std::size_t> slots_;
  std::vector<double> rest_, step_, next_, trial_;
};

/// Values over the range of an element's flow, kg/s: where its law may fall, and well beyond.
std::vector<double> range_of(const Network& network, const Element& element, double now, double typical) {
  double reach = std::max(std::abs(now), typical);
  for (const auto& curve : element.curves) {
    const bool fan = curve && element.kind->ends == losses::Ends::both;
    if (fan) reach = curve->last() * network.outside.density;
  }
  constexpr int steps = 16;
  std::vector<double> values;
  for (int i = 0; i <= steps; ++i) values.push_back(reach * (-0.4 + 1.8 * i / steps));
  return values;
}

class SearchAround {
 public:
  SearchAround(const Assembly& assembly, const SolveOptions& options)
      : assembly_(assembly), options_(options), work_(assembly.system), newton_(work_) {
    options_.most_iterations = std::min(options.most_iterations, 25);
  }

  std::vector<std::vector<double>> from(const std::vector<double>& first) {
    states_ = {first};
    const auto& elements = assembly_.network->elements;
    for (std::size_t s = 0; s < states_.size() && states_.size() < most_states; ++s) {
      const std::vector<double> state = states_[s];
      for (std::size_t e = 0; e < elements.size(); ++e) {
        if (!falls(elements[e])) continue;
        if (elements[e].sibling != none) {
          turn_round(state, static_cast<int>(e));
        } else {
          scan(state, static_cast<int>(e));
        }
      }
    }
    return states_;
  }

 private:
  /// Newton's method from a state; a new solution is kept.
  void keep(std::vector<double> x) {
    if (states_.size() >= most_states || !newton_.run(x, options_).converged()) return;
    for (const std::vector<double>& known : states_) {
      bool same = true;
      for (const int flow : assembly_.places.flow) {
        const double scale = assembly_.system.unknowns()[at(flow)].scale;
        same = same && std::abs(x[at(flow)] - known[at(flow)]) <= same_flow * scale;
      }
      if (same) return;
    }
    states_.push_back(std::move(x));
  }

  void turn_round(std::vector<double> x, int leg) {
    double& flow = x[at(assembly_.places.flow[at(leg)])];
    flow = -flow;
    keep(std::move(x));
  }

  void scan(const std::vector<double>& state, int element) {
    Held held(assembly_, work_, element);
    const double now = state[at(assembly_.places.flow[at(element)])];
    const Element& own = assembly_.network->elements[at(element)];
    const std::vector<double> values = range_of(*assembly_.network, own, now, held.scale());
    const auto middle = std::lower_bound(values.begin(), values.end(), now);
    // Outwards from the state, so that each solution starts close to the last.
    walk(held, state, std::vector<double>(middle, values.end()));
    walk(held, state, std::vector<double>(std::make_reverse_iterator(middle), values.rend()));
  }

  void walk(Held& held, const std::vector<double>& state, const std::vector<double>& values) {
    std::vector<double> x = state;
    std::optional<double> before;
    double at_before = 0.0;
    std::vector<double> x_before;
    for (const double value : values) {
      const std::optional<double> lacking = held.solve(x, value);
      if (!lacking) x = x_before.empty() ? state : x_before;
      if (lacking && before && (*lacking > 0.0) != (*before > 0.0)) {
        close_in(held, x_before, at_before, *before, value);
      }
      if (lacking) x_before = x;
      at_before = value;
      before = lacking;
    }
  }

  /// Halves the bracket a few times, then lets Newton's method find the state in it.
  void close_in(Held& held, std::vector<double> x, double low, double at_low, double high) {
    for (int i = 0; i < 5; ++i) {
      const double middle = 0.5 * (low + high);
      const std::optional<double> lacking = held.solve(x, middle);
      if (!lacking) break;
      ((*lacking > 0.0) == (at_low > 0.0) ? low : high) = middle;
    }
    keep(std::move(x));
  }

  const Assembly& assembly_;
  SolveOptions options_;
  Workspace work_;
  Newton newton_;
  std::vector<std::vector<double>> states_;
};

/// Real parts of the modes of dm/dt = -H m with the mass balances kept: all positive, or the flow moves away.
/// Inertia is taken as one over the typical flow squared; where H is symmetric its size does not matter.
bool is_stable(const Assembly& assembly, const std::vector<double>& x) {
  Workspace work(assembly.system, {.flow = true, .heat = false});
  std::vector<double> rest(work.size());
  work.linearize(x, rest);
  const auto count = static_cast<Eigen::Index>(assembly.places.flow.size());
  std::vector<Eigen::Index> place(assembly.system.unknowns().size(), -1);
  for (Eigen::Index e = 0; e < count; ++e) place[at(assembly.places.flow[static_cast<std::size_t>(e)])] = e;
  Eigen::MatrixXd slopes = Eigen::MatrixXd::Zero(count, count);
  Eigen::MatrixXd balances = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(work.size()), count);
  std::vector<Eigen::Index> law(work.size(), -1);
  for (std::size_t row = 0; row < work.size(); ++row) {
    const Equation& equation = assembly.system.equations()[at(work.equations()[row])];
    const auto& elements = assembly.network->elements;
    const auto found = std::find_if(elements.begin(), elements.end(),
                                    [&](const Element& element) { return element.name == equation.name; });
    if (found != elements.end()) law[row] = found - elements.begin();
  }
  for (std::size_t i = 0; i < work.pattern().size(); ++i) {
    const auto row = static_cast<std::size_t>(work.pattern()[i].row);
    const auto column = static_cast<std::size_t>(work.pattern()[i].column);
    const Eigen::Index flow = place[at(work.unknowns()[column])];
    if (flow < 0) continue;
    if (law[row] < 0) {
      balances(static_cast<Eigen::Index>(row), flow) = work.jacobian()[i];
      continue;
    }
    const int own = assembly.places.flow[static_cast<std::size_t>(law[row])];
    slopes(law[row], flow) = -work.jacobian()[i] * assembly.system.unknowns()[at(own)].scale;
  }
  const Eigen::MatrixXd free = Eigen::FullPivLU<Eigen::MatrixXd>(balances).kernel();
  const Eigen::MatrixXd basis = Eigen::HouseholderQR<Eigen::MatrixXd>(free).householderQ() *
                                Eigen::MatrixXd::Identity(free.rows(), free.cols());
  const Eigen::MatrixXd reduced = basis.transpose() * slopes * basis;
  const Eigen::VectorXcd modes = reduced.eigenvalues();
  const double size = std::max(reduced.cwiseAbs().maxCoeff(), 1e-300);
  return (modes.real().array() > -1e-12 * size).all();
}

}  // namespace

bool may_have_several(const Network& network) {
  return std::any_of(network.elements.begin(), network.elements.end(), falls);
}

std::vector<OperatingPoint> operating_points(const Assembly& assembly, const std::vector<double>& solution,
                                             const SolveOptions& options) {
  if (!may_have_several(*assembly.network)) return {{solution, true}};
  std::vector<OperatingPoint> points;
  for (std::vector<double>& x : SearchAround(assembly, options).from(solution)) {
    const bool stable = is_stable(assembly, x);
    points.push_back({std::move(x), stable});
  }
  return points;
}

}  // namespace corefeed::network
