// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/proposal/geometry_source.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <memory>

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

/// The part an element names, or the only one with openings.
Result<const worker::Part*> part_of(const worker::Measurement& measurement,
                                    const model::GeometryReference& wanted) {
  std::vector<const worker::Part*> fitting;
  std::vector<std::string> names;
  for (const worker::Part& part : measurement.parts) {
    names.push_back(part.name);
    const bool named = part.name == wanted.part || last_component(part.name) == wanted.part;
    if (wanted.part.empty() ? !part.openings.empty() : named) fitting.push_back(&part);
  }
  if (fitting.size() == 1) return fitting.front();
  if (fitting.empty()) {
    return fault("unknown_part",
                 fmt::format("{} has no part {}; it has: {}", wanted.file,
                             wanted.part.empty() ? "with openings" : corefeed::quoted(wanted.part),
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

Result<model::MeasuredElement> path_from(const worker::Part& part, const model::GeometryReference& wanted) {
  if (part.paths.size() != 1) {
    return fault("no_path",
                 fmt::format("the part {} of {} has {} paths between its openings; a duct path needs exactly "
                             "one inlet and one outlet",
                             corefeed::quoted(part.name), wanted.file, part.paths.size()));
  }
  model::MeasuredElement element;
  for (const worker::Piece& measured : part.paths.front().pieces) {
    Result<model::Piece> piece = piece_from(part.paths.front(), measured);
    if (!piece) return piece.issues();
    element.pieces.push_back(std::move(piece).value());
  }
  if (element.pieces.empty()) {
    return fault(
        "no_path",
        fmt::format("nothing was found along the part {} of {}", corefeed::quoted(part.name), wanted.file),
        Status::geometry);
  }
  return element;
}

Result<model::MeasuredElement> opening_from(const worker::Part& part,
                                            const model::GeometryReference& wanted) {
  std::vector<std::string> names;
  for (const worker::Opening& opening : part.openings) {
    if (opening.name == wanted.opening) {
      model::MeasuredElement element;
      element.numbers.emplace_back("area", opening.area);
      return element;
    }
    names.push_back(opening.name);
  }
  return fault("unknown_opening",
               fmt::format("the part {} of {} has no opening {}; it has: {}", corefeed::quoted(part.name),
                           wanted.file, corefeed::quoted(wanted.opening), fmt::join(names, ", ")));
}

}  // namespace

Result<model::MeasuredElement> element_from(const worker::Measurement& measurement,
                                            const model::Element& element) {
  const Result<const worker::Part*> part = part_of(measurement, *element.geometry);
  if (!part) return part.issues();
  const bool path = element.numbers.kind->law == nullptr;
  Result<model::MeasuredElement> made =
      path ? path_from(*part.value(), *element.geometry) : opening_from(*part.value(), *element.geometry);
  if (!made) return made;
  for (const worker::MeasureWarning& warning : measurement.warnings) {
    Issue issue = fault(warning.code, fmt::format("{}: {}", element.geometry->file, warning.text));
    issue.severity = Severity::warning;
    made.value().warnings.push_back(std::move(issue));
  }
  return made;
}

model::GeometrySource step_source(const worker::WorkerLimits& limits) {
  auto measured = std::make_shared<std::map<std::string, Result<worker::Measurement>>>();
  return [measured, limits](const model::Element& element) -> Result<model::MeasuredElement> {
    const std::string& path = element.geometry->path;
    auto known = measured->find(path);
    if (known == measured->end()) {
      known = measured->emplace(path, worker::measure_file(path, {}, limits)).first;
    }
    if (!known->second) return known->second.issues();
    return element_from(known->second.value(), element);
  };
}

}  // namespace corefeed::proposal
