// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/multigrid.hpp"

#include <gtest/gtest.h>

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <cmath>

#include "tests/network/random_networks.hpp"

namespace corefeed::network {
namespace {

using Sparse = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;

/// Conductances over some decades on a square or cubic lattice with one side held.
Sparse lattice(int dimensions, int side, double decades) {
  testing::Random random(7);
  std::vector<Eigen::Triplet<double>> entries;
  const int depth = dimensions == 3 ? side : 1;
  const auto join = [&](int a, int b) {
    const double weight = random.log_between(std::pow(10.0, -0.5 * decades), std::pow(10.0, 0.5 * decades));
    entries.emplace_back(a, a, weight);
    if (b < 0) return;
    entries.emplace_back(b, b, weight);
    entries.emplace_back(a, b, -weight);
    entries.emplace_back(b, a, -weight);
  };
  for (int z = 0; z < depth; ++z) {
    for (int y = 0; y < side; ++y) {
      for (int x = 0; x < side; ++x) {
        const int own = (z * side + y) * side + x;
        join(own, x > 0 ? own - 1 : -1);
        if (y > 0) join(own, own - side);
        if (z > 0) join(own, own - side * side);
      }
    }
  }
  Sparse matrix(side * side * depth, side * side * depth);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

SymmetricRows rows_of(const Sparse& matrix) {
  const auto rows = static_cast<std::size_t>(matrix.rows());
  const auto numbers = static_cast<std::size_t>(matrix.nonZeros());
  return {std::span(matrix.outerIndexPtr(), rows + 1), std::span(matrix.innerIndexPtr(), numbers),
          std::span(matrix.valuePtr(), numbers)};
}

int steps_for(const Sparse& matrix, Vector& x, double share, int most_steps) {
  Multigrid multigrid;
  EXPECT_TRUE(multigrid.take(rows_of(matrix)));
  const Vector b = Vector::LinSpaced(matrix.rows(), -1.0, 2.0);
  x.resize(b.size());
  const auto size = static_cast<std::size_t>(b.size());
  return multigrid.solve(std::span(b.data(), size), std::span(x.data(), size), share, most_steps);
}

TEST(Multigrid, SolvesAsAFactorizationDoes) {
  for (const int dimensions : {2, 3}) {
    const Sparse matrix = lattice(dimensions, dimensions == 2 ? 60 : 14, 2.0);
    Vector x;
    ASSERT_GT(steps_for(matrix, x, 1e-12, 100), 0);
    const Vector b = Vector::LinSpaced(matrix.rows(), -1.0, 2.0);
    const Vector exact = Eigen::SimplicialLDLT<Sparse>(matrix).solve(b);
    // 1e-12 of the residual, times a condition of some 1e4.
    EXPECT_LT((x - exact).norm(), 1e-8 * exact.norm()) << dimensions;
  }
}

/// What multigrid is for: sixteen times the rows do not take half as many steps more.
TEST(Multigrid, StepsHardlyGrowWithTheSize) {
  Vector x;
  const int small = steps_for(lattice(2, 50, 1.0), x, 1e-8, 200);
  const int large = steps_for(lattice(2, 200, 1.0), x, 1e-8, 200);
  ASSERT_GT(small, 0);
  ASSERT_GT(large, 0);
  EXPECT_LE(2 * large, 3 * small) << small << " and " << large;
}

TEST(Multigrid, SaysWhenItTakesTooLong) {
  Vector x;
  EXPECT_EQ(steps_for(lattice(2, 100, 8.0), x, 1e-10, 20), -1);
}

TEST(Multigrid, RefusesWhatIsNotPositive) {
  Sparse matrix = lattice(2, 10, 1.0);
  matrix *= -1.0;
  Multigrid multigrid;
  EXPECT_FALSE(multigrid.take(rows_of(matrix)));
}

TEST(Multigrid, NothingGivesNothing) {
  const Sparse matrix = lattice(2, 40, 1.0);
  Multigrid multigrid;
  ASSERT_TRUE(multigrid.take(rows_of(matrix)));
  const std::vector<double> b(1600, 0.0);
  std::vector<double> x(1600, 1.0);
  EXPECT_EQ(multigrid.solve(b, x, 1e-10, 10), 0);
  EXPECT_EQ(x, b);
}

}  // namespace
}  // namespace corefeed::network
