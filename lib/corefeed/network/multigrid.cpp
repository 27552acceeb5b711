// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/multigrid.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

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
  /// Off the diagonal; each row has what stands left of the diagonal first.
  std::vector<int> begin, middle, column;
  std::vector<double> value;
  std::vector<double> diagonal, inverse_diagonal;
  std::vector<int> aggregate;  ///< by row: row of the next level
  std::vector<double> rest;
  // Of the steps on this level, as seen from the one above.
  std::vector<double> right, answer, first, image, second, second_image;

  int size() const { return static_cast<int>(diagonal.size()); }
  void add_row(int row, std::span<const int> columns, std::span<const double> values);
  void prepare();
  double row_sum(int from, int to, std::span<const double> x) const;
  void multiply(std::span<const double> x, std::span<double> y) const;
  void sweep_forward(std::span<const double> b, std::span<double> x, std::span<double> left) const;
  void sweep_back(std::span<const double> b, std::span<double> x) const;
  std::vector<int> pair_up(int& pairs) const;
  Level gathered(const std::vector<int>& to, int count) const;
};

struct Multigrid::Internals {
  std::vector<Level> levels;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> last;
  std::vector<double> rest, direction, image, preconditioned;

  bool build(const SymmetricRows& matrix);
  bool factor_last();
  void cycle(std::size_t l, std::span<const double> b, std::span<double> x);
  void visit(std::size_t l);
};

/// Rows are added in their order.
void Multigrid::Level::add_row(int row, std::span<const int> columns, std::span<const double> values) {
  if (begin.empty()) begin.push_back(0);
  double own = 0.0;
  for (const bool left : {true, false}) {
    if (!left) middle.push_back(static_cast<int>(column.size()));
    for (std::size_t k = 0; k < columns.size(); ++k) {
      if (columns[k] == row && left) own += values[k];
      if (columns[k] == row || (columns[k] < row) != left) continue;
      column.push_back(columns[k]);
      value.push_back(values[k]);
    }
  }
  begin.push_back(static_cast<int>(column.size()));
  diagonal.push_back(own);
}

void Multigrid::Level::prepare() {
  inverse_diagonal.resize(diagonal.size());
  std::transform(diagonal.begin(), diagonal.end(), inverse_diagonal.begin(),
                 [](double one) { return 1.0 / one; });
  for (auto* room : {&rest, &right, &answer, &first, &image, &second, &second_image})
    room->resize(diagonal.size());
}

double Multigrid::Level::row_sum(int from, int to, std::span<const double> x) const {
  double sum = 0.0;
  for (int k = from; k < to; ++k) sum += value[at(k)] * x[at(column[at(k)])];
  return sum;
}

void Multigrid::Level::multiply(std::span<const double> x, std::span<double> y) const {
  for (std::size_t i = 0; i < diagonal.size(); ++i) {
    y[i] = diagonal[i] * x[i] + row_sum(begin[i], begin[i + 1], x);
  }
}

/// Gauss-Seidel from zero, and what it leaves of b.
void Multigrid::Level::sweep_forward(std::span<const double> b, std::span<double> x,
                                     std::span<double> left) const {
  for (std::size_t i = 0; i < diagonal.size(); ++i) {
    x[i] = (b[i] - row_sum(begin[i], middle[i], x)) * inverse_diagonal[i];
  }
  for (std::size_t i = 0; i < diagonal.size(); ++i) left[i] = -row_sum(middle[i], begin[i + 1], x);
}

/// Gauss-Seidel from x, from the last row to the first.
void Multigrid::Level::sweep_back(std::span<const double> b, std::span<double> x) const {
  for (std::size_t i = diagonal.size(); i-- > 0;) {
    x[i] = (b[i] - row_sum(begin[i], begin[i + 1], x)) * inverse_diagonal[i];
  }
}

