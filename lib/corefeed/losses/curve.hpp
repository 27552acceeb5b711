// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <vector>

namespace corefeed::losses {

/// A measured curve y(x): a cubic through the points that rises and falls only where the points do, and gives
/// back a square law between its points exactly. Beyond the ends it goes on as a straight line; a law that
/// knows better says so itself, and its result carries a warning.
class Curve {
 public:
  /// Two points at least, x strictly rising, all finite (asserted: the reader has refused anything else).
  /// `abscissa` says which of `CurveForm::abscissas` x is. With `from_origin` the point (0, 0) is added where
  /// it is missing.
  Curve(std::vector<double> x, std::vector<double> y, std::size_t abscissa, bool from_origin);

  double value(double x) const;
  double slope(double x) const;

  std::size_t abscissa() const { return abscissa_; }
  const std::vector<double>& x() const { return x_; }
  const std::vector<double>& y() const { return y_; }
  double first() const { return x_.front(); }
  double last() const { return x_.back(); }
  /// Smallest x above 0 at which a point was measured.
  double first_measured() const { return first_measured_; }

  /// The range over which y rises (falls) with x between the first and last point; empty (from = to) if it
  /// does not.
  struct Span {
    double from = 0;
    double to = 0;
    bool empty() const { return !(to > from); }
  };
  Span rising() const { return longest_run(1.0); }
  Span falling() const { return longest_run(-1.0); }

 private:
  Span longest_run(double sense) const;

  struct Cubic;
  std::vector<double> x_;
  std::vector<double> y_;
  std::size_t abscissa_;
  double first_measured_ = 0;
  std::shared_ptr<const Cubic> cubic_;
};

/// The points of a test that several numbers describe (`CurveForm::beside`).
struct TestPoints {
  std::size_t abscissa = 0;              ///< which of `CurveForm::abscissas`
  std::vector<std::size_t> alternative;  ///< which of each of `CurveForm::beside`
  /// Abscissa, what stands beside it, ordinate; all of one length, SI.
  std::vector<std::vector<double>> columns;
};

}  // namespace corefeed::losses
