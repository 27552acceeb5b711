// SPDX-License-Identifier: Apache-2.0
#include "corefeed/cooling/header.hpp"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "corefeed/losses/friction.hpp"

namespace corefeed::cooling {
namespace {

using Vector = Eigen::VectorXd;

/// Pressure along a header against its flow, with the slope: a step of momentum or a stretch of friction.
struct Sloped {
  double value = 0;
  double slope = 0;
};

/// k rho V^2/2 of the header flow.
Sloped momentum_head(const Header& header, double density, double flow) {
  const double factor = header.momentum / (2 * density * header.area * header.area);
  return {factor * flow * flow, 2 * factor * flow};
}

/// Friction over one distance between tubes, with the sign of the flow.
Sloped friction_loss(const Header& header, const HeaderLadder& ladder, double flow) {
  Dual moving(flow);
  moving.derivatives().setZero();
  moving.derivatives()[0] = 1;
  const double per_flow = header.hydraulic_diameter / (header.area * ladder.viscosity);
  // At rest f is infinite and f V^2 is not: hold the Reynolds number above 1e-6.
  const Dual reynolds = rounded_magnitude<Dual>(moving * per_flow, 1e-6);
  const Dual factor = losses::darcy_friction<Dual>(reynolds, Dual(header.relative_roughness));
  const double scale = header.tube_distance / header.hydraulic_diameter /
                       (2 * ladder.density * header.area * header.area * per_flow);
  const Dual loss = factor * (scale * reynolds) * moving;
  return {loss.value(), loss.derivatives()[0]};
}

/// Residuals of the ladder and their slopes by the tube flows: between neighbors, tube loss against header
/// pressures; last, the sum of the tubes.
class Equations {
 public:
  Equations(const HeaderLadder& ladder, double flow) : ladder_(ladder), flow_(flow), tubes_(ladder.tubes) {}

  void evaluate(const Vector& tubes, Vector& residual, Eigen::MatrixXd& slopes) const;
  double loss(const Vector& tubes) const;

 private:
  Sloped tube_loss(double flow) const {
    const double a = ladder_.tube_linear;
    const double b = ladder_.tube_quadratic;
    return {(a + b * std::abs(flow)) * flow, a + 2 * b * std::abs(flow)};
  }
  /// Flow of the dividing header behind tube i; i = 0 is the inlet.
  Vector divided(const Vector& tubes) const {
    Vector left(tubes_ + 1);
    left[0] = flow_;
    for (Eigen::Index i = 0; i < tubes_; ++i) left[i + 1] = left[i] - tubes[i];
    return left;
  }
  /// Flow of the combining header there, and how it moves with the dividing header's flow.
  double combined(double divided) const { return is_u() ? divided : flow_ - divided; }
  bool is_u() const { return ladder_.flow == HeaderFlow::u_flow; }
  /// Sign of the combining header's momentum and friction along increasing tube number.
  double direction() const { return is_u() ? -1 : 1; }

