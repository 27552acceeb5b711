// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/opening_source.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace corefeed::proposal {
namespace {

Issue fault(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::input;
  issue.text = std::move(text);
  return issue;
}

bool faces(const worker::Opening& opening, const std::string& axis) {
  const double along = opening.normal[static_cast<std::size_t>(axis[1] - 'x')];
  return (axis[0] == '+' ? along : -along) > std::sqrt(0.5);
}

bool lies_near(const worker::Opening& opening, const std::array<double, 3>& place) {
  const double away =
      std::hypot(opening.center[0] - place[0], opening.center[1] - place[1], opening.center[2] - place[2]);
  return away < 0.5 * opening.hydraulic_diameter;
}

bool fits(const worker::Opening& opening, const model::GeometryReference& wanted) {
  const model::OpeningSelector& by = wanted.selector;
  if (by.empty()) return opening.name == wanted.opening;
  if (!by.layer.empty() &&
      std::find(opening.layers.begin(), opening.layers.end(), by.layer) == opening.layers.end())
    return false;
  if (!by.color.empty() && opening.color != by.color) return false;
  if (!by.facing.empty() && !faces(opening, by.facing)) return false;
  return !by.near || lies_near(opening, *by.near);
}

std::string describe(const worker::Opening& opening) {
  const auto& at = opening.center;
  std::string text = fmt::format("{} at ({:.3f}, {:.3f}, {:.3f}) m", opening.name, at[0], at[1], at[2]);
  if (!opening.layers.empty()) text += fmt::format(", layer {}", fmt::join(opening.layers, " and "));
  if (!opening.color.empty()) text += ", color " + opening.color;
  return text;
}

Result<const worker::Opening*> find_opening(const worker::Part& part,
                                            const model::GeometryReference& wanted) {
  std::vector<const worker::Opening*> hits;
  std::vector<std::string> all;
  std::vector<std::string> found;
  for (const worker::Opening& opening : part.openings) {
    all.push_back(describe(opening));
    if (!fits(opening, wanted)) continue;
    hits.push_back(&opening);
    found.push_back(describe(opening));
  }
  if (hits.size() == 1) return hits.front();
  const std::string meant =
      wanted.selector.empty() ? corefeed::quoted(wanted.opening) : "of that description";
  if (hits.empty()) {
    return fault("unknown_opening",
                 fmt::format("the part {} of {} has no opening {}; it has: {}", corefeed::quoted(part.name),
                             wanted.file, meant, fmt::join(all, "; ")));
  }
  return fault("several_openings", fmt::format("the part {} of {} has {} openings {}, expected one: {}",
                                               corefeed::quoted(part.name), wanted.file, hits.size(), meant,
                                               fmt::join(found, "; ")));
}

Result<const worker::Cutout*> find_cutout(const worker::Part& part, const model::GeometryReference& wanted) {
  std::vector<std::string> names;
  for (const worker::Cutout& cutout : part.cutouts) {
    if (cutout.name == wanted.cutout) return &cutout;
    names.push_back(fmt::format("{} at ({:.3f}, {:.3f}, {:.3f}) m", cutout.name, cutout.center[0],
                                cutout.center[1], cutout.center[2]));
  }
  return fault("unknown_cutout",
               fmt::format("the part {} of {} has no cut-out {}; it has: {}", corefeed::quoted(part.name),
                           wanted.file, corefeed::quoted(wanted.cutout),
                           names.empty() ? "none" : fmt::format("{}", fmt::join(names, "; "))));
}

/// A law's numbers as the model gives them and as far as they are measured.
class Known {
 public:
  Known(const model::Element& element, model::MeasuredElement& measured)
      : element_(element), measured_(measured) {}

  bool knows(std::string_view key) const {
    return losses::find_key(*element_.numbers.kind, key) != losses::npos;
  }

  std::optional<double> value(std::string_view key) const {
    const std::size_t place = losses::find_key(*element_.numbers.kind, key);
    if (place == losses::npos) return std::nullopt;
    if ((element_.numbers.given >> place & 1U) != 0) return element_.numbers.value[place];
    for (const auto& [name, number] : measured_.numbers) {
      if (name == key) return number;
    }
    return std::nullopt;
  }

  void add(const char* key, double number) {
    if (knows(key)) measured_.numbers.emplace_back(key, number);
  }

