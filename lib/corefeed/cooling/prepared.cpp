// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/prepared.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "corefeed/cooling/packed_kernels.hpp"
#include "corefeed/cooling/quantities.hpp"
#include "corefeed/interruption.hpp"
#include "corefeed/network/adjoint.hpp"
#include "corefeed/network/batch.hpp"
#include "corefeed/network/newton.hpp"
#include "corefeed/network/operating_points.hpp"
#include "corefeed/network/solver.hpp"

namespace corefeed::cooling {
namespace {

std::shared_ptr<network::Network> connected(Case& problem) {
  mark_coupled(problem);
  auto net = std::make_shared<network::Network>(problem.network);
  network::connect_neighbors(*net);
  return net;
}

/// Two numbers that come from the same text with the same numbers differ by rounding at most.
bool same(double a, double b, double size) {
  constexpr double rounding = 1e-12;
  if (std::isnan(a) || std::isnan(b)) return std::isnan(a) && std::isnan(b);
  return std::abs(a - b) <= rounding * std::max({std::abs(a), std::abs(b), size});
}

bool same_numbers(const network::System& one, const network::System& other) {
  for (std::size_t i = 0; i < one.parameters().size(); ++i) {
    const int place = static_cast<int>(i);
    const bool read = one.varies(place);
    if (read != other.varies(place) || (read && one.parameters()[i] != other.parameters()[i])) return false;
  }
  return true;
}

bool same_air(const losses::Surroundings& one, const losses::Surroundings& other) {
  const auto numbers = [](const losses::Surroundings& s) {
    return std::array{s.air.gas_constant,
                      s.air.heat_capacity,
                      s.pressure,
                      s.temperature,
                      s.density,
                      s.speed,
                      s.yaw,
                      s.dynamic_head,
                      s.total_pressure,
                      s.total_temperature,
                      s.mach,
                      s.engine_speed};
  };
  return numbers(one) == numbers(other);
}

/// Scales may differ: they follow the numbers that a case was given.
bool same_residuals(const network::System& one, const network::System& other, const std::vector<double>& x) {
  const std::vector<double> here = one.residuals(x);
  const std::vector<double> there = other.residuals(x);
  for (std::size_t i = 0; i < here.size(); ++i) {
    const double scale = one.equations()[i].scale;
    const double other_scale = other.equations()[i].scale;
    if (!same(here[i] * scale, there[i] * other_scale, scale)) return false;
  }
  return true;
}

}  // namespace

struct Prepared::Internals {
  std::shared_ptr<network::Network> network;  ///< the assembly's, with surroundings that may change
  Solved solved;
  network::SolveOptions options;
  std::unique_ptr<network::Workspace> work;
  std::unique_ptr<network::Newton> newton;
  std::vector<network::Function> outputs;
  std::vector<double> start, marked, rest;
  std::optional<network::Batch> batch;
  std::shared_ptr<losses::SeveralSurroundings> outside_of_several;
  bool batch_is_tried = false;
  bool has_solution = false;
  bool marked_solution = false;

  Internals(const Case& problem, const SolveOptions& given)
      : options{.tolerance = given.tolerance, .most_iterations = given.most_iterations} {
    solved.problem = problem;
    network = connected(solved.problem);
    solved.problem.network = *network;
    solved.assembly = network::assemble(network);
    solved.loops = add_loops(solved.problem, solved.assembly);
    for (const network::Unknown& unknown : solved.assembly.system.unknowns()) start.push_back(unknown.start);
    solved.x = start;
    marked = start;
    work = std::make_unique<network::Workspace>(solved.assembly.system);
    newton = std::make_unique<network::Newton>(*work);
    rest.resize(work->size());
  }

  losses::Surroundings outside_at(double speed) const {
    const losses::Surroundings& now = network->outside;
    losses::Surroundings then =
        losses::surroundings_of(now.air, now.pressure, now.temperature, speed, now.yaw);
    then.engine_speed = now.engine_speed;
    return then;
  }

  /// All places of the batch begin at the mark.
  void lay_batch_out() {
    if (!batch_is_tried && marked_solution) {
      batch_is_tried = true;
      batch = network::Batch::make(solved.assembly, *work, *packed_kernels().front());
      outside_of_several = std::make_shared<losses::SeveralSurroundings>(network->outside);
      network->outside_of_several = outside_of_several;
    }
    if (!batch || !marked_solution) return;
    for (std::size_t place = 0; place < at_once; ++place) batch->set_state(place, marked);
  }

  /// The numbers of one point go to its place.
  void place(std::size_t lane, std::span<const std::size_t> inputs, const double* row) {
    const std::size_t speed = solved.assembly.system.parameters().size();
    for (std::size_t i = 0; i < inputs.size(); ++i) {
      if (inputs[i] == speed) {
        outside_of_several->set(lane, outside_at(row[i]));
      } else {
        batch->set_parameter(static_cast<int>(inputs[i]), lane, row[i]);
      }
    }
  }

