// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/trace_branches.hpp"

#include <Standard_Failure.hxx>
#include <TopExp_Explorer.hxx>
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "cad_bridge/geometry/branches.hpp"
#include "cad_bridge/geometry/cut_passage.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "cad_bridge/geometry/names.hpp"
#include "cad_bridge/geometry/openings.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

constexpr double millimeters = 1e3;  // per m
/// Planes stand off the crotch by the first of these shares of the branch's diameter at which they cut the
/// common passage, or the branch's own, alone. The crotch is a vertex of the mesh: on curved walls it may lie
/// beside the true one; and the common passage before a branch at the side ends where its mouth begins.
constexpr std::array<double, 12> stand_offs{2e-4, 2e-3, 2e-2, 0.1, 0.3, 0.5, 0.7, 0.9, 1.02, 1.2, 1.6, 2.2};
/// For a first look at the common passage: far enough ahead of the split that no branch opens there yet.
constexpr std::array<double, 6> far_stand_offs{1.6, 2.2, 1.2, 0.9, 0.5, 0.1};
/// Directions that change by less (rad) need no further cut.
constexpr double settled = 0.01;

Vec3 to_vec(const std::array<double, 3>& v) { return {v[0], v[1], v[2]}; }

Passage passage_of(const Stretch& stretch) {
  return {stretch.solid, {measure_opening(stretch.first, "first"), measure_opening(stretch.last, "last")}};
}

/// A path from trunk to branch as stretches with one way through, and the steps between them.
class Follower {
 public:
  Follower(const Passage& passage, std::size_t trunk, std::size_t branch)
      : passage_(passage), trunk_(trunk), branch_(branch) {
    size_ = passage.openings[branch].hydraulic_diameter * millimeters;
  }

  Result<std::vector<Stretch>> stretches(const std::vector<Split>& rough) const {
    // The rough directions are those of level curves; then those of the lines found.
    std::vector<Split> splits = rough;
    for (int pass = 0; pass < 3; ++pass) {
      Result<std::vector<Stretch>> cut = cut_all(splits, pass == 0);
      if (!cut || pass == 2) return cut;
      const double change = take_directions(splits, cut.value());
      if (pass > 0 && change < settled) return cut;
    }
    return failed();
  }

 private:
  Issue failed() const {
    return geometry_error("no_split",
                          fmt::format("the passage from {} to {} could not be cut where it divides",
                                      corefeed::quoted(passage_.openings[trunk_].name),
                                      corefeed::quoted(passage_.openings[branch_].name)));
  }

  /// The largest change of a direction, rad.
  double take_directions(std::vector<Split>& splits, const std::vector<Stretch>& stretches) const {
    double change = 0;
    const auto take = [&change](Vec3& direction, const std::optional<Vec3>& found) {
      if (!found) return;
      change = std::max(change, direction.cross(*found).norm());
      direction = *found;
    };
    for (std::size_t i = 0; i < splits.size(); ++i) {
      take(splits[i].before, end_direction(stretches[i], false));
      take(splits[i].after, end_direction(stretches[i + 1], true));
    }
    return change;
  }

  Result<std::vector<Stretch>> cut_all(const std::vector<Split>& splits, bool first_look) const {
    std::vector<Stretch> result;
    Stretch rest{passage_.solid, passage_.openings[trunk_].face, passage_.openings[branch_].face};
    for (const Split& split : splits) {
      auto common = cut_off(rest, split, true, first_look);
      auto onward = cut_off(rest, split, false, false);
      if (!common || !onward) return failed();
      result.push_back(std::move(*common));
      rest = std::move(*onward);
    }
    result.push_back(std::move(rest));
    return result;
  }

