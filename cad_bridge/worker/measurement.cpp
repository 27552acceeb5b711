// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/measurement.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "cad_bridge/worker/reply.hpp"

namespace corefeed::worker {
namespace {

using Json = nlohmann::json;

/// A value of the document, where it stands, and the first thing found wrong anywhere in it. After a fault
/// the rest is read as zeros and the whole is thrown away.
class Reader {
 public:
  Reader(const Json& json, std::string pointer, std::optional<Issue>& fault)
      : json_(&json), pointer_(std::move(pointer)), fault_(&fault) {}

  const Json& json() const { return *json_; }

  /// A member that must be there.
  Reader at(const char* key) const {
    if (!json_->is_object()) complain("an object");
    if (has(key)) return {json_->at(key), pointer_ + '/' + key, *fault_};
    Reader missing{nothing(), pointer_ + '/' + key, *fault_};
    missing.complain("a value");
    return missing;
  }

  bool has(const char* key) const {
    return json_->is_object() && json_->contains(key) && !json_->at(key).is_null();
  }

  Reader item(std::size_t index) const {
    return {json_->at(index), fmt::format("{}/{}", pointer_, index), *fault_};
  }

  void complain(std::string_view expected) const {
    if (*fault_) return;
    const std::string found = json_->is_primitive()
                                  ? json_->dump(-1, ' ', true, Json::error_handler_t::replace)
                                  : json_->type_name();
    *fault_ = Issue{
        "bad_measurement",
        Severity::error,
        Status::geometry,
        {{}, 0, 0, pointer_},
        fmt::format("the measurement holds {} where {} was expected", corefeed::quoted(found), expected)};
  }

 private:
  static const Json& nothing() {
    static const Json null;
    return null;
  }