  /// At a solution, so that those nearby need not look for any.
  void find_pivots() {
    work->linearize(solved.x, rest);
    work->factor();
  }
};

Prepared::Prepared(const Case& problem, const SolveOptions& options)
    : internals_(std::make_unique<Internals>(problem, options)) {}
Prepared::~Prepared() = default;
Prepared::Prepared(Prepared&&) noexcept = default;
Prepared& Prepared::operator=(Prepared&&) noexcept = default;

// Inputs are the system's parameters; the one after the last is the speed.
std::optional<std::size_t> Prepared::input(std::string_view name) const {
  const Solved& solved = internals_->solved;
  if (name == "speed") return solved.assembly.system.parameters().size();
  const std::size_t dot = name.find('.');
  if (dot == std::string_view::npos) return std::nullopt;
  const std::string_view owner = name.substr(0, dot);
  const std::string_view key = name.substr(dot + 1);
  const auto& elements = internals_->network->elements;
  for (std::size_t e = 0; e < elements.size(); ++e) {
    if (elements[e].name != owner) continue;
    const std::size_t place = losses::find_key(*elements[e].kind, key);
    if (place == losses::npos) return std::nullopt;
    const int parameter = solved.assembly.places.parameter[e] + static_cast<int>(place);
    if (!solved.assembly.system.varies(parameter)) return std::nullopt;
    return static_cast<std::size_t>(parameter);
  }
  for (std::size_t l = 0; l < solved.problem.loops.size(); ++l) {
    if (solved.problem.loops[l].name != owner) continue;
    const auto place = [](int parameter) -> std::optional<std::size_t> {
      if (parameter == network::none) return std::nullopt;
      return static_cast<std::size_t>(parameter);
    };
    if (key == "flow") return place(solved.loops.flow[l]);
    const std::string_view found = solved.loops.held[l] ? "temperature" : "heat_load";
    if (key == found) return place(solved.loops.given(l));
  }
  return std::nullopt;
}

void Prepared::set(std::size_t input, double value) {
  network::System& system = internals_->solved.assembly.system;
  if (input < system.parameters().size()) {
    system.set_parameter(static_cast<int>(input), value);
    return;
  }
  internals_->network->outside = internals_->outside_at(value);
}

std::optional<std::size_t> Prepared::output(std::string_view name) {
  auto function = quantity_function(internals_->solved, name);
  if (!function) return std::nullopt;
  internals_->outputs.push_back(std::move(*function));
  return internals_->outputs.size() - 1;
}

double Prepared::value(std::size_t output) {
  return internals_->work->value(internals_->outputs[output], internals_->solved.x);
}

Prepared::Ended Prepared::solve() {
  interruption_point();
  Internals& in = *internals_;
  if (in.has_solution) {
    const network::Newton::Ended ended = in.newton->run(in.solved.x, in.options);
    if (ended.converged()) return {true, ended.residual, ended.iterations};
  }
  network::Solved cold = network::solve(in.solved.assembly, in.start, in.options);
  in.solved.x = std::move(cold.x);
  in.has_solution = cold.converged();
  if (in.has_solution) in.find_pivots();
  return {cold.converged(), cold.residual, cold.iterations};
}

std::vector<double> Prepared::gradient(std::size_t output) {
  // The solution has left its equations and their pivots here.
  return network::Adjoint(*internals_->work, internals_->solved.x).gradient(internals_->outputs[output]);
}

void Prepared::solve_several(std::span<const std::size_t> inputs, std::span<const double> values,
                             std::span<const std::size_t> outputs, std::span<double> results,
                             std::span<char> converged) {
  interruption_point();
  Internals& in = *internals_;
  network::LaneFlags together{};
  if (in.batch) {
    in.batch->set_parameters(in.solved.assembly.system.parameters());
    *in.outside_of_several = losses::SeveralSurroundings(in.network->outside);
    for (std::size_t lane = 0; lane < at_once; ++lane) {
      // Places without a point repeat the last one.
      const std::size_t point = std::min(lane, converged.size() - 1);
      in.place(lane, inputs, values.data() + point * inputs.size());
    }
    together = in.batch->solve(in.options);
  }
  for (std::size_t point = 0; point < converged.size(); ++point) {
    for (std::size_t i = 0; i < inputs.size(); ++i) set(inputs[i], values[point * inputs.size() + i]);
    if (together[point]) {
      in.batch->get_state(point, in.solved.x);
      converged[point] = 1;
    } else {
      return_to_mark();
      converged[point] = solve().converged ? 1 : 0;
      if (in.batch) in.batch->set_state(point, converged[point] != 0 ? in.solved.x : in.marked);
    }
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      results[point * outputs.size() + i] = converged[point] != 0 ? value(outputs[i]) : std::nan("");
    }
  }
}

bool Prepared::is_same_as(Prepared& other) {
  Internals& one = *internals_;
  Internals& two = *other.internals_;
  const network::System& system = one.solved.assembly.system;
  const network::System& others = two.solved.assembly.system;
  if (system.unknowns().size() != others.unknowns().size() ||
      system.equations().size() != others.equations().size() || !same_numbers(system, others) ||
      !same_air(one.network->outside, two.network->outside))
    return false;
  std::vector<double> turned = two.solved.x;
  for (const int flow : two.solved.assembly.places.flow) turned[static_cast<std::size_t>(flow)] *= -1.0;
  for (const std::vector<double>& x : {two.start, two.solved.x, turned}) {
    if (!same_residuals(system, others, x)) return false;
    for (std::size_t i = 0; i < one.outputs.size(); ++i) {
      if (!same(one.work->value(one.outputs[i], x), two.work->value(two.outputs[i], x), 0.0)) return false;
    }
  }
  return true;
}

bool Prepared::may_have_several() const { return network::may_have_several(*internals_->network); }

void Prepared::mark() {
  internals_->marked = internals_->solved.x;
  internals_->marked_solution = internals_->has_solution;
  internals_->work->keep_pivots();
  internals_->lay_batch_out();
}

void Prepared::go_back() {
  return_to_mark();
  internals_->lay_batch_out();
}

void Prepared::return_to_mark() {
  std::copy(internals_->marked.begin(), internals_->marked.end(), internals_->solved.x.begin());
  internals_->has_solution = internals_->marked_solution;
  internals_->work->restore_pivots();
}

}  // namespace corefeed::cooling
