// SPDX-License-Identifier: Apache-2.0
#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include <algorithm>
#include <numeric>

#include "tests/benchmarks/peers.hpp"

namespace corefeed::benchmarks {
namespace {

class Kinsol final : public Peer {
 public:
  Kinsol(network::Workspace& work, bool sparse);
  ~Kinsol() override;
  Kinsol(const Kinsol&) = delete;
  Kinsol& operator=(const Kinsol&) = delete;
  bool solve(std::span<double> x) override;

 private:
  static int residuals(N_Vector u, N_Vector f, void* self);
  static int jacobian(N_Vector u, N_Vector f, SUNMatrix matrix, void* self, N_Vector, N_Vector);
  void spread(N_Vector u);
  void order_by_column();

  network::Workspace& work_;
  std::vector<double> x_, rest_;
  std::vector<std::size_t> by_column_;  ///< entries of the pattern in the order of compressed columns
  std::vector<sunindextype> column_begin_;
  SUNContext context_ = nullptr;
  N_Vector u_ = nullptr, ones_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver linear_ = nullptr;
  void* memory_ = nullptr;
};

Kinsol::Kinsol(network::Workspace& work, bool sparse)
    : work_(work), x_(work.system().unknowns().size()), rest_(work.size()) {
  const auto n = static_cast<sunindextype>(work.size());
  SUNContext_Create(nullptr, &context_);
  u_ = N_VNew_Serial(n, context_);
  ones_ = N_VNew_Serial(n, context_);
  N_VConst(1.0, ones_);
  if (sparse) {
    order_by_column();
    matrix_ = SUNSparseMatrix(n, n, static_cast<sunindextype>(work.pattern().size()), CSC_MAT, context_);
    linear_ = SUNLinSol_KLU(u_, matrix_, context_);
  } else {
    matrix_ = SUNDenseMatrix(n, n, context_);
    linear_ = SUNLinSol_Dense(u_, matrix_, context_);
  }
  memory_ = KINCreate(context_);
  KINInit(memory_, residuals, u_);
  KINSetUserData(memory_, this);
  KINSetLinearSolver(memory_, linear_, matrix_);
  KINSetJacFn(memory_, jacobian);
  KINSetMaxSetupCalls(memory_, 1);
  KINSetFuncNormTol(memory_, enough);
  KINSetScaledStepTol(memory_, 1e-14);
  KINSetNumMaxIters(memory_, 200);
  KINSetMaxNewtonStep(memory_, 1e6);
}

Kinsol::~Kinsol() {
  KINFree(&memory_);
  SUNLinSolFree(linear_);
  SUNMatDestroy(matrix_);
  N_VDestroy(u_);
  N_VDestroy(ones_);
  SUNContext_Free(&context_);
}

void Kinsol::order_by_column() {
  const auto pattern = work_.pattern();
  by_column_.resize(pattern.size());
  std::iota(by_column_.begin(), by_column_.end(), std::size_t{0});
  std::sort(by_column_.begin(), by_column_.end(), [&](std::size_t a, std::size_t b) {
    return std::pair(pattern[a].column, pattern[a].row) < std::pair(pattern[b].column, pattern[b].row);
  });
  column_begin_.assign(work_.size() + 1, 0);
  for (const network::Entry& entry : pattern) ++column_begin_[static_cast<std::size_t>(entry.column) + 1];
  std::partial_sum(column_begin_.begin(), column_begin_.end(), column_begin_.begin());
}

void Kinsol::spread(N_Vector u) {
  const double* scaled = N_VGetArrayPointer(u);
  for (std::size_t j = 0; j < work_.size(); ++j) {
    const auto unknown = static_cast<std::size_t>(work_.unknowns()[j]);
    x_[unknown] = scaled[j] * work_.system().unknowns()[unknown].scale;
  }
}

int Kinsol::residuals(N_Vector u, N_Vector f, void* self) {
  Kinsol& one = *static_cast<Kinsol*>(self);
  one.spread(u);
  one.work_.evaluate(one.x_, {N_VGetArrayPointer(f), one.work_.size()});
  return 0;
}

int Kinsol::jacobian(N_Vector u, N_Vector, SUNMatrix matrix, void* self, N_Vector, N_Vector) {
  Kinsol& one = *static_cast<Kinsol*>(self);
  one.spread(u);
  one.work_.linearize(one.x_, one.rest_);
  const auto pattern = one.work_.pattern();
  const auto values = one.work_.jacobian();
  if (SUNMatGetID(matrix) == SUNMATRIX_DENSE) {
    SUNMatZero(matrix);
    for (std::size_t e = 0; e < pattern.size(); ++e) {
      SM_ELEMENT_D(matrix, pattern[e].row, pattern[e].column) = values[e];
    }
    return 0;
  }
  std::copy(one.column_begin_.begin(), one.column_begin_.end(), SUNSparseMatrix_IndexPointers(matrix));
  for (std::size_t k = 0; k < one.by_column_.size(); ++k) {
    SUNSparseMatrix_IndexValues(matrix)[k] = pattern[one.by_column_[k]].row;
    SUNSparseMatrix_Data(matrix)[k] = values[one.by_column_[k]];
  }
  return 0;
}

bool Kinsol::solve(std::span<double> x) {
  std::copy(x.begin(), x.end(), x_.begin());
  double* scaled = N_VGetArrayPointer(u_);
  for (std::size_t j = 0; j < work_.size(); ++j) {
    const auto unknown = static_cast<std::size_t>(work_.unknowns()[j]);
    scaled[j] = x[unknown] / work_.system().unknowns()[unknown].scale;
  }
  const int ended = KINSol(memory_, u_, KIN_LINESEARCH, ones_, ones_);
  spread(u_);
  std::copy(x_.begin(), x_.end(), x.begin());
  return ended >= 0;
}

}  // namespace

std::unique_ptr<Peer> kinsol_dense(network::Workspace& work) { return std::make_unique<Kinsol>(work, false); }
std::unique_ptr<Peer> kinsol_klu(network::Workspace& work) { return std::make_unique<Kinsol>(work, true); }

}  // namespace corefeed::benchmarks
