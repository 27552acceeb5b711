// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/reduced_elimination.hpp"

#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>

#include "corefeed/network/multigrid.hpp"

namespace corefeed::network {
namespace {

using Vector = Eigen::VectorXd;
using Sparse = Eigen::SparseMatrix<double>;

/// Relative size at which the corrections have done their work, what rounding may leave of it, and how many
/// are tried.
constexpr double corrected = 1e-13;
constexpr double rounded_off = 1e-9;
constexpr int most_corrections = 40;
/// From so many nodes on multigrid is tried before a factorization: on a plane it is then as fast, in space
/// the factors no longer fit.
constexpr Eigen::Index first_multigrid = 8000;
/// So many steps of multigrid are always allowed. Where coefficients far apart take more, it may go on for as
/// long as a factorization would take: a step costs as much as this many multiplications of one for each
/// number of the matrix (measured).
constexpr int few_multigrid_steps = 60;
constexpr double multiplications_a_step = 8.0;

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// A matrix of these places, in which numbers can be put by entry.
struct Placed {
  Sparse matrix;
  std::vector<std::size_t> place;  ///< by entry; several entries may share one

  Placed() = default;
  Placed(int size, const std::vector<Entry>& entries) : matrix(size, size) {
    std::vector<Eigen::Triplet<double>> ones;
    ones.reserve(entries.size());
    for (const Entry& entry : entries) ones.emplace_back(entry.row, entry.column, 1.0);
    matrix.setFromTriplets(ones.begin(), ones.end());
    place.reserve(entries.size());
    for (const Entry& entry : entries) {
      const int* inner = matrix.innerIndexPtr();
      const int* begin = inner + matrix.outerIndexPtr()[entry.column];
      const int* end = inner + matrix.outerIndexPtr()[entry.column + 1];
      place.push_back(static_cast<std::size_t>(std::lower_bound(begin, end, entry.row) - inner));
    }
  }
  void clear() { std::fill(matrix.valuePtr(), matrix.valuePtr() + matrix.nonZeros(), 0.0); }
  double& number(std::size_t entry) { return matrix.valuePtr()[place[entry]]; }
};

/// Factors whose cost is known before they are made.
class Factors : public Eigen::SimplicialLDLT<Sparse> {
 public:
  /// Multiplications, once the pattern is analyzed.
  double cost() const {
    double sum = 0.0;
    for (Eigen::Index column = 0; column < m_matrix.outerSize(); ++column) {
      const double numbers = m_matrix.outerIndexPtr()[column + 1] - m_matrix.outerIndexPtr()[column];
      sum += numbers * numbers;
    }
    return sum;
  }
};

}  // namespace

struct ReducedElimination::Internals {
  /// A row and the column it is solved for before all others.
  struct Pair {
    int row, column;
    std::size_t pivot;
  };
  /// A number beside a pair's pivot: `index` is the kept row (below) or kept column (right).
  struct Beside {
    std::size_t entry;
    int index;
  };

  int size;
  std::vector<Entry> pattern;
  std::vector<Pair> pairs;
  std::vector<Beside> below, right;
  std::vector<std::size_t> below_end, right_end;  ///< by pair
  std::vector<int> kept_row, kept_column;         ///< by index: place among the kept ones, or -1
  std::vector<int> rows, columns;                 ///< the kept ones
  std::vector<std::size_t> direct;                ///< entries between kept rows and columns
  Placed nodes;  ///< one equation a node: entries of `direct`, then for each pair below times right
  std::vector<bool> given;  ///< by kept row: holds its diagonal alone (a fixed pressure)
  std::vector<double> values, pivots;
  Sparse symmetric;
  Factors factors;
  bool analyzed = false;
  Multigrid multigrid;
  bool by_multigrid = false;     ///< whether the next solution is by it
  bool multigrid_serves = true;  ///< until it takes too many steps
  int multigrid_steps = few_multigrid_steps;
  double accuracy = 0.0;  ///< of the next solutions, of the whole right-hand side
  bool nodes_factored = false;
  // The whole matrix, where the nodes' equations do not serve.
  Placed whole;
  Eigen::SparseLU<Sparse> whole_factors;
  bool whole_analyzed = false;
  bool whole_factored = false;

  Internals(std::size_t count, std::span<const Entry> places)
      : size(static_cast<int>(count)), pattern(places.begin(), places.end()) {
    choose_pairs();
    lay_out();
  }

