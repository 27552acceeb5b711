// SPDX-License-Identifier: Apache-2.0
#include "corefeed/losses/curve.hpp"

#include <algorithm>
#include <boost/math/interpolators/cubic_hermite.hpp>
#include <cassert>
#include <cmath>

namespace corefeed::losses {

struct Curve::Cubic {
  boost::math::interpolators::cubic_hermite<std::vector<double>> hermite;
  double first_slope;
  double last_slope;
};

namespace {

/// Slope at a point between two chords. That of the parabola through the three points gives a square law back
/// exactly; held to three times the flatter chord, the cubic stays monotone between the points (Fritsch &
/// Carlson 1980, SIAM J. Numer. Anal. 17:238).
double middle_slope(double chord_before, double chord_behind, double before, double behind) {
  if (chord_before * chord_behind <= 0.0) return 0.0;
  const double parabola = (chord_before * behind + chord_behind * before) / (before + behind);
  const double flattest = std::min(std::abs(chord_before), std::abs(chord_behind));
  return std::copysign(std::min(std::abs(parabola), 3.0 * flattest), chord_before);
}

/// Slope at an end: that of the parabola through the nearest three points, held as above.
double end_slope(double nearest, double next, double nearest_width, double next_width) {
  const double parabola = nearest + (nearest - next) * nearest_width / (nearest_width + next_width);
  if (parabola * nearest <= 0.0) return 0.0;
  return std::copysign(std::min(std::abs(parabola), 3.0 * std::abs(nearest)), nearest);
}

std::vector<double> slopes_of(const std::vector<double>& x, const std::vector<double>& y) {
  const std::size_t count = x.size();
  std::vector<double> width;
  std::vector<double> chord;
  for (std::size_t i = 1; i < count; ++i) {
    width.push_back(x[i] - x[i - 1]);
    chord.push_back((y[i] - y[i - 1]) / width.back());
  }
  if (count == 2) return {chord[0], chord[0]};
  std::vector<double> slope{end_slope(chord[0], chord[1], width[0], width[1])};
  for (std::size_t i = 1; i + 1 < count; ++i) {
    slope.push_back(middle_slope(chord[i - 1], chord[i], width[i - 1], width[i]));
  }
  slope.push_back(end_slope(chord[count - 2], chord[count - 3], width[count - 2], width[count - 3]));
  return slope;
}

}  // namespace

Curve::Curve(std::vector<double> x, std::vector<double> y, std::size_t abscissa, bool from_origin)
    : x_(std::move(x)), y_(std::move(y)), abscissa_(abscissa) {
  const auto above_zero = std::find_if(x_.begin(), x_.end(), [](double one) { return one > 0.0; });
  first_measured_ = above_zero == x_.end() ? 0.0 : *above_zero;
  if (from_origin && x_.front() > 0.0) {
    x_.insert(x_.begin(), 0.0);
    y_.insert(y_.begin(), 0.0);
  }
  assert(x_.size() >= 2 && x_.size() == y_.size());
  std::vector<double> slope = slopes_of(x_, y_);
  // A loss that begins like a square law would have no slope at rest and leave the flow there undetermined.
  if (from_origin) slope.front() = std::max(slope.front(), 0.02 * y_[1] / x_[1]);
  const double first = slope.front();
  const double last = slope.back();
  cubic_ = std::make_shared<const Cubic>(
      Cubic{{std::vector<double>(x_), std::vector<double>(y_), std::move(slope)}, first, last});
}

double Curve::value(double x) const {
  if (x < first()) return y_.front() + cubic_->first_slope * (x - first());
  if (x >= last()) return y_.back() + cubic_->last_slope * (x - last());
  return cubic_->hermite(x);
}

double Curve::slope(double x) const {
  if (x < first()) return cubic_->first_slope;
  if (x >= last()) return cubic_->last_slope;
  return cubic_->hermite.prime(x);
}

Curve::Span Curve::longest_run(double sense) const {
  Span longest;
  for (std::size_t i = 1; i < x_.size();) {
    std::size_t end = i;
    while (end < x_.size() && sense * (y_[end] - y_[end - 1]) > 0.0) ++end;
    if (end > i && x_[end - 1] - x_[i - 1] > longest.to - longest.from) longest = {x_[i - 1], x_[end - 1]};
    i = end > i ? end : i + 1;
  }
  return longest;
}

}  // namespace corefeed::losses