  const Json* json_;
  std::string pointer_;
  std::optional<Issue>* fault_;
};

void read(const Reader& from, double& number) {
  if (from.json().is_number() && std::isfinite(from.json().get<double>()))
    number = from.json().get<double>();
  else
    from.complain("a number");
}

void read(const Reader& from, int& number) {
  const bool fits = from.json().is_number_unsigned() && from.json().get<std::uint64_t>() <= 1'000'000'000;
  if (fits)
    number = from.json().get<int>();
  else
    from.complain("a count");
}

void read(const Reader& from, std::string& text) {
  if (from.json().is_string())
    text = from.json().get<std::string>();
  else
    from.complain("a text");
}

template <class T, std::size_t size>
void read(const Reader& from, std::array<T, size>& items) {
  if (!from.json().is_array() || from.json().size() != size)
    return from.complain(fmt::format("a list of {}", size));
  for (std::size_t i = 0; i < size; ++i) read(from.item(i), items[i]);
}

void read(const Reader& from, Blocker& blocker);
void read(const Reader& from, Opening& opening);
void read(const Reader& from, Station& station);
void read(const Reader& from, Piece& piece);
void read(const Reader& from, Narrowest& narrowest);
void read(const Reader& from, Path& path);
void read(const Reader& from, Louvre& louvre);
void read(const Reader& from, Cutout& cutout);
void read(const Reader& from, Core& core);
void read(const Reader& from, Part& part);
void read(const Reader& from, Gap& gap);
void read(const Reader& from, MeasureWarning& warning);

template <class T>
void read(const Reader& from, std::vector<T>& items) {
  if (!from.json().is_array()) return from.complain("a list");
  items.resize(from.json().size());
  for (std::size_t i = 0; i < items.size(); ++i) read(from.item(i), items[i]);
}

template <class T>
void read(const Reader& from, const char* key, T& into) {
  read(from.at(key), into);
}

/// What may be missing: lists, and what only some parts have.
template <class T>
void read_if_present(const Reader& from, const char* key, T& into) {
  if (from.has(key)) read(from.at(key), into);
}

template <class T>
void read_if_present(const Reader& from, const char* key, std::optional<T>& into) {
  if (from.has(key)) read(from.at(key), into.emplace());
}

void read(const Reader& from, Blocker& blocker) {
  read(from, "part", blocker.part);
  read(from, "gap", blocker.gap);
  read(from, "share", blocker.share);
  read(from, "open_perimeter", blocker.open_perimeter);
}

void read(const Reader& from, Opening& opening) {
  read(from, "name", opening.name);
  read(from, "area", opening.area);
  read(from, "perimeter", opening.perimeter);
  read(from, "hydraulic_diameter", opening.hydraulic_diameter);
  read(from, "center", opening.center);
  read(from, "normal", opening.normal);
  opening.free_area = opening.area;
  read_if_present(from, "free_area", opening.free_area);
  read_if_present(from, "blocked_by", opening.blocked_by);
}

void read(const Reader& from, Station& station) {
  read(from, "distance", station.distance);
  read(from, "area", station.area);
  read(from, "perimeter", station.perimeter);
  read(from, "hydraulic_diameter", station.hydraulic_diameter);
  read(from, "center", station.center);
  read(from, "tangent", station.tangent);
  read(from, "loops", station.loops);
}

void read(const Reader& from, Piece& piece) {
  read(from, "kind", piece.kind);
  read(from, "from", piece.from);
  read(from, "to", piece.to);
  read_if_present(from, "reason", piece.reason);
  if (!from.json().is_object()) return;
  for (const auto& [key, value] : from.json().items()) {
    if (key == "kind" || key == "from" || key == "to" || key == "reason" || value.is_null()) continue;
    if (value.is_string())
      piece.choices[key] = value.get<std::string>();
    else
      read(from, key.c_str(), piece.numbers[key]);
  }
}

void read(const Reader& from, Narrowest& narrowest) {
  read(from, "distance", narrowest.distance);
  read(from, "area", narrowest.area);
}

void read(const Reader& from, Path& path) {
  read(from, "from", path.from);
  read(from, "to", path.to);
  read(from, "length", path.length);
  read(from, "narrowest", path.narrowest);
  read_if_present(from, "stations", path.stations);
  read_if_present(from, "pieces", path.pieces);
}

void read(const Reader& from, Louvre& louvre) {
  read(from, "blades", louvre.blades);
  read(from, "blade_angle", louvre.blade_angle);
  read(from, "gross_area", louvre.gross_area);
  read(from, "throat_area", louvre.throat_area);
}

void read(const Reader& from, Cutout& cutout) {
  read(from, "name", cutout.name);
  read(from, "area", cutout.area);
  read(from, "projected_area", cutout.projected_area);
  read(from, "perimeter", cutout.perimeter);
  read(from, "thickness", cutout.thickness);
  read(from, "center", cutout.center);
  read(from, "normal", cutout.normal);
  cutout.free_area = cutout.projected_area;
  read_if_present(from, "free_area", cutout.free_area);
  read_if_present(from, "blocked_by", cutout.blocked_by);
  read_if_present(from, "louvre", cutout.louvre);
}

void read(const Reader& from, Core& core) {
  read(from, "face_area", core.face_area);
  read(from, "free_face_area", core.free_face_area);
  read(from, "depth", core.depth);
  read(from, "center", core.center);
  read(from, "normal", core.normal);
}

void read(const Reader& from, Part& part) {
  read(from, "name", part.name);
  read(from, "kind", part.kind);
  read_if_present(from, "volume", part.volume);
  read_if_present(from, "openings", part.openings);
  read_if_present(from, "paths", part.paths);
  read_if_present(from, "cutouts", part.cutouts);
  read_if_present(from, "core", part.core);
}

void read(const Reader& from, Gap& gap) {
  read(from, "duct", gap.duct);
  read(from, "core", gap.core);
  read(from, "rim_length", gap.rim_length);
  read(from, "gap_area", gap.gap_area);
  read(from, "face_coverage", gap.face_coverage);
  read_if_present(from, "incidence", gap.incidence);
}

void read(const Reader& from, MeasureWarning& warning) {
  read(from, "code", warning.code);
  read(from, "text", warning.text);
  if (!may_name_a_rule(warning.code)) from.at("code").complain("the name of a rule");
  warning.text = tame(warning.text);
  if (warning.text.empty()) from.at("text").complain("a sentence");
}

}  // namespace

Result<Measurement> read_measurement(std::string_view json, const std::string& file) {
  std::optional<Issue> fault;
  Measurement measurement;
  const Json document = Json::parse(json, nullptr, false);
  if (!document.is_object())
    return Issue{"bad_measurement",
                 Severity::error,
                 Status::geometry,
                 {file, 0, 0, {}},
                 "the measurement is no JSON object"};
  const Reader from(document, "", fault);
  read(from, "file", measurement.file);
  read(from, "unit", measurement.unit);
  read(from, "bounding_box", measurement.bounding_box);
  read(from, "parts", measurement.parts);
  read_if_present(from, "gaps", measurement.gaps);
  read_if_present(from, "warnings", measurement.warnings);
  if (fault) {
    fault->place.file = file;
    return *fault;
  }
  measurement.json = json;
  return measurement;
}

void take_marks(Measurement& measurement, std::string_view marks) {
  const Json list = Json::parse(marks, nullptr, false);
  if (!list.is_array()) return;
  for (const Json& mark : list) {
    std::optional<Issue> fault;
    std::string part;
    std::string name;
    Opening marked;
    const Reader from(mark, "", fault);
    read(from, "part", part);
    read(from, "opening", name);
    read_if_present(from, "layers", marked.layers);
    read_if_present(from, "color", marked.color);
    if (fault) continue;
    for (Part& each : measurement.parts) {
      for (Opening& opening : each.openings) {
        if (each.name != part || opening.name != name) continue;
        opening.layers = marked.layers;
        opening.color = marked.color;
      }
    }
  }
}

namespace {

Result<Measurement> measurement_of(const Result<WorkerReply>& reply, const std::string& label) {
  if (!reply) return reply.issues();
  Result<Measurement> measurement = read_measurement(reply.value().measurement, label);
  if (!measurement) return measurement;
  take_marks(measurement.value(), reply.value().marks);
  take_drawing(measurement.value(), reply.value().drawing);
  return measurement;
}

}  // namespace

Result<Measurement> measure_file(const std::string& step_path, const MeasureRequest& request,
                                 const WorkerLimits& limits) {
  return measurement_of(ask_worker(step_path, request, limits), step_path);
}

Result<Measurement> measure_shapes(const std::vector<ShapeText>& shapes, const std::string& label,
                                   const MeasureRequest& request, const WorkerLimits& limits) {
  return measurement_of(ask_worker(shapes, label, request, limits), label);
}

}  // namespace corefeed::worker