  void choose_pairs();
  void lay_out();
  bool factor_nodes();
  void analyze();
  bool factor_symmetric();
  int steps_for_a_factorization();
  bool try_multigrid(const Vector& b, double share, Vector& x);
  bool take_multigrid();
  void symmetrize();
  bool factor_whole();
  bool solve_symmetric(const Vector& b, double share, Vector& x);
  bool precondition(const Vector& b, double share, bool transposed, Vector& x);
  bool solve_nodes(const Vector& b, double allowed, Vector& x, bool transposed);
  void solve(std::span<double> b, bool transposed);
};

/// In the order of the rows, each takes its first column that no pair has touched: the law of an element
/// takes the element's flow.
void ReducedElimination::Internals::choose_pairs() {
  std::vector<std::vector<std::size_t>> row_entries(at(size)), column_entries(at(size));
  for (std::size_t e = 0; e < pattern.size(); ++e) {
    row_entries[at(pattern[e].row)].push_back(e);
    column_entries[at(pattern[e].column)].push_back(e);
  }
  std::vector<bool> row_paired(at(size)), column_paired(at(size));
  const auto touches_pair = [&](int row) {
    return std::any_of(row_entries[at(row)].begin(), row_entries[at(row)].end(),
                       [&](std::size_t e) { return column_paired[at(pattern[e].column)]; });
  };
  const auto column_touched = [&](int column) {
    return std::any_of(column_entries[at(column)].begin(), column_entries[at(column)].end(),
                       [&](std::size_t e) { return row_paired[at(pattern[e].row)]; });
  };
  for (int row = 0; row < size; ++row) {
    // A row of one number alone (a given value) stays as it is.
    if (row_entries[at(row)].size() < 2 || touches_pair(row)) continue;
    const std::size_t first = row_entries[at(row)].front();
    if (column_touched(pattern[first].column)) continue;
    row_paired[at(row)] = true;
    column_paired[at(pattern[first].column)] = true;
    pairs.push_back({row, pattern[first].column, first});
  }
  kept_row.assign(at(size), -1);
  kept_column.assign(at(size), -1);
  for (int i = 0; i < size; ++i) {
    if (!row_paired[at(i)]) kept_row[at(i)] = static_cast<int>(rows.size());
    if (!row_paired[at(i)]) rows.push_back(i);
    if (!column_paired[at(i)]) kept_column[at(i)] = static_cast<int>(columns.size());
    if (!column_paired[at(i)]) columns.push_back(i);
  }
  for (const Pair& pair : pairs) {
    for (const std::size_t e : column_entries[at(pair.column)]) {
      if (e != pair.pivot) below.push_back({e, kept_row[at(pattern[e].row)]});
    }
    for (const std::size_t e : row_entries[at(pair.row)]) {
      if (e != pair.pivot) right.push_back({e, kept_column[at(pattern[e].column)]});
    }
    below_end.push_back(below.size());
    right_end.push_back(right.size());
  }
}

void ReducedElimination::Internals::lay_out() {
  std::vector<Entry> entries;
  for (std::size_t e = 0; e < pattern.size(); ++e) {
    const Entry kept{kept_row[at(pattern[e].row)], kept_column[at(pattern[e].column)]};
    if (kept.row < 0 || kept.column < 0) continue;
    direct.push_back(e);
    entries.push_back(kept);
  }
  std::size_t b = 0;
  std::size_t first = 0;
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    for (; b < below_end[p]; ++b) {
      for (std::size_t r = first; r < right_end[p]; ++r) entries.push_back({below[b].index, right[r].index});
    }
    first = right_end[p];
  }
  const int count = static_cast<int>(rows.size());
  std::vector<int> numbers(at(count), 0);
  std::vector<bool> diagonal(at(count), false);
  for (const Entry& entry : entries) {
    ++numbers[at(entry.row)];
    if (entry.row == entry.column) diagonal[at(entry.row)] = true;
  }
  for (std::size_t k = 0; k < rows.size(); ++k) given.push_back(numbers[k] == 1 && diagonal[k]);
  nodes = Placed(count, entries);
}

bool ReducedElimination::Internals::factor_nodes() {
  pivots.resize(pairs.size());
  nodes.clear();
  std::size_t entry = 0;
  for (const std::size_t e : direct) nodes.number(entry++) += values[e];
  std::size_t b = 0;
  std::size_t first = 0;
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    pivots[p] = 1.0 / values[pairs[p].pivot];
    if (!std::isfinite(pivots[p])) return false;
    for (; b < below_end[p]; ++b) {
      const double share = values[below[b].entry] * pivots[p];
      for (std::size_t r = first; r < right_end[p]; ++r)
        nodes.number(entry++) -= share * values[right[r].entry];
    }
    first = right_end[p];
  }
  symmetrize();
  by_multigrid = multigrid_serves && symmetric.rows() >= first_multigrid && take_multigrid();
  return by_multigrid || factor_symmetric();
}