  const HeaderLadder& ladder_;
  double flow_;
  Eigen::Index tubes_;
};

void Equations::evaluate(const Vector& tubes, Vector& residual, Eigen::MatrixXd& slopes) const {
  const Vector left = divided(tubes);
  const double density = ladder_.density;
  residual.setZero(tubes_);
  slopes.setZero(tubes_, tubes_);
  // A term that depends on the dividing flow behind tube k falls with each of the first k tubes.
  const auto charge = [&](Eigen::Index row, Eigen::Index k, const Sloped& term, double sign) {
    residual[row] -= sign * term.value;
    slopes.row(row).head(k).array() += sign * term.slope;
  };
  const auto combining = [&](Sloped term) {
    term.slope *= -direction();
    return term;
  };
  for (Eigen::Index i = 0; i + 1 < tubes_; ++i) {
    const Sloped here = tube_loss(tubes[i]);
    const Sloped next = tube_loss(tubes[i + 1]);
    residual[i] = next.value - here.value;
    slopes(i, i + 1) += next.slope;
    slopes(i, i) -= here.slope;
    // The pressure at a tube's mouth is the mean of those before and behind it.
    charge(i, i, momentum_head(ladder_.dividing, density, left[i]), 0.5);
    charge(i, i + 2, momentum_head(ladder_.dividing, density, left[i + 2]), -0.5);
    charge(i, i + 1, friction_loss(ladder_.dividing, ladder_, left[i + 1]), -1);
    const double way = direction();
    const auto momentum = [&](Eigen::Index k) {
      return combining(momentum_head(ladder_.combining, density, combined(left[k])));
    };
    charge(i, i, momentum(i), -0.5);
    charge(i, i + 2, momentum(i + 2), 0.5);
    charge(i, i + 1, combining(friction_loss(ladder_.combining, ladder_, combined(left[i + 1]))), way);
  }
  residual[tubes_ - 1] = tubes.sum() - flow_;
  slopes.row(tubes_ - 1).setOnes();
}

double Equations::loss(const Vector& tubes) const {
  const Vector left = divided(tubes);
  const auto dividing = [&](Eigen::Index k) {
    return momentum_head(ladder_.dividing, ladder_.density, left[k]).value;
  };
  const auto combining = [&](Eigen::Index k) {
    return momentum_head(ladder_.combining, ladder_.density, combined(left[k])).value;
  };
  double sum = tube_loss(tubes[0]).value - 0.5 * (dividing(0) - dividing(1));
  if (is_u()) return sum + 0.5 * (combining(0) - combining(1));
  sum += 0.5 * (combining(1) - combining(0));
  for (Eigen::Index i = 1; i < tubes_; ++i) {
    sum += combining(i + 1) - combining(i);
    sum += friction_loss(ladder_.combining, ladder_, combined(left[i])).value;
  }
  return sum;
}

Issue unsolved(int tubes) {
  Issue issue;
  issue.code = "headers_without_solution";
  issue.status = Status::no_solution;
  issue.text = fmt::format(
      "the flow through {} tubes could not be shared between the headers; expected headers whose area is not "
      "far below that of all tubes",
      tubes);
  return issue;
}

TubeShares shares_of(const Equations& equations, const Vector& tubes) {
  TubeShares shares;
  shares.flows.assign(tubes.begin(), tubes.end());
  const double mean = tubes.mean();
  const double least = tubes.minCoeff();
  shares.most_over_least = least > 0 ? tubes.maxCoeff() / least : std::numeric_limits<double>::infinity();
  shares.unevenness = std::sqrt((tubes.array() / mean - 1).square().mean());
  shares.loss = equations.loss(tubes);
  return shares;
}

}  // namespace

Result<TubeShares> tube_shares(const HeaderLadder& ladder, double flow) {
  const Equations equations(ladder, flow);
  Vector tubes = Vector::Constant(ladder.tubes, flow / ladder.tubes);
  Vector residual(ladder.tubes);
  Eigen::MatrixXd slopes(ladder.tubes, ladder.tubes);
  equations.evaluate(tubes, residual, slopes);
  for (int step = 0; step < 100; ++step) {
    const Vector change = slopes.partialPivLu().solve(-residual);
    if (!change.allFinite()) return unsolved(ladder.tubes);
    const double before = residual.norm();
    double part = 1;
    Vector trial = tubes + change;
    equations.evaluate(trial, residual, slopes);
    // Where the flow of a tube would turn, the whole step overshoots.
    while (residual.norm() > before && part > 1e-3 && change.norm() > 1e-10 * flow) {
      part /= 2;
      trial = tubes + part * change;
      equations.evaluate(trial, residual, slopes);
    }
    tubes = trial;
    if (change.norm() <= 1e-12 * flow) return shares_of(equations, tubes);
  }
  return unsolved(ladder.tubes);
}

}  // namespace corefeed::cooling
