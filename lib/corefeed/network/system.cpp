// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/system.hpp"

#include <algorithm>
#include <cstddef>

namespace corefeed::network {
namespace {

template <class S>
std::vector<S> gather(const std::vector<int>& indices, const std::vector<double>& source) {
  std::vector<S> values;
  values.reserve(indices.size());
  for (const int index : indices) values.push_back(S(source[static_cast<std::size_t>(index)]));
  return values;
}

/// Seeds the numbers in groups of the dual's width and collects the derivatives of each group.
double differentiate(const Function& function, std::vector<Dual>& seeded, const std::vector<int>& indices,
                     const std::vector<Dual>& x, const std::vector<Dual>& p, std::vector<Slope>& slopes) {
  slopes.clear();
  double value = 0.0;
  const std::size_t width = dual_width;
  for (std::size_t begin = 0; begin == 0 || begin < seeded.size(); begin += width) {
    const std::size_t end = std::min(begin + width, seeded.size());
    for (std::size_t i = begin; i < end; ++i) {
      seeded[i].derivatives().setZero();
      seeded[i].derivatives()[static_cast<Eigen::Index>(i - begin)] = 1.0;
    }
    const Dual result = function.formula->evaluate(x.data(), p.data());
    value = result.value();
    for (std::size_t i = begin; i < end; ++i) {
      slopes.push_back({indices[i], result.derivatives()[static_cast<Eigen::Index>(i - begin)]});
      seeded[i].derivatives().setZero();
    }
  }
  return value;
}

}  // namespace

int System::add_unknown(Unknown unknown) {
  unknowns_.push_back(std::move(unknown));
  return static_cast<int>(unknowns_.size()) - 1;
}

int System::add_parameter(double value, bool varies) {
  parameters_.push_back(value);
  varies_.push_back(varies);
  return static_cast<int>(parameters_.size()) - 1;
}

std::vector<double> System::residuals(const std::vector<double>& x) const {
  std::vector<double> values;
  values.reserve(equations_.size());
  for (const Equation& equation : equations_) {
    values.push_back(evaluate(equation.residual, x, parameters_) / equation.scale);
  }
  return values;
}

double evaluate(const Function& function, const std::vector<double>& x,
                const std::vector<double>& parameters) {
  const std::vector<double> local = gather<double>(function.unknowns, x);
  const std::vector<double> numbers = gather<double>(function.parameters, parameters);
  return function.formula->evaluate(local.data(), numbers.data());
}

double differentiate_unknowns(const Function& function, const std::vector<double>& x,
                              const std::vector<double>& parameters, std::vector<Slope>& slopes) {
  std::vector<Dual> local = gather<Dual>(function.unknowns, x);
  const std::vector<Dual> numbers = gather<Dual>(function.parameters, parameters);
  return differentiate(function, local, function.unknowns, local, numbers, slopes);
}

double differentiate_parameters(const Function& function, const std::vector<double>& x,
                                const std::vector<double>& parameters, std::vector<Slope>& slopes) {
  const std::vector<Dual> local = gather<Dual>(function.unknowns, x);
  std::vector<Dual> numbers = gather<Dual>(function.parameters, parameters);
  return differentiate(function, numbers, function.parameters, local, numbers, slopes);
}

}  // namespace corefeed::network