/// The symmetric part goes to multigrid.
bool ReducedElimination::Internals::take_multigrid() {
  const auto rows_of = static_cast<std::size_t>(symmetric.rows());
  const auto numbers = static_cast<std::size_t>(symmetric.nonZeros());
  multigrid_serves = multigrid.take({std::span(symmetric.outerIndexPtr(), rows_of + 1),
                                     std::span(symmetric.innerIndexPtr(), numbers),
                                     std::span(symmetric.valuePtr(), numbers)});
  return multigrid_serves;
}

void ReducedElimination::Internals::analyze() {
  if (!analyzed) factors.analyzePattern(symmetric);
  analyzed = true;
}

bool ReducedElimination::Internals::factor_symmetric() {
  by_multigrid = false;
  analyze();
  factors.factorize(symmetric);
  return factors.info() == Eigen::Success && factors.vectorD().allFinite();
}

/// Half of the matrix and its transpose, with the sign that makes it positive where losses rise with their
/// flow; given values are no part of it.
void ReducedElimination::Internals::symmetrize() {
  symmetric = -0.5 * (Sparse(nodes.matrix.transpose()) + nodes.matrix);
  for (int column = 0; column < symmetric.outerSize(); ++column) {
    for (Sparse::InnerIterator it(symmetric, column); it; ++it) {
      const bool outside = given[at(static_cast<int>(it.row()))] || given[at(column)];
      if (outside) it.valueRef() = it.row() == column ? 1.0 : 0.0;
    }
  }
}

bool ReducedElimination::Internals::factor_whole() {
  if (!whole_analyzed) {
    whole = Placed(size, pattern);
    whole_factors.analyzePattern(whole.matrix);
    whole_analyzed = true;
  }
  for (std::size_t e = 0; e < values.size(); ++e) whole.number(e) = values[e];
  whole_factors.factorize(whole.matrix);
  whole_factored = whole_factors.info() == Eigen::Success;
  return whole_factored;
}

/// Steps of multigrid that cost as much as a factorization.
int ReducedElimination::Internals::steps_for_a_factorization() {
  constexpr double many = 2000.0;
  analyze();
  const double numbers = static_cast<double>(symmetric.nonZeros());
  return static_cast<int>(std::min(factors.cost() / (multiplications_a_step * numbers), many));
}

bool ReducedElimination::Internals::try_multigrid(const Vector& b, double share, Vector& x) {
  x.resize(b.size());
  const auto count = static_cast<std::size_t>(b.size());
  const auto run = [&] {
    return multigrid.solve(std::span(b.data(), count), std::span(x.data(), count), share, multigrid_steps) >=
           0;
  };
  if (run()) return true;
  // What a factorization costs is looked at once few steps did not do.
  if (multigrid_steps > few_multigrid_steps) return false;
  multigrid_steps = std::max(steps_for_a_factorization(), few_multigrid_steps);
  return multigrid_steps > few_multigrid_steps && run();
}

/// By multigrid to this share of b, which gives way to a factorization where it takes too long; else exactly.
bool ReducedElimination::Internals::solve_symmetric(const Vector& b, double share, Vector& x) {
  if (by_multigrid) {
    if (try_multigrid(b, share, x)) return true;
    multigrid_serves = false;
    if (!factor_symmetric()) return false;
  }
  x = factors.solve(b);
  return true;
}

/// What the symmetric part makes of b; given values are exact.
bool ReducedElimination::Internals::precondition(const Vector& b, double share, bool transposed, Vector& x) {
  Vector inner = b;
  Vector known = Vector::Zero(b.size());
  for (Eigen::Index k = 0; k < b.size(); ++k) {
    if (!given[static_cast<std::size_t>(k)]) continue;
    if (!transposed) known[k] = b[k] / nodes.matrix.coeff(k, k);
    inner[k] = 0.0;
  }
  if (!transposed) inner -= nodes.matrix * known;
  for (Eigen::Index k = 0; k < b.size(); ++k) {
    if (given[static_cast<std::size_t>(k)]) inner[k] = 0.0;
  }
  if (!solve_symmetric(inner, share, x)) return false;
  x = -x;
  if (transposed) {
    const Vector carried = nodes.matrix.transpose() * x;
    for (Eigen::Index k = 0; k < b.size(); ++k) {
      if (given[static_cast<std::size_t>(k)]) known[k] = (b[k] - carried[k]) / nodes.matrix.coeff(k, k);
    }
  }
  x += known;
  return true;
}

