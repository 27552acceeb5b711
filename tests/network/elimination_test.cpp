// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/elimination.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>

#include <random>

namespace corefeed::network {
namespace {

/// A square matrix whose pattern stays.
struct Matrix {
  std::size_t size;
  std::vector<Entry> pattern;
  std::vector<double> values;

  Eigen::MatrixXd dense() const {
    const auto n = static_cast<Eigen::Index>(size);
    Eigen::MatrixXd full = Eigen::MatrixXd::Zero(n, n);
    for (std::size_t e = 0; e < pattern.size(); ++e) full(pattern[e].row, pattern[e].column) = values[e];
    return full;
  }
};

/// Like a flow network's: a diagonal of which a third is zero, a band, and a few numbers far from it.
Matrix random_matrix(std::size_t size, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  std::uniform_int_distribution<int> place(0, static_cast<int>(size) - 1);
  Eigen::MatrixXi taken =
      Eigen::MatrixXi::Zero(static_cast<Eigen::Index>(size), static_cast<Eigen::Index>(size));
  Matrix matrix{size, {}, {}};
  const auto add = [&](int row, int column, double value) {
    if (taken(row, column)++ > 0) return;
    matrix.pattern.push_back({row, column});
    matrix.values.push_back(value);
  };
  const int n = static_cast<int>(size);
  for (int i = 0; i < n; ++i) {
    add(i, i, i % 3 == 1 ? 0.0 : number(random));
    add(i, (i + 1) % n, number(random));
    add(i, (i + n - 1) % n, number(random));
    add(place(random), place(random), number(random));
  }
  return matrix;
}

double largest_error(const Matrix& matrix, bool transposed, const std::vector<double>& x,
                     const std::vector<double>& b) {
  const auto n = static_cast<Eigen::Index>(matrix.size);
  const Eigen::MatrixXd full = matrix.dense();
  const Eigen::Map<const Eigen::VectorXd> solution(x.data(), n);
  const Eigen::Map<const Eigen::VectorXd> right(b.data(), n);
  const Eigen::VectorXd rest = transposed ? Eigen::VectorXd(full.transpose() * solution - right)
                                          : Eigen::VectorXd(full * solution - right);
  return rest.lpNorm<Eigen::Infinity>() / (1.0 + solution.lpNorm<Eigen::Infinity>());
}

class EliminationSizes : public ::testing::TestWithParam<std::size_t> {};

TEST_P(EliminationSizes, SolvesBothWaysAndAgainWithOtherNumbers) {
  Matrix matrix = random_matrix(GetParam(), 7);
  Elimination elimination(matrix.size, matrix.pattern);
  std::mt19937 random(11);
  std::uniform_real_distribution<double> factor(0.5, 2.0);
  for (int round = 0; round < 4; ++round) {
    ASSERT_TRUE(elimination.factor(matrix.values));
    std::vector<double> b(matrix.size);
    for (std::size_t i = 0; i < b.size(); ++i) b[i] = 1.0 + static_cast<double>(i % 5);
    std::vector<double> x = b;
    elimination.solve(x);
    EXPECT_LT(largest_error(matrix, false, x, b), 1e-9);
    x = b;
    elimination.solve_transposed(x);
    EXPECT_LT(largest_error(matrix, true, x, b), 1e-9);
    for (double& value : matrix.values) value *= factor(random);
  }
}

INSTANTIATE_TEST_SUITE_P(Sizes, EliminationSizes, ::testing::Values(1, 2, 5, 40, 300));

TEST(Elimination, LooksForPivotsAgainWhereNewNumbersMakeTheOldOnesTooSmall) {
  Matrix matrix{2, {{0, 0}, {0, 1}, {1, 0}, {1, 1}}, {1.0, 0.5, 0.5, 1.0}};
  Elimination elimination(2, matrix.pattern);
  ASSERT_TRUE(elimination.factor(matrix.values));
  for (const double small : {1e-300, 0.0}) {
    matrix.values = {small, 1.0, 1.0, small};
    ASSERT_TRUE(elimination.factor(matrix.values)) << small;
    std::vector<double> x{3.0, 4.0};
    elimination.solve(x);
    EXPECT_DOUBLE_EQ(x[0], 4.0);
    EXPECT_DOUBLE_EQ(x[1], 3.0);
  }
}

TEST(Elimination, KeptPivotsGiveTheSameBits) {
  Matrix matrix = random_matrix(30, 3);
  const std::vector<double> others = random_matrix(30, 4).values;
  const auto solution = [&](Elimination& elimination) {
    std::vector<double> x(matrix.size, 1.0);
    elimination.factor(matrix.values);
    elimination.solve(x);
    return x;
  };
  Elimination elimination(matrix.size, matrix.pattern);
  const std::vector<double> before = solution(elimination);
  elimination.keep_pivots();
  // Numbers that ask for pivots of their own.
  std::vector<double> between = matrix.values;
  for (std::size_t i = 0; i < between.size(); i += 2) between[i] *= 1e-9;
  elimination.factor(between);
  elimination.restore_pivots();
  EXPECT_EQ(solution(elimination), before);
}

TEST(Elimination, SingularAndNotFiniteAreSaid) {
  const std::vector<Entry> full{{0, 0}, {0, 1}, {1, 0}, {1, 1}};
  EXPECT_FALSE(Elimination(2, full).factor(std::vector<double>{1.0, 2.0, 2.0, 4.0}));
  EXPECT_FALSE(Elimination(2, full).factor(std::vector<double>{0.0, 0.0, 0.0, 0.0}));
  EXPECT_FALSE(Elimination(2, full).factor(std::vector<double>{std::nan(""), 1.0, 1.0, 1.0}));
  EXPECT_FALSE(Elimination(2, {{0, 0}, {1, 0}}).factor(std::vector<double>{1.0, 1.0}));
}

// Pivots that are kept for other numbers say so too, down to the last of them.
TEST(Elimination, SingularIsSaidWithKeptPivots) {
  Elimination elimination(2, {{0, 0}, {0, 1}, {1, 0}, {1, 1}});
  ASSERT_TRUE(elimination.factor(std::vector<double>{2.0, 1.0, 1.0, 2.0}));
  EXPECT_FALSE(elimination.factor(std::vector<double>{2.0, 1.0, 4.0, 2.0}));
}

/// A chain as long as takes the way of large matrices.
TEST(Elimination, LargeChainBothWays) {
  const std::size_t size = 5000;
  Matrix chain{size, {}, {}};
  for (int i = 0; i < static_cast<int>(size); ++i) {
    const auto add = [&](int column, double value) {
      chain.pattern.push_back({i, column});
      chain.values.push_back(value);
    };
    if (i > 0) add(i - 1, -1.0);
    add(i, 2.5);
    if (i + 1 < static_cast<int>(size)) add(i + 1, -0.5);
  }
  Elimination elimination(size, chain.pattern);
  ASSERT_TRUE(elimination.factor(chain.values));
  // Rows sum to 1, columns too, but for the ends.
  std::vector<double> ones(size, 1.0);
  ones.front() = 2.0;
  ones.back() = 1.5;
  elimination.solve(ones);
  for (std::size_t i = 0; i < size; ++i) EXPECT_NEAR(ones[i], 1.0, 1e-14);
  ones.assign(size, 1.0);
  ones.front() = 1.5;
  ones.back() = 2.0;
  elimination.solve_transposed(ones);
  for (std::size_t i = 0; i < size; ++i) EXPECT_NEAR(ones[i], 1.0, 1e-14);
}

}  // namespace
}  // namespace corefeed::network