  /// What lies before a split (`before`), with no end but the trunk's, or behind it, without those that part
  /// here; as near to the split as it can be found, at a first look well ahead of it.
  std::optional<Stretch> cut_off(const Stretch& rest, const Split& split, bool before,
                                 bool first_look) const {
    const int own = is_end(rest.first) ? 1 : 0;
    const int most = before ? own : ends_in(rest.solid) - own - 1;
    const auto cut = [&](double stand_off) -> std::optional<Stretch> {
      const double away = stand_off * size_;
      const CutPlane plane = before ? CutPlane{split.crotch - away * split.before, split.before}
                                    : CutPlane{split.crotch + away * split.after, split.after};
      const auto piece = cut_stretch(rest, plane, before, end_faces());
      return piece && piece->ends <= most ? std::optional(piece->stretch) : std::nullopt;
    };
    if (first_look) {
      for (const double stand_off : far_stand_offs) {
        if (auto piece = cut(stand_off)) return piece;
      }
    }
    double refused = 0;
    for (double taken : stand_offs) {
      auto piece = cut(taken);
      if (!piece) {
        refused = taken;
        continue;
      }
      constexpr int halvings = 4;
      for (int i = 0; i < halvings && refused > 0; ++i) {
        const double between = 0.5 * (refused + taken);
        auto nearer = cut(between);
        (nearer ? taken : refused) = between;
        if (nearer) piece = std::move(nearer);
      }
      return piece;
    }
    return std::nullopt;
  }

  std::vector<TopoDS_Face> end_faces() const {
    std::vector<TopoDS_Face> faces;
    for (const Opening& opening : passage_.openings) faces.push_back(opening.face);
    return faces;
  }

  bool is_end(const TopoDS_Shape& face) const {
    return std::any_of(passage_.openings.begin(), passage_.openings.end(),
                       [&face](const Opening& opening) { return opening.face.IsSame(face); });
  }

  int ends_in(const TopoDS_Shape& solid) const {
    int count = 0;
    for (TopExp_Explorer face(solid, TopAbs_FACE); face.More(); face.Next())
      count += is_end(face.Current()) ? 1 : 0;
    return count;
  }

  /// Direction of the line through a stretch, away from the trunk, one diameter from its first or last end.
  std::optional<Vec3> end_direction(const Stretch& stretch, bool at_first) const {
    PathOptions options;
    options.sections = 21;
    const Result<Path> path = trace_path(passage_of(stretch), 0, 1, options);
    if (!path) return std::nullopt;
    const double length = path.value().length;
    const double from_end = std::min(size_ / millimeters, 0.5 * length);
    const double place = at_first ? from_end : length - from_end;
    const std::vector<Station>& stations = path.value().stations;
    const auto nearest =
        std::min_element(stations.begin(), stations.end(), [place](const Station& a, const Station& b) {
          return std::abs(a.distance - place) < std::abs(b.distance - place);
        });
    return to_vec(nearest->tangent);
  }

  const Passage& passage_;
  std::size_t trunk_;
  std::size_t branch_;
  double size_ = 0;
};

Station moved_on(Station station, double by) {
  station.distance += by;
  return station;
}

/// Joins the paths through the stretches, in their order.
class Joiner {
 public:
  explicit Joiner(std::vector<Passage> stretches) : stretches_(std::move(stretches)) {}

  Result<Path> run(const PathOptions& options) {
    for (const Passage& stretch : stretches_) {
      PathOptions ends;
      ends.sections = 2;
      Result<Path> path = trace_path(stretch, 0, 1, ends);
      if (!path) return path.issues();
      paths_.push_back(std::move(path).value());
    }
    double begin = 0;
    for (std::size_t i = 0; i < paths_.size(); ++i) {
      if (i > 0) begin += step_length(i);
      begins_.push_back(begin);
      begin += paths_[i].length;
    }
    joined_.length = begin;
    if (Result<bool> added = add_stations(options); !added) return added.issues();
    add_pieces();
    find_narrowest();
    return std::move(joined_);
  }

