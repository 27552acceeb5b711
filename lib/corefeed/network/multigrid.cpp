// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/multigrid.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <vector>

namespace corefeed::network {
namespace {

/// So few rows are solved for directly.
constexpr int smallest_level = 200;
/// A level this much smaller than the last at the least, else there is no use in going on.
constexpr double least_coarsening = 0.8;
/// The second inner step of a cycle is left out where the first has done so much.
constexpr double enough_of_level = 0.25;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

double product(std::span<const double> a, std::span<const double> b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

void add(double factor, std::span<const double> a, std::span<double> b) {
  for (std::size_t i = 0; i < a.size(); ++i) b[i] += factor * a[i];
}

}  // namespace

/// One matrix of the hierarchy, what its rows are gathered to, and room to solve with it.
struct Multigrid::Level {
  std::vector<int> own_begin, own_column;
  std::vector<double> own_value;
  SymmetricRows matrix;
  std::vector<double> inverse_diagonal;
  std::vector<int> aggregate;  ///< by row: row of the next level
  std::vector<double> rest, smoothed, carried;
  // Of the steps on this level, as seen from the one above.
  std::vector<double> right, answer, first, image, second, second_image;

  int size() const { return static_cast<int>(matrix.begin.size()) - 1; }
  void prepare();
  void multiply(std::span<const double> x, std::span<double> y) const;
  void sweep_forward(std::span<const double> b, std::span<double> x) const;
  void sweep_back(std::span<const double> b, std::span<double> x) const;
  std::vector<int> pair_up(int& pairs) const;
  Level gathered(const std::vector<int>& to, int count) const;
};

struct Multigrid::Internals {
  std::vector<Level> levels;
  Eigen::LLT<Eigen::MatrixXd> last;
  std::vector<double> rest, direction, image, preconditioned, old_rest;

