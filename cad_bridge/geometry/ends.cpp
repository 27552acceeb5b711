// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/ends.hpp"

#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <algorithm>
#include <cmath>
#include <limits>

#include "cad_bridge/geometry/edge_angle.hpp"
#include "cad_bridge/geometry/messages.hpp"
#include "fmt/format.h"

namespace corefeed::geometry {
namespace {

bool whole_rim_is_sharp(const PlanarFace& end, const FacesOfEdge& faces_of_edge) {
  for (TopExp_Explorer each(end.face, TopAbs_EDGE); each.More(); each.Next()) {
    const TopoDS_Edge& edge = TopoDS::Edge(each.Current());
    const TopoDS_Face wall = face_across(faces_of_edge.FindFromKey(edge), end.face);
    if (wall.IsNull() || !edge_angle(edge, end.face, wall).sharp_convex()) return false;
  }
  return true;
}

void find_neighbors(std::vector<EndCandidate>& candidates, const FacesOfEdge& faces_of_edge) {
  for (EndCandidate& candidate : candidates) {
    for (TopExp_Explorer edge(candidate.face.face, TopAbs_EDGE); edge.More(); edge.Next()) {
      const TopoDS_Face wall = face_across(faces_of_edge.FindFromKey(edge.Current()), candidate.face.face);
      const auto neighbor = std::find_if(candidates.begin(), candidates.end(),
                                         [&wall](const auto& other) { return other.face.face.IsSame(wall); });
      if (neighbor == candidates.end()) continue;
      const auto index = static_cast<std::size_t>(neighbor - candidates.begin());
      auto& known = candidate.neighbors;
      if (std::find(known.begin(), known.end(), index) == known.end()) known.push_back(index);
    }
  }
}

/// Branch and bound: some face of the closed neighborhood of every candidate is in a maximal set, so the open
/// candidate with the fewest such faces is branched on.
class Search {
 public:
  Search(const std::vector<EndCandidate>& candidates, const std::vector<std::size_t>& given)
      : candidates_(candidates), state_(candidates.size(), State::open) {
    for (const std::size_t each : given) take(each);
    descend();
  }
  bool gave_up() const { return work_ > most_work; }
  ChosenEnds best() const { return best_; }

 private:
  enum class State : char { open, refused, dominated, taken };

  void take(std::size_t candidate) {
    state_[candidate] = State::taken;
    taken_.push_back(candidate);
    area_ += candidates_[candidate].face.area;
    for (const std::size_t neighbor : candidates_[candidate].neighbors) {
      if (state_[neighbor] != State::taken) state_[neighbor] = State::dominated;
    }
  }

  std::vector<std::size_t> choices_for(std::size_t candidate) const {
    std::vector<std::size_t> choices;
    if (state_[candidate] == State::open) choices.push_back(candidate);
    for (const std::size_t neighbor : candidates_[candidate].neighbors) {
      if (state_[neighbor] == State::open) choices.push_back(neighbor);
    }
    return choices;
  }

  void record() {
    if (taken_.size() < 2) return;
    const bool tie = std::abs(area_ - best_area_) <= 1e-9 * area_;
    if (tie) best_.unique = false;
    if (tie || area_ > best_area_) return;
    best_ = {taken_, true};
    std::sort(best_.chosen.begin(), best_.chosen.end());
    best_area_ = area_;
  }

  void descend() {
    work_ += static_cast<long>(state_.size());
    if (gave_up() || area_ > best_area_ * (1 + 1e-9)) return;
    std::optional<std::vector<std::size_t>> fewest;
    for (std::size_t i = 0; i < state_.size(); ++i) {
      if (state_[i] != State::open && state_[i] != State::refused) continue;
      auto choices = choices_for(i);
      if (!fewest || choices.size() < fewest->size()) fewest = std::move(choices);
    }
    if (!fewest) return record();
    const auto before = state_;
    const auto taken = taken_;
    const double area = area_;
    for (std::size_t i = 0; i < fewest->size(); ++i) {
      take((*fewest)[i]);
      descend();
      state_ = before;
      taken_ = taken;
      area_ = area;
      for (std::size_t k = 0; k <= i; ++k) state_[(*fewest)[k]] = State::refused;
    }
    state_ = before;
  }

  static constexpr long most_work = 5000000;  // candidates looked at; about a second
  const std::vector<EndCandidate>& candidates_;
  std::vector<State> state_;
  std::vector<std::size_t> taken_;
  double area_ = 0;
  double best_area_ = std::numeric_limits<double>::infinity();
  ChosenEnds best_;
  long work_ = 0;
};

}  // namespace

std::vector<EndCandidate> end_candidates(const TopoDS_Shape& solid, const std::vector<int>& named) {
  FacesOfEdge faces_of_edge;
  TopExp::MapShapesAndAncestors(solid, TopAbs_EDGE, TopAbs_FACE, faces_of_edge);
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  std::vector<EndCandidate> candidates;
  for (int i = 1; i <= faces.Extent(); ++i) {
    auto face = planar_face(TopoDS::Face(faces(i)));
    const bool is_named = std::find(named.begin(), named.end(), i) != named.end();
    if (face && (is_named || whole_rim_is_sharp(*face, faces_of_edge))) candidates.push_back({i, *face, {}});
  }
  find_neighbors(candidates, faces_of_edge);
  return candidates;
}

Result<ChosenEnds> choose_ends(const std::vector<EndCandidate>& candidates,
                               const std::vector<std::size_t>& given) {
  const Search search(candidates, given);
  if (search.gave_up()) {
    return geometry_error("ends_undecided",
                          fmt::format("{} planar faces could be ends, too many to choose from; place thin "
                                      "bodies named port:<element>.<end> on the ends",
                                      candidates.size()));
  }
  return search.best();
}

}  // namespace corefeed::geometry