 private:
  Vec3 step(std::size_t i) const {
    return to_vec(paths_[i].stations.front().center) - to_vec(paths_[i - 1].stations.back().center);
  }
  double step_length(std::size_t i) const { return step(i).norm(); }

  Result<bool> add_stations(const PathOptions& options) {
    std::vector<double> places;
    for (int i = 0; i < options.sections; ++i)
      places.push_back(joined_.length * i / (std::max(options.sections, 2) - 1));
    for (const double share : options.shares) places.push_back(joined_.length * share);
    std::sort(places.begin(), places.end());
    places.erase(std::unique(places.begin(), places.end()), places.end());
    for (std::size_t i = 0; i < paths_.size(); ++i) {
      if (i > 0) add_step_stations(i, places);
      PathOptions inside;
      inside.sections = 2;
      const double begin = begins_[i];
      const double length = paths_[i].length;
      const auto within = [&](double place) {
        return place >= begin - 1e-12 && place <= begin + length + 1e-12;
      };
      for (const double place : places) {
        if (within(place)) inside.shares.push_back(std::clamp((place - begin) / length, 0.0, 1.0));
      }
      const Result<Path> path = trace_path(stretches_[i], 0, 1, inside);
      if (!path) return path.issues();
      for (const Station& station : path.value().stations) {
        const bool wanted = std::any_of(places.begin(), places.end(), [&](double place) {
          return std::abs(place - begin - station.distance) < 1e-9 * joined_.length;
        });
        if (wanted) joined_.stations.push_back(moved_on(station, begin));
      }
    }
    return true;
  }

  /// On the step itself the nearer of the two sections stands for both.
  void add_step_stations(std::size_t i, const std::vector<double>& places) {
    const double to = begins_[i];
    const double length = step_length(i);
    if (!(length > 0)) return;
    for (const double place : places) {
      const double share = (place - (to - length)) / length;
      if (share <= 1e-9 || share >= 1 - 1e-9) continue;
      Station station = share < 0.5 ? paths_[i - 1].stations.back() : paths_[i].stations.front();
      const Vec3 center = to_vec(paths_[i - 1].stations.back().center) + share * step(i);
      const Vec3 along = step(i) / length;
      station.center = {center.x(), center.y(), center.z()};
      station.tangent = {along.x(), along.y(), along.z()};
      station.distance = place;
      joined_.stations.push_back(station);
    }
  }

  void add_pieces() {
    for (std::size_t i = 0; i < paths_.size(); ++i) {
      if (i > 0) joined_.pieces.push_back(junction(i));
      for (Piece piece : paths_[i].pieces) {
        piece.from += begins_[i];
        piece.to += begins_[i];
        joined_.pieces.push_back(std::move(piece));
      }
    }
  }

  Piece junction(std::size_t i) const {
    const Vec3 before = to_vec(paths_[i - 1].stations.back().tangent);
    const Vec3 after = to_vec(paths_[i].stations.front().tangent);
    Piece piece;
    piece.kind = "junction";
    piece.from = begins_[i] - step_length(i);
    piece.to = begins_[i];
    piece.numbers["angle"] = std::acos(std::clamp(before.dot(after), -1.0, 1.0));
    piece.reason = "the passage divides; straight between the last common section and the branch's first";
    return piece;
  }

  void find_narrowest() {
    const auto narrowest = std::min_element(paths_.begin(), paths_.end(), [](const Path& a, const Path& b) {
      return a.narrowest_area < b.narrowest_area;
    });
    joined_.narrowest_distance =
        begins_[static_cast<std::size_t>(narrowest - paths_.begin())] + narrowest->narrowest_distance;
    joined_.narrowest_area = narrowest->narrowest_area;
    joined_.narrowest_outlines = narrowest->narrowest_outlines;
  }

  std::vector<Passage> stretches_;
  std::vector<Path> paths_;
  std::vector<double> begins_;
  Path joined_;
};

