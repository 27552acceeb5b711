// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <TopoDS_Shape.hxx>
#include <TopoDS_Solid.hxx>
#include <functional>
#include <gp_Ax2.hxx>
#include <optional>
#include <string>
#include <vector>

#include "geometry_samples/sample.hpp"

namespace corefeed::geometry_samples {

/// Shares of the length at which every truth file states the section.
inline constexpr double station_shares[] = {0.05, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 0.95};

/// A cross-section with its center on the center line; a round one has width = height = diameter.
struct Section {
  bool round = false;
  double width = 0.0;
  double height = 0.0;

  double area() const;
  double perimeter() const;
};

/// A duct made of pieces, one behind the other, with the closed-form truth of each piece kept beside its
/// solid. Frames: main direction along the flow, X direction along the width, Y direction along the height.
class DuctChain {
 public:
  DuctChain(const gp_Ax2& mouth_frame, const Section& mouth);

  void straight(double length);

  /// Turns the flow by `angle` towards `toward`, a direction square to it, at center line radius `radius`.
  void bend(double angle, double radius, const gp_Dir& toward);

  /// Width and height change linearly along `length`: a frustum with plane walls, or a cone for a round
  /// section.
  void widen(double length, double width, double height);

  /// A rectangular section whose height dips smoothly to `throat_height` half way along `length`.
  void pinch(double length, double throat_height);

  const gp_Ax2& frame() const { return frame_; }
  TopoDS_Solid solid() const;
  Truth truth(const std::string& formula) const;

 private:
  struct Turn {
    gp_Ax1 axis;
    double angle = 0.0;
    double radius = 0.0;
  };
  struct Piece {
    gp_Ax2 start;
    double length = 0.0;
    double volume = 0.0;
    std::optional<Turn> turn;
    std::function<Section(double share)> section;
  };

  void append(const TopoDS_Shape& solid, Piece piece);
  double length() const;
  Station station(double distance) const;
  static gp_Ax2 frame_at(const Piece& piece, double share);

  gp_Ax2 first_frame_;
  gp_Ax2 frame_;
  Section first_section_;
  Section section_;
  std::vector<TopoDS_Shape> solids_;
  std::vector<Piece> pieces_;
};

}  // namespace corefeed::geometry_samples