 private:
  const model::Element& element_;
  model::MeasuredElement& measured_;
};

/// The opening's own loss on its gross area: that of its discharge coefficient, or of sharp holes of its open
/// fraction. It only weighs the covered part against the free one.
double own_loss(const Known& known) {
  constexpr double plain_hole = 0.61;  // sharp edge, Kirchhoff 1869
  const double discharge =
      known.value("discharge_coefficient").value_or(plain_hole * known.value("open_fraction").value_or(1.0));
  return 1 / (discharge * discharge);
}

void add_blockers(Known& known, const std::vector<worker::Blocker>& blockers) {
  if (!known.knows("blocker.gap") || known.value("blocker.gap") || known.value("blocker.perimeter")) return;
  const auto area = known.value("area");
  if (!area) return;
  const auto curtain = curtain_of(blockers, *area, own_loss(known));
  if (!curtain) return;
  known.add("blocker.gap", curtain->gap);
  known.add("blocker.perimeter", curtain->perimeter);
  if (!known.value("blocker.open_share")) known.add("blocker.open_share", 1.0);
}

/// The hole itself, and the share of it that each body covers.
template <class Hole>
void add_prints(model::MeasuredElement& measured, const worker::Part& part, const Hole& hole, double area) {
  measured.fingerprints.push_back(
      {fmt::format("{} of {}", hole.name, part.name), area, hole.perimeter, hole.center, hole.normal});
  for (const worker::Blocker& blocker : hole.blocked_by) {
    measured.fingerprints.push_back({fmt::format("{} before {} of {}", blocker.part, hole.name, part.name),
                                     blocker.share * area,
                                     blocker.open_perimeter,
                                     {},
                                     {}});
  }
}

}  // namespace

Result<model::MeasuredElement> opening_from(const worker::Part& part, const model::Element& element) {
  model::MeasuredElement measured;
  Known known(element, measured);
  if (element.geometry->cutout.empty()) {
    const Result<const worker::Opening*> opening = find_opening(part, *element.geometry);
    if (!opening) return opening.issues();
    known.add("area", opening.value()->area);
    add_prints(measured, part, *opening.value(), opening.value()->area);
    add_blockers(known, opening.value()->blocked_by);
    return measured;
  }
  const Result<const worker::Cutout*> found = find_cutout(part, *element.geometry);
  if (!found) return found.issues();
  const worker::Cutout& cutout = *found.value();
  known.add("area", cutout.louvre ? cutout.louvre->gross_area : cutout.projected_area);
  const bool stated = known.value("discharge_coefficient") || known.value("table");
  if (cutout.louvre && !stated) {
    known.add("open_fraction", cutout.louvre->throat_area / cutout.louvre->gross_area);
    known.add("blade_angle", cutout.louvre->blade_angle);
  }
  add_blockers(known, cutout.blocked_by);
  add_prints(measured, part, cutout, cutout.projected_area);
  return measured;
}

std::optional<Curtain> curtain_of(const std::vector<worker::Blocker>& blockers, double area, double loss) {
  double covered = 0;
  double gap = 0;
  for (const worker::Blocker& blocker : blockers) {
    covered += blocker.share;
    gap += blocker.share * blocker.gap;
  }
  if (!(covered > 0)) return std::nullopt;
  // Bodies behind one another cover the same part: then the shares are scaled down to the whole.
  const double scale = covered > 1 ? 1 / covered : 1.0;
  double flow = 1 - covered * scale;  // over that of the free opening under the same pressure
  for (const worker::Blocker& blocker : blockers) {
    const double part = blocker.share * scale;
    const double curtain = blocker.gap * blocker.open_perimeter;
    if (!(curtain > 0)) continue;
    const double ratio = part * area / curtain;
    flow += part / std::sqrt(1 + ratio * ratio / loss);
  }
  constexpr double nearly_shut = 1e-3;
  flow = std::max(flow, nearly_shut);
  const double added = loss / (flow * flow) - loss;
  if (!(added > 0)) return std::nullopt;
  const double equivalent = area / std::sqrt(added);
  const double mean = gap / covered;
  // A body in the opening itself leaves no gap; any pair of the right product serves.
  const double width = mean > 0 ? mean : std::sqrt(area);
  return Curtain{width, equivalent / width};
}

}  // namespace corefeed::proposal
