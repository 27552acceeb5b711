// SPDX-License-Identifier: Apache-2.0
#include "tests/benchmarks/large_grids.hpp"

#include <fmt/format.h>
#include <Eigen/CholmodSupport>
#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <vector>

#include "tests/benchmarks/networks.hpp"
#include "tests/benchmarks/subject.hpp"

namespace corefeed::benchmarks {
namespace {

using Sparse = Eigen::SparseMatrix<double>;
/// Factors of a larger grid in space would not fit into the memory of a common machine, or take minutes.
constexpr std::size_t most_for_ldlt_in_space = 40000;

double processor_time() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

template <class Work>
double seconds(const Work& work) {
  const double begun = processor_time();
  work();
  return processor_time() - begun;
}

/// The nodes' conductances at a state: weights 1/(slope of the loss), nodes of given pressure left out.
Sparse node_matrix(Subject& subject, std::span<const double> x) {
  network::Workspace& work = subject.work();
  std::vector<double> rest(work.size());
  work.linearize(x, rest);
  const network::Network& net = *subject.assembly().network;
  std::vector<int> row(net.nodes.size(), -1);
  int rows = 0;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    if (net.nodes[n].kind != network::NodeKind::fixed_pressure) row[n] = rows++;
  }
  std::vector<Eigen::Triplet<double>> entries;
  for (std::size_t e = 0; e < net.elements.size(); ++e) {
    // The law of an element is the equation of its number, its flow the unknown.
    const auto column = static_cast<std::size_t>(work.column_of(subject.assembly().places.flow[e]));
    const double weight = 1.0 / std::abs(work.jacobian(work.slot(e, column)));
    const int from = row[static_cast<std::size_t>(net.elements[e].from)];
    const int to = row[static_cast<std::size_t>(net.elements[e].to)];
    if (from >= 0) entries.emplace_back(from, from, weight);
    if (to >= 0) entries.emplace_back(to, to, weight);
    if (from < 0 || to < 0) continue;
    entries.emplace_back(from, to, -weight);
    entries.emplace_back(to, from, -weight);
  }
  Sparse matrix(rows, rows);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

/// Time of factoring alone, the order being known; NaN where it does not succeed.
template <class Factors>
double factoring(Factors& factors, const Sparse& matrix) {
  factors.analyzePattern(matrix);
  const double time = seconds([&] { factors.factorize(matrix); });
  return factors.info() == Eigen::Success ? time : std::nan("");
}

struct Floor {
  double cholmod = std::nan("");
  double ldlt = std::nan("");
  double best() const { return std::isnan(ldlt) ? cholmod : std::min(cholmod, ldlt); }
};

Floor floor_of(const Sparse& matrix, int dimensions) {
  Floor floor;
  Eigen::CholmodSupernodalLLT<Sparse> supernodal;
  supernodal.cholmod().nmethods = 1;
  supernodal.cholmod().method[0].ordering = CHOLMOD_METIS;
  floor.cholmod = factoring(supernodal, matrix);
  const bool fits = dimensions == 2 || static_cast<std::size_t>(matrix.rows()) <= most_for_ldlt_in_space;
  Eigen::SimplicialLDLT<Sparse> simplicial;
  if (fits) floor.ldlt = factoring(simplicial, matrix);
  return floor;
}

/// Largest excess of mass at a node, over the network's typical flow.
double mass_residual(Subject& subject, std::span<const double> x) {
  network::Workspace& work = subject.work();
  std::vector<double> rest(work.size());
  work.evaluate(x, rest);
  double largest = 0.0;
  for (std::size_t i = subject.assembly().network->elements.size(); i < rest.size(); ++i) {
    largest = std::max(largest, std::abs(rest[i]));
  }
  return largest;
}

void measure_grid(int dimensions, int elements, double decades) {
  const double begun = processor_time();
  Subject subject(without_heat(grid(dimensions, elements, decades, 5)), {.flow = true, .heat = false});
  const double setting_up = processor_time() - begun;
  std::vector<double> times;
  std::vector<double> x;
  bool converged = true;
  const int rounds = elements > 300000 || (dimensions == 3 && decades > 2.0) ? 1 : 3;
  for (int round = 0; round < rounds; ++round) {
    x = subject.start();
    times.push_back(seconds([&] { converged = subject.solve(x); }));
  }
  std::sort(times.begin(), times.end());
  const double time = times[times.size() / 2];
  const Floor floor = floor_of(node_matrix(subject, x), dimensions);
  fmt::print(
      "| {}-D, {} elements, {} decades | {:.3g} | {:.3g} | {} | {:.1e} | {:.3g} | {:.3g} | {:.2f} |{}\n",
      dimensions, subject.assembly().network->elements.size(), decades, setting_up, time,
      subject.iterations(), mass_residual(subject, x), floor.cholmod, floor.ldlt, time / floor.best(),
      converged ? "" : " NOT CONVERGED");
  std::fflush(stdout);
}

}  // namespace

void measure_large_grids() {
  fmt::print(
      "| grid | set up, s | solved, s | steps | mass residual | CHOLMOD, s | LDLT, s | over the best |\n"
      "|---|---|---|---|---|---|---|---|\n");
  for (const int elements : {10000, 100000, 1000000}) measure_grid(2, elements, 2.0);
  for (const double decades : {6.0, 12.0}) measure_grid(2, 100000, decades);
  for (const int elements : {30000, 100000}) measure_grid(3, elements, 2.0);
  measure_grid(3, 100000, 12.0);
  measure_grid(3, 1000000, 2.0);
}

}  // namespace corefeed::benchmarks
