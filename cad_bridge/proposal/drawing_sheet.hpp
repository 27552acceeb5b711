// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <limits>
#include <string>
#include <vector>

#include "cad_bridge/worker/measurement.hpp"
#include "corefeed/reports/svg.hpp"

/// Drawings to scale with dimensions, as a shop reads them.
namespace corefeed::proposal {

/// Where one looks from: `across` to the right, `up` upward, both unit and square to each other.
struct View {
  worker::Direction across{};
  worker::Direction up{};
  std::string name;

  reports::PlanePoint flat(const worker::Point& point) const;  ///< mm
};

/// The view against a direction: what points at the viewer. Upward is the car's z, else y.
View view_against(const worker::Direction& toward_viewer, std::string name);

/// A window on the plane, mm.
struct Window {
  double low_x = std::numeric_limits<double>::infinity();
  double high_x = -low_x;
  double low_y = low_x;
  double high_y = -low_x;

  void add(const reports::PlanePoint& point);
  bool empty() const { return !(high_x >= low_x) || !(high_y >= low_y); }
  double width() const { return high_x - low_x; }
  double height() const { return high_y - low_y; }
};

/// Collects what is drawn in one view. Coordinates in mm.
class Sheet {
 public:
  explicit Sheet(View view) : view_(std::move(view)) {}

  /// A curve in space; `style` is a class of the page's style sheet. Context (`measured` false) is drawn as
  /// far as it lies in the window and does not widen it.
  void curve(const worker::Curve& curve, std::string_view style, bool closed, bool measured = true);

  /// Several closed curves as one shape: what lies in an even number of them stays open.
  void shape(const std::vector<worker::Curve>& curves, std::string_view style);

  /// Widens the window.
  void make_room(const reports::PlanePoint& at) { window_.add(at); }

  void line(std::vector<reports::PlanePoint> points, std::string_view style);

  /// `side`: -1 ends at the point, 0 is centered on it, 1 begins there.
  void label(const reports::PlanePoint& at, std::string text, std::string_view style = "name", int side = 1);

  const View& view() const { return view_; }
  const Window& window() const { return window_; }

  /// The drawing, as large as fits, with its width and height as dimensions and a bar to measure by. Empty
  /// where nothing has an extent. `scale` (px per mm) overrides the size.
  std::string svg(double width, double most_height, double scale = 0) const;

 private:
  struct Item {
    std::vector<std::vector<reports::PlanePoint>> curves;
    std::string style;
    bool closed = false;
  };
  struct Word {
    reports::PlanePoint at;
    std::string text;
    std::string style;
    int side = 1;
  };

  View view_;
  Window window_;
  std::vector<Item> items_;
  std::vector<Word> words_;
};

/// A length as a drawing shows it: whole millimeters where it is nearly whole, else tenths.
std::string drawn_length(double millimeters);

}  // namespace corefeed::proposal
