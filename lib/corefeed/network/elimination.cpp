// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/elimination.hpp"

#include <Eigen/Sparse>
#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace corefeed::network {
namespace {

/// Up to this size the list of places is short and quickly made; beyond, SparseLU's dense blocks win.
constexpr std::size_t compiled_limit = 4000;
/// A multiplier beyond this says that pivots chosen for other numbers do not serve these.
constexpr double largest_kept_multiplier = 1e6;
constexpr double any_multiplier = std::numeric_limits<double>::infinity();

std::size_t at(int index) { return static_cast<std::size_t>(index); }

}  // namespace

struct Elimination::Large {
  Eigen::SparseMatrix<double> matrix;
  std::vector<std::size_t> place;  ///< by entry of the pattern: where its number stands in the matrix
  Eigen::SparseLU<Eigen::SparseMatrix<double>> factors;

  Large(std::size_t size, const std::vector<Entry>& pattern) : place(pattern.size()) {
    std::vector<Eigen::Triplet<double>> entries;
    for (const Entry& entry : pattern) entries.emplace_back(entry.row, entry.column, 1.0);
    matrix.resize(static_cast<Eigen::Index>(size), static_cast<Eigen::Index>(size));
    matrix.setFromTriplets(entries.begin(), entries.end());
    for (std::size_t e = 0; e < pattern.size(); ++e) {
      const int* begin = matrix.innerIndexPtr() + matrix.outerIndexPtr()[pattern[e].column];
      const int* end = matrix.innerIndexPtr() + matrix.outerIndexPtr()[pattern[e].column + 1];
      place[e] =
          static_cast<std::size_t>(std::lower_bound(begin, end, pattern[e].row) - matrix.innerIndexPtr());
    }
    factors.analyzePattern(matrix);
  }
};

Elimination::Elimination(std::size_t size, std::vector<Entry> pattern)
    : size_(size), pattern_(std::move(pattern)), solved_(size) {}
Elimination::~Elimination() = default;
Elimination::Elimination(Elimination&&) noexcept = default;
Elimination& Elimination::operator=(Elimination&&) noexcept = default;

bool Elimination::factor(std::span<const double> values) {
  if (size_ > compiled_limit) return factor_large(values);
  if (program_ && run(values, largest_kept_multiplier)) return true;
  auto compiled = compile_elimination(size_, pattern_, values);
  if (!compiled) return false;
  if (!first_) first_ = compiled;
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
  if (large_) {
    Eigen::Map<Eigen::VectorXd> vector(b.data(), static_cast<Eigen::Index>(size_));
    vector = large_->factors.solve(Eigen::VectorXd(vector));
    return;
  }
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
  if (large_) {
    Eigen::Map<Eigen::VectorXd> vector(b.data(), static_cast<Eigen::Index>(size_));
    vector = large_->factors.transpose().solve(Eigen::VectorXd(vector));
    return;
  }
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

bool Elimination::factor_large(std::span<const double> values) {
  if (!large_) large_ = std::make_unique<Large>(size_, pattern_);
  for (std::size_t e = 0; e < values.size(); ++e) large_->matrix.valuePtr()[large_->place[e]] = values[e];
  large_->factors.factorize(large_->matrix);
  return large_->factors.info() == Eigen::Success;
}

}  // namespace corefeed::network
