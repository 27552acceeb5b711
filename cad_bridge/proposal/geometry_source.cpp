// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/geometry_source.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <map>
#include <memory>
#include <optional>

#include "cad_bridge/proposal/opening_source.hpp"

namespace corefeed::proposal {
namespace {

Issue fault(std::string code, std::string text, Status status = Status::input) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = status;
  issue.text = std::move(text);
  return issue;
}

std::string_view last_component(std::string_view path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string_view::npos ? path : path.substr(slash + 1);
}

bool is_named(const std::string& name, const std::string& wanted) {
  return name == wanted || last_component(name) == wanted;
}

/// What a part must have to serve an element.
using Serves = std::function<bool(const worker::Part&)>;

Serves serves(const model::GeometryReference& wanted) {
  if (!wanted.cutout.empty()) return [](const worker::Part& part) { return !part.cutouts.empty(); };
  if (!wanted.core.empty()) {
    return [&wanted](const worker::Part& part) {
      return part.core.has_value() && is_named(part.name, wanted.core);
    };
  }
  return [](const worker::Part& part) { return !part.openings.empty(); };
}

/// The part an element names, or the only one that can serve it.
Result<const worker::Part*> part_of(const worker::Measurement& measurement,
                                    const model::GeometryReference& wanted) {
  const Serves fits = serves(wanted);
  std::vector<const worker::Part*> fitting;
  std::vector<std::string> names;
  for (const worker::Part& part : measurement.parts) {
    names.push_back(fmt::format("{} ({})", part.name, part.kind));
    if (wanted.part.empty() ? fits(part) : is_named(part.name, wanted.part)) fitting.push_back(&part);
  }
  if (fitting.size() == 1) return fitting.front();
  const std::string& name = wanted.part.empty() ? wanted.core : wanted.part;
  if (fitting.empty()) {
    const std::string_view what = wanted.cutout.empty() ? "with openings" : "with cut-outs";
    return fault("unknown_part", fmt::format("{} has no part {}; it has: {}", wanted.file,
                                             name.empty() ? std::string(what) : corefeed::quoted(name),
                                             fmt::join(names, ", ")));
  }
  return fault("several_parts", fmt::format("{} has several parts that fit; name one of them as \"part\": {}",
                                            wanted.file, fmt::join(names, ", ")));
}

/// Whether another piece covers most of this stretch: a bend that widens is listed as a bend and a diffuser.
bool shares_stretch(const worker::Path& path, const worker::Piece& piece) {
  return std::any_of(path.pieces.begin(), path.pieces.end(), [&piece](const worker::Piece& other) {
    const double common = std::min(piece.to, other.to) - std::max(piece.from, other.from);
    return other.kind == "bend" && piece.kind != "bend" && common > 0.5 * (piece.to - piece.from);
  });
}

Result<model::Piece> piece_from(const worker::Path& path, const worker::Piece& measured) {
  const losses::Kind* kind = losses::find_kind(measured.kind);
  if (kind == nullptr || kind->law == nullptr) {
    return fault("unusable_piece",
                 fmt::format("the measured piece {} has no law", corefeed::quoted(measured.kind)),
                 Status::internal);
  }
  model::Piece piece;
  piece.reason = measured.reason;
  model::Numbers& numbers = piece.numbers;
  numbers.kind = kind;
  numbers.value.assign(kind->keys.size(), 0.0);
  // The bend beneath it carries the friction of a stretch that both share.
  const bool friction_elsewhere = shares_stretch(path, measured) && measured.numbers.contains("angle");
  for (std::size_t i = 0; i < kind->keys.size(); ++i) {
    const losses::Key& key = kind->keys[i];
    if (key.need == losses::Need::standard) numbers.value[i] = key.standard;
    const auto number = measured.numbers.find(std::string(key.name));
    const auto choice = measured.choices.find(std::string(key.name));
    bool given = number != measured.numbers.end() && !(friction_elsewhere && key.name == "length");
    if (given) numbers.value[i] = number->second;
    if (choice != measured.choices.end()) {
      const auto word = std::find(key.choices.begin(), key.choices.end(), choice->second);
      given = word != key.choices.end();
      if (given) numbers.value[i] = static_cast<double>(word - key.choices.begin());
    }
    if (given) numbers.given |= std::uint64_t{1} << i;
  }
  numbers.measured = numbers.given;
  return piece;
}

/// The path between the ends that are named, or the only one.
Result<const worker::Path*> path_of(const worker::Part& part, const model::GeometryReference& wanted) {
  std::vector<const worker::Path*> fitting;
  std::vector<std::string> names;
  for (const worker::Path& path : part.paths) {
    names.push_back(fmt::format("{} -> {}", path.from, path.to));
    const bool fits =
        (wanted.from.empty() || wanted.from == path.from) && (wanted.to.empty() || wanted.to == path.to);
    if (fits) fitting.push_back(&path);
  }
  if (fitting.size() == 1) return fitting.front();
  return fault(
      "no_path",
      fmt::format("the part {} of {} has {} paths that fit, expected one; name its ends as \"from\" and "
                  "\"to\"; its paths: {}",
                  corefeed::quoted(part.name), wanted.file, fitting.size(),
                  names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "))));
}

model::Fingerprint print_of(const worker::Part& part, const worker::Opening& opening) {
  return {fmt::format("{} of {}", opening.name, part.name), opening.area, opening.perimeter, opening.center,
          opening.normal};
}

Result<model::MeasuredElement> path_from(const worker::Part& part, const model::GeometryReference& wanted) {
  const Result<const worker::Path*> path = path_of(part, wanted);
  if (!path) return path.issues();
  model::MeasuredElement element;
  for (const worker::Piece& measured : path.value()->pieces) {
    // The losses of a branching are those of the junction element that joins the paths.
    if (measured.kind == "junction") continue;
    Result<model::Piece> piece = piece_from(*path.value(), measured);
    if (!piece) return piece.issues();
    element.pieces.push_back(std::move(piece).value());
  }
  for (const worker::Opening& opening : part.openings) {
    if (opening.name == path.value()->from || opening.name == path.value()->to)
      element.fingerprints.push_back(print_of(part, opening));
  }
  // A throat or a rib moves no end.
  element.fingerprints.push_back(
      {"narrowest section of " + part.name, path.value()->narrowest.area, 0.0, {}, {}});
  if (element.pieces.empty()) {
    return fault(
        "no_path",
        fmt::format("nothing was found along the part {} of {}", corefeed::quoted(part.name), wanted.file),
        Status::geometry);
  }
  return element;
}

/// The angle at which the only duct before a core meets it; nothing where it stands square or where several
/// do.
std::optional<double> incidence_of(const worker::Part& core, const worker::Measurement& measurement) {
  constexpr double square = 0.0087;  // half a degree, what a drawing may be off
  std::optional<double> found;
  for (const worker::Gap& gap : measurement.gaps) {
    if (gap.core != core.name) continue;
    if (found) return std::nullopt;
    found = gap.incidence;
  }
  return found && *found > square ? found : std::nullopt;
}

Result<model::MeasuredElement> core_from(const worker::Measurement& measurement, const worker::Part& part,
                                         const model::GeometryReference& wanted) {
  if (!part.core) {
    return fault("unknown_part", fmt::format("the part {} of {} is a {}, expected a core",
                                             corefeed::quoted(part.name), wanted.file, part.kind));
  }
  model::MeasuredElement element;
  element.numbers.emplace_back("face_area", part.core->face_area);
  element.fingerprints.push_back(
      {"face of " + part.name, part.core->face_area, 0.0, part.core->center, part.core->normal});
  if (const auto incidence = incidence_of(part, measurement))
    element.numbers.emplace_back("incidence", *incidence);
  return element;
}

bool is_given(const model::Element& element, std::string_view key) {
  const std::size_t place = losses::find_key(*element.numbers.kind, key);
  return place != losses::npos && (element.numbers.given >> place & 1U) != 0;
}

Result<model::MeasuredElement> gap_from(const worker::Measurement& measurement,
                                        const model::Element& wanted) {
  const model::GeometryReference& geometry = *wanted.geometry;
  std::vector<const worker::Gap*> fitting;
  std::vector<std::string> names;
  for (const worker::Gap& gap : measurement.gaps) {
    names.push_back(fmt::format("{} before {}", gap.duct, gap.core));
    if (is_named(gap.core, geometry.gap) && (geometry.part.empty() || is_named(gap.duct, geometry.part)))
      fitting.push_back(&gap);
  }
  if (fitting.size() != 1) {
    return fault("unknown_gap",
                 fmt::format("{} has {} gaps between {} and the core {}, expected one; it has: {}",
                             geometry.file, fitting.size(),
                             geometry.part.empty() ? "a duct" : "the duct " + corefeed::quoted(geometry.part),
                             corefeed::quoted(geometry.gap),
                             names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "))));
  }
  const worker::Gap& gap = *fitting.front();
  if (!(gap.gap_area > 0)) {
    return fault("no_gap", fmt::format("the rim of {} lies on {}: there is no gap to leak through; leave the "
                                       "leak out, or write its numbers",
                                       corefeed::quoted(gap.duct), corefeed::quoted(gap.core)));
  }
  model::MeasuredElement element;
  element.fingerprints.push_back(
      {fmt::format("gap between {} and {}", gap.duct, gap.core), gap.gap_area, gap.rim_length, {}, {}});
  if (is_given(wanted, "depth")) {
    element.numbers = {{"gap", gap.gap_area / gap.rim_length}, {"length", gap.rim_length}};
  } else {
    element.numbers = {{"area", gap.gap_area}};
  }
  return element;
}

}  // namespace

Result<model::MeasuredElement> element_from(const worker::Measurement& measurement,
                                            const model::Element& element) {
  const model::GeometryReference& wanted = *element.geometry;
  const auto make = [&]() -> Result<model::MeasuredElement> {
    if (!wanted.gap.empty()) return gap_from(measurement, element);
    const Result<const worker::Part*> part = part_of(measurement, wanted);
    if (!part) return part.issues();
    if (element.numbers.kind->law == nullptr) return path_from(*part.value(), wanted);
    if (!wanted.core.empty()) return core_from(measurement, *part.value(), wanted);
    return opening_from(*part.value(), element);
  };
  Result<model::MeasuredElement> made = make();
  if (!made) return made;
  for (const worker::MeasureWarning& warning : measurement.warnings) {
    Issue issue = fault(warning.code, fmt::format("{}: {}", wanted.file, warning.text));
    issue.severity = Severity::warning;
    made.value().warnings.push_back(std::move(issue));
  }
  return made;
}

model::GeometrySource step_source(const worker::WorkerLimits& limits) {
  auto measured = std::make_shared<std::map<std::string, Result<worker::Measurement>>>();
  const auto measure = [measured, limits](const std::string& path,
                                          const std::string& core) -> const Result<worker::Measurement>& {
    const std::string key = path + '\n' + core;
    const auto known = measured->find(key);
    if (known != measured->end()) return known->second;
    worker::MeasureRequest request;
    if (!core.empty()) request.cores = {core};
    return measured->emplace(key, worker::measure_file(path, request, limits)).first->second;
  };
  return [measure](const model::Element& element) -> Result<model::MeasuredElement> {
    const model::GeometryReference& wanted = *element.geometry;
    const Result<worker::Measurement>& measurement = measure(wanted.path, "");
    if (!measurement) return measurement.issues();
    Result<model::MeasuredElement> made = element_from(measurement.value(), element);
    const std::string& core = wanted.core.empty() ? wanted.gap : wanted.core;
    if (made || core.empty()) return made;
    // The model says that this part is a core, whatever its name.
    const Result<worker::Measurement>& told = measure(wanted.path, core);
    if (!told) return made;
    Result<model::MeasuredElement> second = element_from(told.value(), element);
    return second ? second : made;
  };
}

}  // namespace corefeed::proposal