/// Each row with the free neighbor that it hangs together with most; where all that it hangs to are taken,
/// with the pair of the nearest: by row the pair's number.
std::vector<int> Multigrid::Level::pair_up(int& pairs) const {
  std::vector<int> pair(at(size()), -1);
  pairs = 0;
  for (int i = 0; i < size(); ++i) {
    if (pair[at(i)] >= 0) continue;
    int partner = -1;
    int nearest = -1;
    double strongest_free = 0.0;
    double strongest = 0.0;
    for (int k = begin[at(i)]; k < begin[at(i) + 1]; ++k) {
      const int j = column[at(k)];
      const double strength = -value[at(k)];
      if (strength > strongest) {
        strongest = strength;
        nearest = j;
      }
      if (pair[at(j)] < 0 && strength > strongest_free) {
        strongest_free = strength;
        partner = j;
      }
    }
    if (partner >= 0 && strongest_free >= 0.25 * strongest) {
      pair[at(i)] = pair[at(partner)] = pairs++;
    } else if (nearest >= 0 && pair[at(nearest)] >= 0) {
      pair[at(i)] = pair[at(nearest)];
    } else {
      pair[at(i)] = pairs++;
    }
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
  std::vector<int> columns, place(at(count), -1);
  std::vector<double> values;
  const auto add_to = [&](int wanted, double number) {
    int& slot = place[at(wanted)];
    if (slot < 0) {
      slot = static_cast<int>(columns.size());
      columns.push_back(wanted);
      values.push_back(0.0);
    }
    values[at(slot)] += number;
  };
  for (int c = 0; c < count; ++c) {
    for (int m = member_begin[at(c)]; m < member_begin[at(c) + 1]; ++m) {
      const std::size_t i = at(members[at(m)]);
      add_to(c, diagonal[i]);
      for (int k = begin[i]; k < begin[i + 1]; ++k) add_to(to[at(column[at(k)])], value[at(k)]);
    }
    level.add_row(c, columns, values);
    for (const int one : columns) place[at(one)] = -1;
    columns.clear();
    values.clear();
  }
  return level;
}

bool Multigrid::Internals::build(const SymmetricRows& matrix) {
  levels.clear();
  levels.emplace_back();
  for (std::size_t i = 0; i + 1 < matrix.begin.size(); ++i) {
    const auto first = at(matrix.begin[i]);
    const auto count = at(matrix.begin[i + 1]) - first;
    levels.back().add_row(static_cast<int>(i), matrix.column.subspan(first, count),
                          matrix.value.subspan(first, count));
  }
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
  }
  for (Level& level : levels) level.prepare();
  return factor_last();
}

bool Multigrid::Internals::factor_last() {
  const Level& level = levels.back();
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(level.column.size() + level.diagonal.size());
  for (int i = 0; i < level.size(); ++i) {
    entries.emplace_back(i, i, level.diagonal[at(i)]);
    for (int k = level.begin[at(i)]; k < level.begin[at(i) + 1]; ++k) {
      entries.emplace_back(i, level.column[at(k)], level.value[at(k)]);
    }
  }
  Eigen::SparseMatrix<double> matrix(level.size(), level.size());
  matrix.setFromTriplets(entries.begin(), entries.end());
  last.compute(matrix);
  return last.info() == Eigen::Success && (last.vectorD().array() > 0.0).all();
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
  level.sweep_forward(b, x, level.rest);
  std::fill(next.right.begin(), next.right.end(), 0.0);
  for (std::size_t i = 0; i < b.size(); ++i) next.right[at(level.aggregate[i])] += level.rest[i];
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
  for (auto* room : {&in.direction, &in.image, &in.preconditioned}) room->assign(count, 0.0);
  std::fill(x.begin(), x.end(), 0.0);
  const double target = share * std::sqrt(product(b, b));
  double before = 0.0;
  double length = 0.0;
  for (int steps = 0; steps <= most_steps; ++steps) {
    if (std::sqrt(product(in.rest, in.rest)) <= target) return steps;
    in.cycle(0, in.rest, in.preconditioned);
    // The preconditioner changes from step to step, hence the form of Polak and Ribiere, in which the
    // residual has changed by -length A d.
    const double now = product(in.preconditioned, in.rest);
    const double turned = before > 0.0 ? -length * product(in.preconditioned, in.image) / before : 0.0;
    for (std::size_t i = 0; i < count; ++i) in.direction[i] = in.preconditioned[i] + turned * in.direction[i];
    in.levels.front().multiply(in.direction, in.image);
    const double curvature = product(in.direction, in.image);
    if (!(curvature > 0.0) || !std::isfinite(now)) return -1;
    length = product(in.direction, in.rest) / curvature;
    add(length, in.direction, x);
    add(-length, in.image, in.rest);
    before = now;
  }
  return -1;
}

}  // namespace corefeed::network
