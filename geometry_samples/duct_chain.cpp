// SPDX-License-Identifier: Apache-2.0
#include "geometry_samples/duct_chain.hpp"

#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <gp_Ax1.hxx>
#include <gp_Vec.hxx>
#include <iterator>
#include <numbers>
#include <utility>

#include "geometry_samples/piece_solids.hpp"
#include "geometry_samples/solids.hpp"

namespace corefeed::geometry_samples {

double Section::area() const { return round ? std::numbers::pi / 4.0 * width * width : width * height; }

double Section::perimeter() const { return round ? std::numbers::pi * width : 2.0 * (width + height); }

DuctChain::DuctChain(const gp_Ax2& mouth_frame, const Section& mouth)
    : first_frame_(mouth_frame), frame_(mouth_frame), first_section_(mouth), section_(mouth) {}

void DuctChain::straight(double length) {
  const gp_Vec along = gp_Vec(frame_.Direction()) * length;
  const Section same = section_;
  append(BRepPrimAPI_MakePrism(section_face(frame_, section_), along).Shape(),
         {frame_, length, same.area() * length, std::nullopt, [same](double) { return same; }});
}

void DuctChain::bend(double angle, double radius, const gp_Dir& toward) {
  const gp_Pnt pivot = frame_.Location().Translated(gp_Vec(toward) * radius);
  const gp_Ax1 axis(pivot, frame_.Direction().Crossed(toward));
  const Section same = section_;
  // Pappus: the section's center of area lies on the center line, so that it travels the arc length.
  const double arc = radius * angle;
  const TopoDS_Shape solid = same.round
                                 ? torus_part(axis, frame_, same.width, angle)
                                 : BRepPrimAPI_MakeRevol(section_face(frame_, same), axis, angle).Shape();
  append(solid, {frame_, arc, same.area() * arc, Turn{axis, angle, radius}, [same](double) { return same; }});
}

void DuctChain::widen(double length, double width, double height) {
  const Section from = section_;
  const Section to{from.round, width, height};
  const auto between = [from, to](double share) {
    return Section{from.round, from.width + share * (to.width - from.width),
                   from.height + share * (to.height - from.height)};
  };
  // The area is quadratic along the axis, so that Simpson's rule is exact.
  const double volume = length / 6.0 * (from.area() + 4.0 * between(0.5).area() + to.area());
  const TopoDS_Shape solid = from.round
                                 ? BRepPrimAPI_MakeCone(frame_, from.width / 2.0, width / 2.0, length).Shape()
                                 : TopoDS_Shape(frustum(frame_, from, to, length));
  append(solid, {frame_, length, volume, std::nullopt, between});
}

void DuctChain::pinch(double length, double throat_height) {
  const Section from = section_;
  const double dip = from.height - throat_height;
  const auto between = [from, dip](double share) {
    const double bump = share * (1.0 - share);
    return Section{false, from.width, from.height - dip * 16.0 * bump * bump};
  };
  // The integral of 16 t^2 (1 - t)^2 from 0 to 1 is 16 B(3, 3) = 8/15.
  const double volume = from.width * length * (from.height - dip * 8.0 / 15.0);
  append(pinched_box(frame_, from, throat_height, length), {frame_, length, volume, std::nullopt, between});
}

void DuctChain::append(const TopoDS_Shape& solid, Piece piece) {
  solids_.push_back(solid);
  frame_ = frame_at(piece, 1.0);
  section_ = piece.section(1.0);
  pieces_.push_back(std::move(piece));
}

TopoDS_Solid DuctChain::solid() const { return join(solids_); }

double DuctChain::length() const {
  double sum = 0.0;
  for (const Piece& piece : pieces_) sum += piece.length;
  return sum;
}

gp_Ax2 DuctChain::frame_at(const Piece& piece, double share) {
  if (piece.turn) return piece.start.Rotated(piece.turn->axis, share * piece.turn->angle);
  return piece.start.Translated(gp_Vec(piece.start.Direction()) * (share * piece.length));
}

Station DuctChain::station(double distance) const {
  double begin = 0.0;
  auto piece = pieces_.begin();
  while (std::next(piece) != pieces_.end() && begin + piece->length < distance) begin += (piece++)->length;
  const double share = (distance - begin) / piece->length;
  const gp_Ax2 frame = frame_at(*piece, share);
  const Section section = piece->section(share);
  return {distance, section.area(), section.perimeter(), frame.Location(), frame.Direction()};
}

Truth DuctChain::truth(const std::string& formula) const {
  Truth truth;
  truth.formula = formula;
  truth.length = length();
  double begin = 0.0;
  for (const Piece& piece : pieces_) {
    truth.volume += piece.volume;
    if (piece.turn)
      truth.bends.push_back({begin, begin + piece.length, piece.turn->angle, piece.turn->radius});
    begin += piece.length;
  }
  truth.ends.push_back({"from", first_section_.area(), first_section_.perimeter(), first_frame_.Location(),
                        first_frame_.Direction().Reversed()});
  truth.ends.push_back({"to", section_.area(), section_.perimeter(), frame_.Location(), frame_.Direction()});
  for (const double share : station_shares) truth.stations.push_back(station(share * truth.length));
  return truth;
}

}  // namespace corefeed::geometry_samples
