// SPDX-License-Identifier: Apache-2.0
#include <ceres/ceres.h>

#include <algorithm>
#include <map>

#include "tests/benchmarks/peers.hpp"

namespace corefeed::benchmarks {
namespace {

/// What all equations share: the state they are evaluated in.
struct Shared {
  network::Workspace& work;
  std::vector<double> x;
  std::vector<double> slopes;
};

/// One equation as Ceres wants it: a block of one number for each unknown that moves.
class Row final : public ceres::CostFunction {
 public:
  Row(Shared& shared, const network::Equation& equation, std::vector<int> columns)
      : shared_(shared), equation_(equation), columns_(std::move(columns)) {
    set_num_residuals(1);
    for (std::size_t i = 0; i < columns_.size(); ++i) mutable_parameter_block_sizes()->push_back(1);
  }

  bool Evaluate(double const* const* blocks, double* residual, double** jacobians) const override {
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      shared_.x[unknown(i)] = *blocks[i] * shared_.work.system().unknowns()[unknown(i)].scale;
    }
    *residual = shared_.work.value(equation_.residual, shared_.x) / equation_.scale;
    if (jacobians == nullptr) return true;
    for (const int column : columns_) shared_.slopes[static_cast<std::size_t>(column)] = 0.0;
    shared_.work.add_slopes(equation_.residual, shared_.x, 1.0 / equation_.scale, shared_.slopes);
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      if (jacobians[i] != nullptr) *jacobians[i] = shared_.slopes[static_cast<std::size_t>(columns_[i])];
    }
    return true;
  }

 private:
  std::size_t unknown(std::size_t i) const {
    return static_cast<std::size_t>(shared_.work.unknowns()[static_cast<std::size_t>(columns_[i])]);
  }

  Shared& shared_;
  const network::Equation& equation_;
  std::vector<int> columns_;
};

class Ceres final : public Peer {
 public:
  explicit Ceres(network::Workspace& work)
      : shared_{work, std::vector<double>(work.system().unknowns().size()), std::vector<double>(work.size())},
        scaled_(work.size()) {
    std::map<int, std::vector<int>> columns;
    for (const network::Entry& entry : work.pattern()) columns[entry.row].push_back(entry.column);
    for (const auto& [row, list] : columns) {
      std::vector<double*> blocks;
      for (const int column : list) blocks.push_back(&scaled_[static_cast<std::size_t>(column)]);
      const auto equation = static_cast<std::size_t>(work.equations()[static_cast<std::size_t>(row)]);
      problem_.AddResidualBlock(new Row(shared_, work.system().equations()[equation], list), nullptr, blocks);
    }
    options_.linear_solver_type = ceres::DENSE_QR;
    options_.logging_type = ceres::SILENT;
    options_.max_num_iterations = 500;
    options_.function_tolerance = 1e-30;
    options_.gradient_tolerance = enough;
    options_.parameter_tolerance = 1e-14;
  }

  bool solve(std::span<double> x) override {
    std::copy(x.begin(), x.end(), shared_.x.begin());
    const network::Workspace& work = shared_.work;
    const auto scale = [&](std::size_t j) {
      return work.system().unknowns()[static_cast<std::size_t>(work.unknowns()[j])].scale;
    };
    for (std::size_t j = 0; j < scaled_.size(); ++j) {
      scaled_[j] = x[static_cast<std::size_t>(work.unknowns()[j])] / scale(j);
    }
    ceres::Solver::Summary summary;
    ceres::Solve(options_, &problem_, &summary);
    for (std::size_t j = 0; j < scaled_.size(); ++j) {
      x[static_cast<std::size_t>(work.unknowns()[j])] = scaled_[j] * scale(j);
    }
    return summary.IsSolutionUsable();
  }

 private:
  Shared shared_;
  std::vector<double> scaled_;
  ceres::Problem problem_;
  ceres::Solver::Options options_;
};

}  // namespace

std::unique_ptr<Peer> ceres_dense(network::Workspace& work) { return std::make_unique<Ceres>(work); }

}  // namespace corefeed::benchmarks