/// The stretches in the direction of the flow: turned round where it comes from the branches.
std::vector<Passage> in_flow_direction(const std::vector<Stretch>& stretches, bool towards_trunk) {
  std::vector<Passage> passages;
  for (const Stretch& stretch : stretches) {
    Passage passage = passage_of(stretch);
    if (towards_trunk) std::reverse(passage.openings.begin(), passage.openings.end());
    passages.push_back(std::move(passage));
  }
  if (towards_trunk) std::reverse(passages.begin(), passages.end());
  return passages;
}

/// The trunk, and whether its name or the directions tell it.
void choose_trunk(const std::vector<Opening>& openings, BranchedPaths& result, bool& towards_trunk) {
  std::vector<std::size_t> entries;
  std::vector<std::size_t> exits;
  std::size_t largest = 0;
  std::optional<std::size_t> named;
  for (std::size_t i = 0; i < openings.size(); ++i) {
    const FlowEnd end = flow_end(openings[i].name);
    if (end == FlowEnd::entry) entries.push_back(i);
    if (end == FlowEnd::exit) exits.push_back(i);
    if (openings[i].area > openings[largest].area) largest = i;
    if (name_has_word(openings[i].name, "trunk")) named = i;
  }
  const bool one_in = entries.size() == 1 && exits.size() + 1 == openings.size();
  const bool one_out = exits.size() == 1 && entries.size() + 1 == openings.size();
  result.trunk = named ? *named : one_in ? entries.front() : one_out ? exits.front() : largest;
  towards_trunk = flow_end(openings[result.trunk].name) == FlowEnd::exit;
  result.assumed = !one_in && !one_out && flow_end(openings[result.trunk].name) == FlowEnd::unknown;
}

Result<Path> follow(const Passage& passage, const WallMesh& mesh, std::size_t trunk, std::size_t branch,
                    bool towards_trunk, const PathOptions& options) {
  const auto splits = find_splits(mesh, static_cast<int>(trunk), static_cast<int>(branch),
                                  static_cast<int>(passage.openings.size()));
  if (!splits) return splits.issues();
  const auto stretches = Follower(passage, trunk, branch).stretches(splits.value());
  if (!stretches) return stretches.issues();
  Result<Path> path = Joiner(in_flow_direction(stretches.value(), towards_trunk)).run(options);
  if (!path) return path;
  path.value().from = passage.openings[towards_trunk ? branch : trunk].name;
  path.value().to = passage.openings[towards_trunk ? trunk : branch].name;
  return path;
}

}  // namespace

BranchedPaths trace_branches(const Passage& passage, const PathOptions& options) {
  BranchedPaths result;
  bool towards_trunk = false;
  choose_trunk(passage.openings, result, towards_trunk);
  Result<WallMesh> mesh = build_wall_mesh(passage);
  if (!mesh) {
    result.errors = mesh.issues();
    return result;
  }
  double smallest = passage.openings.front().area;
  for (const Opening& opening : passage.openings) smallest = std::min(smallest, opening.area);
  // Fine enough that the crotch lies within a few hundredths of a diameter of where it is.
  split_long_edges(mesh.value(), 0.25 * std::sqrt(smallest) * millimeters);
  for (std::size_t branch = 0; branch < passage.openings.size(); ++branch) {
    if (branch == result.trunk) continue;
    Result<Path> path = Issue{};
    try {
      path = follow(passage, mesh.value(), result.trunk, branch, towards_trunk, options);
    } catch (const Standard_Failure& failure) {
      path =
          geometry_error("no_split", fmt::format("the geometry kernel failed where the passage divides ({})",
                                                 corefeed::quoted(failure.GetMessageString())));
    }
    if (path) {
      result.paths.push_back(std::move(path).value());
    } else {
      result.errors.insert(result.errors.end(), path.issues().begin(), path.issues().end());
    }
  }
  return result;
}

}  // namespace corefeed::geometry
