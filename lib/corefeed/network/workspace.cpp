// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/workspace.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace corefeed::network {
namespace {

constexpr std::size_t width = dual_width;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

double& lane(Dual& dual, std::size_t which) { return dual.derivatives()[static_cast<Eigen::Index>(which)]; }

}  // namespace

Workspace::Workspace(const System& system, Moving moving) : system_(&system), elimination_(0, {}) {
  const auto moves = [moving](Block block) { return block == Block::flow ? moving.flow : moving.heat; };
  for (std::size_t i = 0; i < system.equations().size(); ++i) {
    if (moves(system.equations()[i].block)) rows_.push_back(static_cast<int>(i));
  }
  for (std::size_t j = 0; j < system.unknowns().size(); ++j) {
    const bool active = moves(system.unknowns()[j].block);
    column_of_.push_back(active ? static_cast<int>(columns_.size()) : -1);
    if (active) columns_.push_back(static_cast<int>(j));
  }
  lay_out();
  jacobian_.resize(pattern_.size());
  elimination_ = Elimination(rows_.size(), pattern_);
}

/// Finds the places of the Jacobian. An equation may name an unknown twice; both add to one number.
void Workspace::lay_out() {
  for (std::size_t row = 0; row < rows_.size(); ++row) {
    const Function& residual = system_->equations()[at(rows_[row])].residual;
    make_room(residual);
    const std::size_t first = active_.size();
    for (std::size_t position = 0; position < residual.unknowns.size(); ++position) {
      const int column = column_of_[at(residual.unknowns[position])];
      if (column < 0) continue;
      const auto same = [column](const Active& one) { return one.column == column; };
      const auto before =
          std::find_if(active_.begin() + static_cast<std::ptrdiff_t>(first), active_.end(), same);
      const int slot = before == active_.end() ? static_cast<int>(pattern_.size()) : before->slot;
      if (before == active_.end()) pattern_.push_back({static_cast<int>(row), column});
      active_.push_back({static_cast<int>(position), column, slot});
    }
    active_end_.push_back(active_.size());
  }
}

std::size_t Workspace::slot(std::size_t row, std::size_t column) const {
  for (std::size_t i = row == 0 ? 0 : active_end_[row - 1]; i < active_end_[row]; ++i) {
    if (at(active_[i].column) == column) return at(active_[i].slot);
  }
  return npos;
}

void Workspace::make_room(const Function& function) {
  const std::size_t unknowns = std::max(x_.size(), function.unknowns.size());
  const std::size_t parameters = std::max(p_.size(), function.parameters.size());
  x_.resize(unknowns);
  dual_x_.resize(unknowns, Dual(0.0));
  p_.resize(parameters);
  dual_p_.resize(parameters, Dual(0.0));
}

void Workspace::gather(const Function& function, std::span<const double> x) {
  for (std::size_t i = 0; i < function.unknowns.size(); ++i) x_[i] = x[at(function.unknowns[i])];
  const std::vector<double>& numbers = system_->parameters();
  for (std::size_t i = 0; i < function.parameters.size(); ++i) p_[i] = numbers[at(function.parameters[i])];
}

void Workspace::gather_duals(const Function& function, std::span<const double> x) {
  for (std::size_t i = 0; i < function.unknowns.size(); ++i) dual_x_[i].value() = x[at(function.unknowns[i])];
  const std::vector<double>& numbers = system_->parameters();
  for (std::size_t i = 0; i < function.parameters.size(); ++i) {
    dual_p_[i].value() = numbers[at(function.parameters[i])];
  }
}

void Workspace::evaluate(std::span<const double> x, std::span<double> rest) {
  for (std::size_t row = 0; row < rows_.size(); ++row) {
    const Equation& equation = system_->equations()[at(rows_[row])];
    gather(equation.residual, x);
    rest[row] = equation.residual.formula->evaluate(x_.data(), p_.data()) / equation.scale;
  }
}

void Workspace::linearize(std::span<const double> x, std::span<double> rest) {
  std::fill(jacobian_.begin(), jacobian_.end(), 0.0);
  std::size_t first = 0;
  for (std::size_t row = 0; row < rows_.size(); ++row) {
    const Equation& equation = system_->equations()[at(rows_[row])];
    gather_duals(equation.residual, x);
    const std::size_t last = active_end_[row];
    do {
      const std::size_t end = std::min(first + width, last);
      for (std::size_t i = first; i < end; ++i) lane(dual_x_[at(active_[i].position)], i - first) = 1.0;
      Dual result = equation.residual.formula->evaluate(dual_x_.data(), dual_p_.data());
      rest[row] = result.value() / equation.scale;
      for (std::size_t i = first; i < end; ++i) {
        const Active& one = active_[i];
        lane(dual_x_[at(one.position)], i - first) = 0.0;
        const double scale = system_->unknowns()[at(columns_[at(one.column)])].scale;
        jacobian_[at(one.slot)] += lane(result, i - first) * scale / equation.scale;
      }
      first = end;
    } while (first < last);
  }
}

double Workspace::value(const Function& function, std::span<const double> x) {
  make_room(function);
  gather(function, x);
  return function.formula->evaluate(x_.data(), p_.data());
}

void Workspace::add_slopes(const Function& function, std::span<const double> x, double weight,
                           std::span<double> by_unknown) {
  make_room(function);
  gather_duals(function, x);
  for (std::size_t first = 0; first < function.unknowns.size(); first += width) {
    const std::size_t end = std::min(first + width, function.unknowns.size());
    for (std::size_t i = first; i < end; ++i) lane(dual_x_[i], i - first) = 1.0;
    Dual result = function.formula->evaluate(dual_x_.data(), dual_p_.data());
    for (std::size_t i = first; i < end; ++i) {
      lane(dual_x_[i], i - first) = 0.0;
      const int column = column_of_[at(function.unknowns[i])];
      if (column < 0) continue;
      by_unknown[at(column)] +=
          weight * lane(result, i - first) * system_->unknowns()[at(function.unknowns[i])].scale;
    }
  }
}

void Workspace::add_parameter_slopes(const Function& function, std::span<const double> x, double weight,
                                     std::span<double> by_parameter) {
  make_room(function);
  gather_duals(function, x);
  const std::vector<int>& parameters = function.parameters;
  for (std::size_t next = 0; next < parameters.size();) {
    // The next few that vary share a pass.
    std::array<std::size_t, width> seeded;
    std::size_t count = 0;
    for (; next < parameters.size() && count < width; ++next) {
      if (!system_->varies(parameters[next])) continue;
      lane(dual_p_[next], count) = 1.0;
      seeded[count++] = next;
    }
    if (count == 0) return;
    Dual result = function.formula->evaluate(dual_x_.data(), dual_p_.data());
    for (std::size_t i = 0; i < count; ++i) {
      lane(dual_p_[seeded[i]], i) = 0.0;
      by_parameter[at(parameters[seeded[i]])] += weight * lane(result, i);
    }
  }
}

}  // namespace corefeed::network