/// Until the equations are left over by as much as rounding or `allowed` lets them.
bool ReducedElimination::Internals::solve_nodes(const Vector& b, double allowed, Vector& x, bool transposed) {
  const double size_of_b = b.norm();
  if (size_of_b == 0.0) {
    x = b;
    return true;
  }
  const double target = std::max(corrected * size_of_b, allowed);
  if (!precondition(b, 0.5 * target / size_of_b, transposed, x)) return false;
  double last = HUGE_VAL;
  for (int i = 0; i < most_corrections; ++i) {
    const Vector rest = transposed ? Vector(b - nodes.matrix.transpose() * x) : Vector(b - nodes.matrix * x);
    const double left = rest.norm();
    if (left <= target) return true;
    // Rounding ends the progress of what is as good as solved.
    if (!(left < 0.5 * last)) return left <= rounded_off * size_of_b;
    last = left;
    Vector correction;
    if (!precondition(rest, 0.5 * target / left, transposed, correction)) return false;
    x += correction;
  }
  return false;
}

/// The pairs' part of b goes to the kept equations; their answer goes back.
void ReducedElimination::Internals::solve(std::span<double> b, bool transposed) {
  const std::vector<int>& from = transposed ? columns : rows;
  const std::vector<int>& to = transposed ? rows : columns;
  const std::vector<Beside>& before = transposed ? right : below;
  const std::vector<std::size_t>& before_end = transposed ? right_end : below_end;
  const std::vector<Beside>& behind = transposed ? below : right;
  const std::vector<std::size_t>& behind_end = transposed ? below_end : right_end;
  // The pairs' equations are then fulfilled: what may be left over of all is left over in the nodes'.
  const double allowed = accuracy * Eigen::Map<const Vector>(b.data(), size).norm();
  Vector kept(static_cast<Eigen::Index>(from.size()));
  for (std::size_t k = 0; k < from.size(); ++k) kept[static_cast<Eigen::Index>(k)] = b[at(from[k])];
  std::size_t i = 0;
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    const double own = b[at(transposed ? pairs[p].column : pairs[p].row)] * pivots[p];
    for (; i < before_end[p]; ++i) kept[before[i].index] -= values[before[i].entry] * own;
  }
  Vector x;
  if (!nodes_factored || !solve_nodes(kept, allowed, x, transposed)) {
    Eigen::Map<Vector> all(b.data(), size);
    if (whole_factored || factor_whole()) {
      const Vector right_side = all;
      all = transposed ? Vector(whole_factors.transpose().solve(right_side))
                       : Vector(whole_factors.solve(right_side));
    } else {
      all.setConstant(std::nan(""));
    }
    return;
  }
  i = 0;
  std::vector<double> own(pairs.size());
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    double sum = b[at(transposed ? pairs[p].column : pairs[p].row)];
    for (; i < behind_end[p]; ++i) sum -= values[behind[i].entry] * x[behind[i].index];
    own[p] = sum * pivots[p];
  }
  for (std::size_t p = 0; p < pairs.size(); ++p) b[at(transposed ? pairs[p].row : pairs[p].column)] = own[p];
  for (std::size_t k = 0; k < to.size(); ++k) b[at(to[k])] = x[static_cast<Eigen::Index>(k)];
}

ReducedElimination::ReducedElimination(std::size_t size, std::span<const Entry> pattern)
    : internals_(std::make_unique<Internals>(size, pattern)) {}
ReducedElimination::~ReducedElimination() = default;
ReducedElimination::ReducedElimination(ReducedElimination&&) noexcept = default;
ReducedElimination& ReducedElimination::operator=(ReducedElimination&&) noexcept = default;

bool ReducedElimination::factor(std::span<const double> values) {
  internals_->values.assign(values.begin(), values.end());
  internals_->whole_factored = false;
  internals_->nodes_factored = internals_->factor_nodes();
  return internals_->nodes_factored || internals_->factor_whole();
}

void ReducedElimination::set_accuracy(double share) { internals_->accuracy = share; }
void ReducedElimination::solve(std::span<double> b) { internals_->solve(b, false); }
void ReducedElimination::solve_transposed(std::span<double> b) { internals_->solve(b, true); }

}  // namespace corefeed::network
