// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/elimination.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace corefeed::network {
namespace {

/// Up to this size the list of places is short and quickly made.
constexpr std::size_t compiled_limit = 4000;
/// A multiplier beyond this says that pivots chosen for other numbers do not serve these.
constexpr double largest_kept_multiplier = 1e9;
constexpr double any_multiplier = std::numeric_limits<double>::infinity();

std::size_t at(int index) { return static_cast<std::size_t>(index); }

}  // namespace

Elimination::Elimination(std::size_t size, std::vector<Entry> pattern)
    : size_(size), pattern_(std::move(pattern)), solved_(size) {}

bool Elimination::factor(std::span<const double> values) {
  if (size_ > compiled_limit) {
    if (!large_) large_.emplace(size_, pattern_);
    return large_->factor(values);
  }
  if (program_ && run(values, largest_kept_multiplier)) return true;
  auto compiled = compile_elimination(size_, pattern_, values);
  if (!compiled) return false;
  program_ = std::move(compiled);
  return run(values, any_multiplier);
}

bool Elimination::run(std::span<const double> values, double largest_multiplier) {
  const EliminationProgram& program = *program_;
  number_.resize(program.slots);
  std::copy(values.begin(), values.end(), number_.begin());
  std::fill(number_.begin() + static_cast<std::ptrdiff_t>(values.size()), number_.end(), 0.0);
  double* number = number_.data();
  const int* target = program.target.data();
  std::size_t l = 0;
  std::size_t first = 0;
  for (std::size_t k = 0; k < size_; ++k) {
    double& pivot = number[program.pivot_row[k].slot];
    pivot = 1.0 / pivot;
    if (!std::isfinite(pivot)) return false;
    const std::size_t end = at(program.upper_end[k]);
    for (; l < at(program.lower_end[k]); ++l) {
      double& multiplier = number[program.lower[l].slot];
      multiplier *= pivot;
      if (!(std::abs(multiplier) <= largest_multiplier)) return false;
      for (std::size_t u = first; u < end; ++u)
        number[*target++] -= multiplier * number[program.upper[u].slot];
    }
    first = end;
  }
  return true;
}

void Elimination::solve(std::span<double> b) {
  if (large_) return large_->solve(b);
  const EliminationProgram& program = *program_;
  std::size_t l = 0;
  for (std::size_t k = 0; k < size_; ++k) {
    const double center = b[at(program.pivot_row[k].index)];
    for (; l < at(program.lower_end[k]); ++l) {
      b[at(program.lower[l].index)] -= number_[at(program.lower[l].slot)] * center;
    }
  }
  std::size_t u = program.upper.size();
  for (std::size_t k = size_; k-- > 0;) {
    double sum = b[at(program.pivot_row[k].index)];
    for (const std::size_t begin = k == 0 ? 0 : at(program.upper_end[k - 1]); u > begin; --u) {
      sum -= number_[at(program.upper[u - 1].slot)] * solved_[at(program.upper[u - 1].index)];
    }
    solved_[at(program.pivot_column[k])] = sum * number_[at(program.pivot_row[k].slot)];
  }
  std::copy(solved_.begin(), solved_.end(), b.begin());
}

void Elimination::solve_transposed(std::span<double> b) {
  if (large_) return large_->solve_transposed(b);
  const EliminationProgram& program = *program_;
  std::size_t u = 0;
  for (std::size_t k = 0; k < size_; ++k) {
    const double center = b[at(program.pivot_column[k])] * number_[at(program.pivot_row[k].slot)];
    for (; u < at(program.upper_end[k]); ++u) {
      b[at(program.upper[u].index)] -= number_[at(program.upper[u].slot)] * center;
    }
    solved_[at(program.pivot_row[k].index)] = center;
  }
  std::size_t l = program.lower.size();
  for (std::size_t k = size_; k-- > 0;) {
    double& sum = solved_[at(program.pivot_row[k].index)];
    for (const std::size_t begin = k == 0 ? 0 : at(program.lower_end[k - 1]); l > begin; --l) {
      sum -= number_[at(program.lower[l - 1].slot)] * solved_[at(program.lower[l - 1].index)];
    }
  }
  std::copy(solved_.begin(), solved_.end(), b.begin());
}

}  // namespace corefeed::network
