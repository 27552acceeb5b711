// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/losses/scalar.hpp"

/// A square system of equations, each a small function of a few unknowns and parameters, evaluated with plain
/// or with dual numbers. Private to the library's sources.
namespace corefeed::network {

/// Which equations belong together: the flow alone can be solved while temperatures are held.
enum class Block { flow, heat };

/// One text of a function for both scalars.
class Formula {
 public:
  virtual ~Formula() = default;
  virtual double evaluate(const double* x, const double* p) const = 0;
  virtual Dual evaluate(const Dual* x, const Dual* p) const = 0;
  /// What several operating points at once are evaluated by: the callable, and the name under which
  /// `PackedKernels` know its type; "" where they do not.
  virtual std::string_view packed_name() const { return {}; }
  virtual const void* callable() const { return nullptr; }
};

/// A function of some unknowns and parameters of a system. Its formula is given them in the order of the
/// lists.
struct Function {
  std::vector<int> unknowns;
  std::vector<int> parameters;
  std::shared_ptr<const Formula> formula;
};

/// Makes a function from a generic callable `template <class S> S operator()(const S* x, const S* p) const`.
/// A type that `PackedKernels` know has a function `packed_name`.
template <class Callable>
Function make_function(std::vector<int> unknowns, std::vector<int> parameters, Callable callable) {
  class Called final : public Formula {
   public:
    explicit Called(Callable given) : callable_(std::move(given)) {}
    double evaluate(const double* x, const double* p) const override {
      return callable_.template operator()<double>(x, p);
    }
    Dual evaluate(const Dual* x, const Dual* p) const override {
      return callable_.template operator()<Dual>(x, p);
    }
    std::string_view packed_name() const override {
      if constexpr (requires { callable_.packed_name(); }) return callable_.packed_name();
      return {};
    }
    const void* callable() const override { return &callable_; }

   private:
    Callable callable_;
  };
  return {std::move(unknowns), std::move(parameters), std::make_shared<const Called>(std::move(callable))};
}

struct Unknown {
  std::string name;
  double start;
  double scale;  ///< a typical size, to make columns comparable
  Block block;
};

struct Equation {
  std::string name;
  Function residual;
  double scale;  ///< the residual divided by this is dimensionless and of order one
  Block block;
};

class System {
 public:
  int add_unknown(Unknown unknown);
  /// `varies` is false for a number that is no quantity (the place of a word, a key that no law reads): its
  /// derivatives are zero.
  int add_parameter(double value, bool varies = true);
  void add_equation(Equation equation) { equations_.push_back(std::move(equation)); }
  void set_parameter(int index, double value) { parameters_[static_cast<std::size_t>(index)] = value; }

  const std::vector<Unknown>& unknowns() const { return unknowns_; }
  const std::vector<Equation>& equations() const { return equations_; }
  const std::vector<double>& parameters() const { return parameters_; }
  bool varies(int parameter) const { return varies_[static_cast<std::size_t>(parameter)]; }

  /// Scaled residuals of all equations at x.
  std::vector<double> residuals(const std::vector<double>& x) const;

 private:
  std::vector<Unknown> unknowns_;
  std::vector<Equation> equations_;
  std::vector<double> parameters_;
  std::vector<bool> varies_;
};

double evaluate(const Function& function, const std::vector<double>& x,
                const std::vector<double>& parameters);

/// One derivative: with respect to unknown or parameter `index`.
struct Slope {
  int index;
  double value;
};

/// Value and exact derivatives with respect to the function's unknowns (or parameters), however many.
double differentiate_unknowns(const Function& function, const std::vector<double>& x,
                              const std::vector<double>& parameters, std::vector<Slope>& slopes);
double differentiate_parameters(const Function& function, const std::vector<double>& x,
                                const std::vector<double>& parameters, std::vector<Slope>& slopes);

}  // namespace corefeed::network
