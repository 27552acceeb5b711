// SPDX-License-Identifier: Apache-2.0
#include "corefeed/network/homotopy.hpp"

#include <Eigen/Core>
#include <Eigen/LU>

#include <algorithm>
#include <cmath>

namespace corefeed::network {
namespace {

constexpr double first = 9.0;   // 8000 times what the residuals are measured by
constexpr double last = -45.0;  // 3e-20 of it: below the least slope that any equation has
/// From here on rounding may stop the curve; what is left of the ties, 2e-9, Newton's method takes away.
constexpr double nearly_last = -20.0;
constexpr double longest = 3.0;
constexpr double shortest = 1e-11;
/// Steps below this one that do not succeed are taken to have met a kink.
constexpr double kink = 1e-3;
/// Residual, over that of its own row, at which a point counts as one of the curve.
constexpr double on_curve = 1e-6;
/// Residual below which there is little but rounding.
constexpr double rounding = 1e-12;

/// Even between -1 and 1, the same on every machine (SplitMix64: Steele, Lea & Flood 2014, OOPSLA).
double random_number(std::uint64_t& state) {
  state += 0x9e3779b97f4a7c15ULL;
  std::uint64_t mixed = state;
  mixed = (mixed ^ (mixed >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  mixed = (mixed ^ (mixed >> 27U)) * 0x94d049bb133111ebULL;
  return static_cast<double>((mixed ^ (mixed >> 31U)) >> 11U) * 0x1p-52 - 1.0;
}

/// The sign of the determinant of what was taken apart; 0 where it is singular.
double sign_of(const Eigen::PartialPivLU<Eigen::MatrixXd>& factors) {
  double sign = static_cast<double>(factors.permutationP().determinant());
  for (const double pivot : factors.matrixLU().diagonal()) {
    if (pivot == 0.0 || !std::isfinite(pivot)) return 0.0;
    if (pivot < 0.0) sign = -sign;
  }
  return sign;
}

}  // namespace

class Homotopy::Curve {
 public:
  Curve(Workspace& work, const Laws& laws);

  bool is_possible() const;
  Ended follow(std::vector<double>& x, std::uint64_t draw, int most_iterations);

 private:
  using Vector = Eigen::VectorXd;

  /// A row that is held to a: by which unknown, with which sign.
  struct Tie {
    Eigen::Index row;
    Eigen::Index column;
    double sign;
  };
  /// A point of the curve: scaled unknowns, then s.
  struct Point {
    Vector at;
    Vector tangent;
  };
  enum class Wanted { tangent, tangent_and_step };

  void draw_anchor(std::uint64_t draw);
  double linearize(const Vector& at, const Vector& last_row);
  bool look(const Vector& at, Vector& tangent, Wanted wanted);
  bool begin(Point& point, double begin_at, double warmer);
  bool begin(Point& point);
  bool correct(Vector& at, Vector& tangent, double close_enough, double length);
  bool step(const Point& from, double length, Point& to);
  bool step_over_kink(const Point& from, double length, Point& to);

  Workspace* work_;
  std::vector<Tie> ties_;
  std::vector<Eigen::Index> free_temperatures_;  ///< columns of temperatures that are not tied
  Vector anchor_;
  Vector rest_;
  Vector change_;  ///< Newton's step to the curve, square to it
  Eigen::MatrixXd matrix_;
  std::vector<double> x_, scaled_rest_;
  double residual_ = 0.0;  ///< largest, of the last point looked at
  double sense_ = 0.0;     ///< sign that the determinant keeps along the curve
  int iterations_ = 0;
};

Homotopy::Curve::Curve(Workspace& work, const Laws& laws) : work_(&work) {
  const auto size = static_cast<Eigen::Index>(work.size());
  const auto tie = [&](std::size_t row, const std::vector<int>& own, double sign) {
    if (own.empty()) return;
    const int unknown = own[static_cast<std::size_t>(work.equations()[row])];
    if (unknown < 0 || work.column_of(unknown) < 0) return;
    ties_.push_back({static_cast<Eigen::Index>(row), work.column_of(unknown), sign});
  };
  for (std::size_t row = 0; row < work.size(); ++row) {
    // A law is p_from - p_to - loss, a node's mass what flows in.
    tie(row, laws.own_flow, -1.0);
    tie(row, laws.own_pressure, -1.0);
    // A node's heat falls with its temperature; what a loop gives off rises.
    tie(row, laws.own_temperature, 0.0);
  }
  for (std::size_t column = 0; column < work.size(); ++column) {
    const auto unknown = static_cast<std::size_t>(work.unknowns()[column]);
    const bool tied = std::any_of(ties_.begin(), ties_.end(), [column](const Tie& one) {
      return one.column == static_cast<Eigen::Index>(column);
    });
    if (work.system().unknowns()[unknown].block == Block::heat && !tied) {
      free_temperatures_.push_back(static_cast<Eigen::Index>(column));
    }
  }
  anchor_.resize(size);
  rest_.resize(size);
  change_.resize(size + 1);
  x_.resize(work.system().unknowns().size());
  scaled_rest_.resize(work.size());
}

bool Homotopy::Curve::is_possible() const {
  constexpr Eigen::Index most_unknowns = 400;
  return !ties_.empty() && rest_.size() <= most_unknowns;
}

/// Flows of either direction, pressures and temperatures around those of the start; and the signs of the ties
/// of temperatures, which are those of their slopes there.
void Homotopy::Curve::draw_anchor(std::uint64_t draw) {
  std::uint64_t state = draw;
  for (Eigen::Index j = 0; j < anchor_.size(); ++j) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[static_cast<std::size_t>(j)]);
    const Unknown& own = work_->system().unknowns()[unknown];
    x_[unknown] = own.start;
    anchor_[j] = own.start / own.scale + 0.3 * random_number(state);
  }
  for (const Tie& tie : ties_) {
    const auto row = static_cast<std::size_t>(work_->equations()[static_cast<std::size_t>(tie.row)]);
    const Equation& equation = work_->system().equations()[row];
    const bool law = equation.block == Block::flow && tie.sign < 0.0;
    if (law) anchor_[tie.column] = 0.3 * random_number(state);
  }
  work_->linearize(x_, scaled_rest_);
  for (Tie& tie : ties_) {
    const std::size_t slot =
        work_->slot(static_cast<std::size_t>(tie.row), static_cast<std::size_t>(tie.column));
    if (tie.sign == 0.0) tie.sign = slot != Workspace::npos && work_->jacobian(slot) < 0.0 ? -1.0 : 1.0;
  }
}

/// Fills `rest_` and `matrix_`: the derivatives by unknowns and s, and `last_row` below them. Each row is
/// divided by the size of its own tie. Gives the largest residual, or NaN.
double Homotopy::Curve::linearize(const Vector& at, const Vector& last_row) {
  const Eigen::Index size = rest_.size();
  for (Eigen::Index j = 0; j < size; ++j) {
    const auto unknown = static_cast<std::size_t>(work_->unknowns()[static_cast<std::size_t>(j)]);
    x_[unknown] = at[j] * work_->system().unknowns()[unknown].scale;
  }
  work_->linearize(x_, scaled_rest_);
  matrix_.setZero(size + 1, size + 1);
  for (std::size_t i = 0; i < work_->pattern().size(); ++i) {
    matrix_(work_->pattern()[i].row, work_->pattern()[i].column) += work_->jacobian()[i];
  }
  std::copy(scaled_rest_.begin(), scaled_rest_.end(), rest_.begin());
  const double strength = std::exp(at[size]);
  for (const Tie& tie : ties_) {
    const double pull = strength * tie.sign * (at[tie.column] - anchor_[tie.column]);
    rest_[tie.row] += pull;
    matrix_(tie.row, tie.column) += strength * tie.sign;
    matrix_(tie.row, size) = pull;
    const double share = 1.0 / (1.0 + strength);
    rest_[tie.row] *= share;
    matrix_.row(tie.row) *= share;
  }
  matrix_.row(size) = last_row.transpose();
  return matrix_.allFinite() && rest_.allFinite() ? rest_.cwiseAbs().maxCoeff() : std::nan("");
}

/// The curve near a point: from a tangent near by its own tangent, with the sense of the curve, and in
/// `change_` the way to the curve. False where they do not exist.
bool Homotopy::Curve::look(const Vector& at, Vector& tangent, Wanted wanted) {
  const Eigen::Index size = rest_.size();
  ++iterations_;
  residual_ = linearize(at, tangent);
  if (!std::isfinite(residual_)) return false;
  const Eigen::PartialPivLU<Eigen::MatrixXd> factors(matrix_);
  const double sign = sign_of(factors);
  if (sign == 0.0) return false;
  if (sense_ == 0.0) sense_ = sign;
  tangent = factors.solve(Vector::Unit(size + 1, size));
  tangent.normalize();
  // With itself as the last row the matrix keeps the sign of its determinant.
  tangent *= sign * sense_;
  if (!tangent.allFinite()) return false;
  if (wanted == Wanted::tangent) return true;
  change_.head(size) = -rest_;
  change_[size] = 0.0;
  change_ = factors.solve(change_);
  change_ -= tangent * tangent.dot(change_);
  return change_.allFinite();
}

/// The first point: s held, Newton's method with shortened steps for the rest. The temperature that leaves a
/// core is not tied and has to be found here, from one that is `warmer` than its start.
bool Homotopy::Curve::begin(Point& point, double begin_at, double warmer) {
  constexpr int most_steps = 40;
  const Eigen::Index size = rest_.size();
  point.at.resize(size + 1);
  point.at << anchor_, begin_at;
  for (const Eigen::Index column : free_temperatures_) point.at[column] += warmer;
  const Vector hold = -Vector::Unit(size + 1, size);
  double before = std::isfinite(linearize(point.at, hold)) ? rest_.norm() : HUGE_VAL;
  for (int i = 0; i < most_steps && std::isfinite(before); ++i) {
    ++iterations_;
    change_.head(size) = -rest_;
    change_[size] = 0.0;
    change_ = matrix_.partialPivLu().solve(change_);
    if (!change_.allFinite()) return false;
    const double whole = change_.norm();
    Vector trial = point.at + change_;
    while (!(std::isfinite(linearize(trial, hold)) && rest_.norm() < before) &&
           change_.norm() > 1e-3 * whole) {
      change_ *= 0.5;
      trial = point.at + change_;
    }
    point.at = trial;
    before = rest_.norm();
    if (whole < 1e-8) break;
  }
  sense_ = 0.0;
  point.tangent = hold;
  return look(point.at, point.tangent, Wanted::tangent) && residual_ <= on_curve && point.tangent[size] < 0.0;
}

/// From below, the temperature that leaves a core may not be found; cracks and closed flaps may need stronger
/// ties than others.
bool Homotopy::Curve::begin(Point& point) {
  return begin(point, first, 0.0) || begin(point, first, 10.0) || begin(point, first, 30.0) ||
         begin(point, first + 7.0, 30.0) || begin(point, first + 14.0, 30.0);
}

/// Newton's method to the curve, square to it, from a point near by with a tangent near by. Where the matrix
/// is nearly singular, rounding alone makes steps: they are of no matter where they are short beside
/// `length`.
bool Homotopy::Curve::correct(Vector& at, Vector& tangent, double close_enough, double length) {
  constexpr int most_steps = 10;
  double before = HUGE_VAL;
  for (int i = 0; i < most_steps; ++i) {
    if (!look(at, tangent, Wanted::tangent_and_step)) return false;
    if (residual_ > 2.0 * before && residual_ > 1e-4) return false;
    before = residual_;
    at += change_;
    const double size = change_.norm();
    if (size < close_enough || (residual_ < rounding && size < 0.05 * length)) {
      return look(at, tangent, Wanted::tangent) && residual_ <= on_curve;
    }
  }
  return false;
}

/// One step along the tangent. It counts only where the curve went on in about that direction.
bool Homotopy::Curve::step(const Point& from, double length, Point& to) {
  to.at = from.at + length * from.tangent;
  to.tangent = from.tangent;
  if (!correct(to.at, to.tangent, 1e-7, length)) return false;
  const Vector way = to.at - from.at;
  if (way.dot(from.tangent) < 0.3 * length) return false;
  return length < 1e-5 || (to.tangent.dot(from.tangent) > 0.7 && way.norm() < 3.0 * length);
}

/// Behind a kink the curve may go back along the tangent before it, where a projection to it would not find
/// it: first over the kink, then along the tangent there.
bool Homotopy::Curve::step_over_kink(const Point& from, double length, Point& to) {
  constexpr double bend = 0.9;
  to.at = from.at + length * from.tangent;
  Vector behind = from.tangent;
  if (!look(to.at, behind, Wanted::tangent) || behind.dot(from.tangent) > bend) return false;
  to.at += 2.5 * length * behind;
  to.tangent = behind;
  if (!correct(to.at, to.tangent, 1e-9 + 1e-6 * length, 0.0)) return false;
  const Vector way = to.at - from.at;
  return to.tangent.dot(behind) > 0.7 && way.norm() < 8.0 * length && way.dot(behind) > 0.3 * length;
}

Homotopy::Ended Homotopy::Curve::follow(std::vector<double>& x, std::uint64_t draw, int most_iterations) {
  iterations_ = 0;
  x_ = x;
  draw_anchor(draw);
  const auto ended = [this](Termination termination) { return Ended{termination, iterations_}; };
  Point here;
  Point next;
  if (!begin(here)) return ended(Termination::no_descent);
  const Eigen::Index size = rest_.size();
  const double highest = here.at[size] + 3.0;
  double length = 0.3;
  while (here.at[size] > last) {
    if (iterations_ >= most_iterations) return ended(Termination::iteration_limit);
    const int used = iterations_;
    const bool smooth = step(here, length, next);
    if (!smooth && !(length < kink && step_over_kink(here, length, next))) {
      length *= 0.35;
      if (length >= shortest) continue;
      if (here.at[size] > nearly_last) return ended(Termination::no_descent);
      break;
    }
    std::swap(here, next);
    if (here.at[size] > highest) return ended(Termination::no_descent);
    const int taken = iterations_ - used;
    if (smooth && taken <= 5) length = std::min(1.8 * length, longest);
    if (smooth && taken > 8) length *= 0.6;
  }
  linearize(here.at, here.tangent);
  x = x_;
  return ended(Termination::converged);
}

Homotopy::Homotopy(Workspace& work, const Laws& laws) : curve_(std::make_unique<Curve>(work, laws)) {}

Homotopy::~Homotopy() = default;

bool Homotopy::is_possible() const { return curve_->is_possible(); }

Homotopy::Ended Homotopy::follow(std::vector<double>& x, std::uint64_t draw, int most_iterations) {
  return curve_->follow(x, draw, most_iterations);
}

}  // namespace corefeed::network