  bool build(const SymmetricRows& matrix);
  bool factor_last();
  void cycle(std::size_t l, std::span<const double> b, std::span<double> x);
  void visit(std::size_t l);
};

void Multigrid::Level::prepare() {
  const std::size_t count = at(size());
  inverse_diagonal.resize(count);
  for (std::size_t i = 0; i < count; ++i) {
    double diagonal = 0.0;
    for (int k = matrix.begin[i]; k < matrix.begin[i + 1]; ++k) {
      if (at(matrix.column[at(k)]) == i) diagonal += matrix.value[at(k)];
    }
    inverse_diagonal[i] = 1.0 / diagonal;
  }
  for (auto* room : {&rest, &smoothed, &carried, &right, &answer, &first, &image, &second, &second_image}) {
    room->resize(count);
  }
}

void Multigrid::Level::multiply(std::span<const double> x, std::span<double> y) const {
  const int* const columns = matrix.column.data();
  const double* const values = matrix.value.data();
  for (std::size_t i = 0; i < at(size()); ++i) {
    double sum = 0.0;
    for (int k = matrix.begin[i]; k < matrix.begin[i + 1]; ++k) sum += values[k] * x[at(columns[k])];
    y[i] = sum;
  }
}

/// Gauss-Seidel from zero.
void Multigrid::Level::sweep_forward(std::span<const double> b, std::span<double> x) const {
  const int* const columns = matrix.column.data();
  const double* const values = matrix.value.data();
  for (std::size_t i = 0; i < at(size()); ++i) {
    double sum = b[i];
    for (int k = matrix.begin[i]; k < matrix.begin[i + 1]; ++k) {
      if (columns[k] < static_cast<int>(i)) sum -= values[k] * x[at(columns[k])];
    }
    x[i] = sum * inverse_diagonal[i];
  }
}

/// Gauss-Seidel from x, from the last row to the first.
void Multigrid::Level::sweep_back(std::span<const double> b, std::span<double> x) const {
  const int* const columns = matrix.column.data();
  const double* const values = matrix.value.data();
  for (std::size_t i = at(size()); i-- > 0;) {
    double sum = b[i];
    for (int k = matrix.begin[i]; k < matrix.begin[i + 1]; ++k) sum -= values[k] * x[at(columns[k])];
    x[i] += sum * inverse_diagonal[i];
  }
}

/// Each row with the free neighbor that it hangs together with most: by row the pair's number.
std::vector<int> Multigrid::Level::pair_up(int& pairs) const {
  std::vector<int> pair(at(size()), -1);
  pairs = 0;
  for (int i = 0; i < size(); ++i) {
    if (pair[at(i)] >= 0) continue;
    int partner = -1;
    double strongest = 0.0;
    double least = 0.0;
    for (int k = matrix.begin[at(i)]; k < matrix.begin[at(i) + 1]; ++k) {
      const int j = matrix.column[at(k)];
      const double strength = -matrix.value[at(k)];
      if (j == i) continue;
      least = std::max(least, 0.25 * strength);
      if (pair[at(j)] >= 0 || strength <= strongest) continue;
      strongest = strength;
      partner = j;
    }
    pair[at(i)] = pairs;
    if (partner >= 0 && strongest >= least) pair[at(partner)] = pairs;
    ++pairs;
  }
  return pair;
}

/// The matrix of sums over the rows that go to one.
Multigrid::Level Multigrid::Level::gathered(const std::vector<int>& to, int count) const {
  std::vector<int> member_begin(at(count) + 1, 0), members(at(size()));
  for (const int one : to) ++member_begin[at(one) + 1];
  for (std::size_t c = 0; c < at(count); ++c) member_begin[c + 1] += member_begin[c];
  std::vector<int> next(member_begin.begin(), member_begin.end() - 1);
  for (int i = 0; i < size(); ++i) members[at(next[at(to[at(i)])]++)] = i;
  Level level;
  level.own_begin.reserve(at(count) + 1);
  level.own_begin.push_back(0);
  level.own_column.reserve(matrix.column.size() / 2);
  level.own_value.reserve(matrix.column.size() / 2);
  std::vector<int> place(at(count), -1);
  for (int c = 0; c < count; ++c) {
    const int begun = level.own_begin.back();
    for (int m = member_begin[at(c)]; m < member_begin[at(c) + 1]; ++m) {
      const std::size_t i = at(members[at(m)]);
      for (int k = matrix.begin[i]; k < matrix.begin[i + 1]; ++k) {
        const int column = to[at(matrix.column[at(k)])];
        int& slot = place[at(column)];
        if (slot < begun) {
          slot = static_cast<int>(level.own_column.size());
          level.own_column.push_back(column);
          level.own_value.push_back(0.0);
        }
        level.own_value[at(slot)] += matrix.value[at(k)];
      }
    }
    level.own_begin.push_back(static_cast<int>(level.own_column.size()));
  }
  level.matrix = {level.own_begin, level.own_column, level.own_value};
  return level;
}

bool Multigrid::Internals::build(const SymmetricRows& matrix) {
  levels.clear();
  levels.emplace_back();
  levels.back().matrix = matrix;
  while (levels.back().size() > smallest_level) {
    Level& fine = levels.back();
    int pairs = 0;
    int count = 0;
    std::vector<int> pair = fine.pair_up(pairs);
    const Level between = fine.gathered(pair, pairs);
    const std::vector<int> pair_of_pairs = between.pair_up(count);
    if (count > least_coarsening * fine.size()) break;
    for (int& one : pair) one = pair_of_pairs[at(one)];
    Level coarse = between.gathered(pair_of_pairs, count);
    fine.aggregate = std::move(pair);
    levels.push_back(std::move(coarse));
    // The vectors keep their places when they are moved, and so do the views of them.
  }
  for (Level& level : levels) level.prepare();
  return factor_last();
}

bool Multigrid::Internals::factor_last() {
  constexpr int most_rows = 5000;
  const Level& level = levels.back();
  if (level.size() > most_rows) return false;
  Eigen::MatrixXd full = Eigen::MatrixXd::Zero(level.size(), level.size());
  for (int i = 0; i < level.size(); ++i) {
    for (int k = level.matrix.begin[at(i)]; k < level.matrix.begin[at(i) + 1]; ++k) {
      full(i, level.matrix.column[at(k)]) += level.matrix.value[at(k)];
    }
  }
  last.compute(full);
  return last.info() == Eigen::Success;
}

/// About A^-1 b on this level: a sweep, what the next level says of the rest, a sweep back.
void Multigrid::Internals::cycle(std::size_t l, std::span<const double> b, std::span<double> x) {
  Level& level = levels[l];
  if (l + 1 == levels.size()) {
    const Eigen::Map<const Eigen::VectorXd> right(b.data(), level.size());
    Eigen::Map<Eigen::VectorXd>(x.data(), level.size()) = last.solve(right);
    return;
  }
  Level& next = levels[l + 1];
  level.sweep_forward(b, x);
  level.multiply(x, level.rest);
  std::fill(next.right.begin(), next.right.end(), 0.0);
  for (std::size_t i = 0; i < b.size(); ++i) next.right[at(level.aggregate[i])] += b[i] - level.rest[i];
  visit(l + 1);
  for (std::size_t i = 0; i < b.size(); ++i) x[i] += next.answer[at(level.aggregate[i])];
  level.sweep_back(b, x);
}

/// `answer` to `right` by one or two steps of conjugate gradients, each preconditioned by a cycle.
void Multigrid::Internals::visit(std::size_t l) {
  Level& level = levels[l];
  cycle(l, level.right, level.first);
  if (l + 1 == levels.size()) {
    level.answer = level.first;
    return;
  }
  level.multiply(level.first, level.image);
  const double before = product(level.right, level.right);
  const double curvature = product(level.first, level.image);
  const double along = product(level.first, level.right);
  level.answer = level.first;
  if (!(curvature > 0.0)) return;
  const double share = along / curvature;
  add(-share, level.image, level.right);
  if (product(level.right, level.right) <= enough_of_level * enough_of_level * before) {
    for (double& one : level.answer) one *= share;
    return;
  }
  cycle(l, level.right, level.second);
  level.multiply(level.second, level.second_image);
  const double mixed = product(level.second, level.image);
  const double other = product(level.second, level.second_image) - mixed * mixed / curvature;
  const double left = product(level.second, level.right);
  const double second_share = other > 0.0 ? left / other : 0.0;
  const double first_share = share - mixed * second_share / curvature;
  for (std::size_t i = 0; i < level.answer.size(); ++i) {
    level.answer[i] = first_share * level.first[i] + second_share * level.second[i];
  }
}

Multigrid::Multigrid() : internals_(std::make_unique<Internals>()) {}
Multigrid::~Multigrid() = default;
Multigrid::Multigrid(Multigrid&&) noexcept = default;
Multigrid& Multigrid::operator=(Multigrid&&) noexcept = default;

bool Multigrid::take(const SymmetricRows& matrix) { return internals_->build(matrix); }

int Multigrid::solve(std::span<const double> b, std::span<double> x, double share, int most_steps) {
  Internals& in = *internals_;
  const std::size_t count = b.size();
  in.rest.assign(b.begin(), b.end());
  for (auto* room : {&in.direction, &in.image, &in.preconditioned, &in.old_rest}) room->assign(count, 0.0);
  std::fill(x.begin(), x.end(), 0.0);
  const double target = share * std::sqrt(product(b, b));
  double before = 0.0;
  for (int steps = 0; steps <= most_steps; ++steps) {
    if (std::sqrt(product(in.rest, in.rest)) <= target) return steps;
    in.cycle(0, in.rest, in.preconditioned);
    // The preconditioner changes from step to step, hence the form of Polak and Ribiere.
    const double now = product(in.preconditioned, in.rest);
    const double turned = before > 0.0 ? (now - product(in.preconditioned, in.old_rest)) / before : 0.0;
    for (std::size_t i = 0; i < count; ++i) in.direction[i] = in.preconditioned[i] + turned * in.direction[i];
    in.levels.front().multiply(in.direction, in.image);
    const double curvature = product(in.direction, in.image);
    if (!(curvature > 0.0) || !std::isfinite(now)) return -1;
    const double length = product(in.direction, in.rest) / curvature;
    in.old_rest = in.rest;
    add(length, in.direction, x);
    add(-length, in.image, in.rest);
    before = now;
  }
  return -1;
}

}  // namespace corefeed::network
