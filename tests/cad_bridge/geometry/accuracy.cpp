// SPDX-License-Identifier: Apache-2.0
#include "tests/cad_bridge/geometry/accuracy.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <sstream>

#include "cad_bridge/geometry/measure.hpp"

namespace corefeed::geometry::accuracy {
namespace {

using nlohmann::json;

/// How a number of the measurement is called in the table, and how far off it may be. The goals are those of
/// docs/measuring.md.
struct Quantity {
  const char* name;
  const char* unit;
  double goal;
};

constexpr double exact = 1e-6;
constexpr double half_degree = 0.5;

/// By the list or object in which a key stands, and the key.
const std::map<std::string, Quantity>& quantities() {
  static const std::map<std::string, Quantity> table{
      {"parts/volume", {"volume", "cm3", exact}},
      {"openings/area", {"opening area", "cm2", exact}},
      {"openings/perimeter", {"opening perimeter", "mm", exact}},
      {"openings/hydraulic_diameter", {"opening hydraulic diameter", "mm", exact}},
      {"openings/free_area", {"opening free area", "cm2", 5e-3}},
      {"stations/area", {"section area", "cm2", 2e-4}},
      {"stations/perimeter", {"wetted perimeter", "mm", 5e-4}},
      {"stations/hydraulic_diameter", {"section hydraulic diameter", "mm", 7e-4}},
      {"paths/length", {"centerline length", "mm", 1e-3}},
      {"narrowest/area", {"narrowest area", "cm2", 2e-4}},
      {"bend/angle", {"bend angle", "deg", half_degree}},
      {"bend/radius", {"bend radius", "mm", 1e-2}},
      {"cutouts/area", {"cut-out area", "cm2", exact}},
      {"cutouts/projected_area", {"cut-out projected area", "cm2", exact}},
      {"cutouts/perimeter", {"cut-out perimeter", "mm", exact}},
      {"cutouts/thickness", {"cut-out thickness", "mm", exact}},
      {"cutouts/free_area", {"vent free area", "cm2", 5e-3}},
      {"blocked_by/share", {"blocked share", "%", 1e-2}},
      {"blocked_by/gap", {"blocker gap", "mm", 1e-2}},
      {"blocked_by/open_perimeter", {"blocker open perimeter", "mm", 1e-2}},
      {"louvre/blade_angle", {"blade angle", "deg", half_degree}},
      {"louvre/gross_area", {"louvre gross area", "cm2", 1e-2}},
      {"louvre/throat_area", {"louvre throat area", "cm2", 5e-3}},
      {"core/face_area", {"core face area", "cm2", exact}},
      {"core/free_face_area", {"core free face area", "cm2", exact}},
      {"core/depth", {"core depth", "mm", exact}},
      {"gaps/rim_length", {"rim length", "mm", exact}},
      {"gaps/gap_area", {"rim gap area", "cm2", 2e-2}},
      {"gaps/face_coverage", {"core face covered", "%", 5e-3}},
      {"gaps/incidence", {"core incidence", "deg", half_degree}}};
  return table;
}

double per_unit(const std::string& unit) {
  if (unit == "mm") return 1e3;
  if (unit == "cm2") return 1e4;
  if (unit == "cm3") return 1e6;
  if (unit == "%") return 100;
  return 180 / std::numbers::pi;
}

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

double apart(const json& a, const json& b) {
  return std::hypot(a[0].get<double>() - b[0].get<double>(), a[1].get<double>() - b[1].get<double>(),
                    a[2].get<double>() - b[2].get<double>());
}

class Comparer {
 public:
  explicit Comparer(std::string part) { part_ = std::move(part); }

  void free_form() { free_form_ = true; }

  void number(const std::string& place, double measured, double truth) {
    const auto known = quantities().find(place);
    if (known == quantities().end()) return fault("nothing says how good " + place + " has to be");
    const Quantity& quantity = known->second;
    const double scale = per_unit(quantity.unit);
    Row row{part_, quantity.name, truth * scale, measured * scale, quantity.unit, 0, quantity.goal};
    if (free_form_ && (place == "stations/area" || place == "narrowest/area")) row.goal = 5e-4;
    row.error = std::abs(row.measured - row.truth) / (row.angle() || truth == 0 ? 1 : std::abs(row.truth));
    const auto same = std::find_if(result.rows.begin(), result.rows.end(),
                                   [&row](const Row& each) { return each.quantity == row.quantity; });
    if (same == result.rows.end()) return result.rows.push_back(row);
    const int count = same->count + 1;
    if (row.error > same->error) *same = row;
    same->count = count;
  }

  void point(const std::string& place, const json& measured, const json& truth) {
    if (const double off = apart(measured, truth); !(off < 1e-6))
      fault(fmt::format("{} lies {} m off", place, off));
  }

  /// Either sign will do: of a panel's hole and of a core none is the right one.
  void direction(const std::string& place, const json& measured, const json& truth) {
    double along = 0;
    for (std::size_t i = 0; i < 3; ++i) along += measured[i].get<double>() * truth[i].get<double>();
    if (!(std::abs(std::abs(along) - 1) < 1e-9)) fault(fmt::format("{} is {}", place, measured.dump()));
  }

  void fault(std::string text) { result.faults.push_back(std::move(text)); }

  Comparison result;

 private:
  std::string part_;
  bool free_form_ = false;
};

/// Walks over a truth that is a part of the measurement's own document.
void walk(Comparer& to, const json& measured, const json& truth, const std::string& list,
          const std::string& key) {
  const std::string place = list + "/" + key;
  if (truth.is_object()) {
    for (const auto& [name, value] : truth.items()) {
      if (!measured.contains(name)) {
        to.fault(key + "/" + name + " is missing");
      } else if (name == "center") {
        to.point(key + "/" + name, measured[name], value);
      } else if (name == "normal") {
        to.direction(key + "/" + name, measured[name], value);
      } else {
        walk(to, measured[name], value, key, name);
      }
    }
  } else if (truth.is_array()) {
    if (measured.size() != truth.size())
      return to.fault(fmt::format("{} has {} entries, not {}", key, measured.size(), truth.size()));
    for (std::size_t i = 0; i < truth.size(); ++i) walk(to, measured[i], truth[i], list, key);
  } else if (truth.is_number_float() && measured.is_number()) {
    to.number(place, measured.get<double>(), truth.get<double>());
  } else if (measured != truth) {
    to.fault(fmt::format("{} is {}, not {}", place, measured.dump(), truth.dump()));
  }
}

const json& nearest(const json& list, const std::function<double(const json&)>& off) {
  return *std::min_element(list.begin(), list.end(),
                           [&off](const json& a, const json& b) { return off(a) < off(b); });
}

/// Compares a flow volume with two ends, which may have been followed the other way round.
void compare_duct(Comparer& to, const json& part, const json& truth) {
  const json& path = part["paths"][0];
  const json& expected = truth["path"];
  const double length = path["length"].get<double>();
  to.number("parts/volume", part["volume"].get<double>(), truth["volume"].get<double>());
  to.number("paths/length", length, expected["length"].get<double>());
  for (const json& end : truth["openings"]) {
    const json& found =
        nearest(part["openings"], [&end](const json& each) { return apart(each["center"], end["center"]); });
    for (const char* key : {"area", "perimeter", "hydraulic_diameter"})
      to.number(std::string("openings/") + key, found[key].get<double>(), end[key].get<double>());
  }
  const bool reversed = apart(path["stations"][0]["center"], truth["openings"][0]["center"]) >
                        apart(path["stations"][0]["center"], truth["openings"][1]["center"]);
  for (const json& station : expected["stations"]) {
    const double share = station["share"].get<double>();
    const double wanted = length * (reversed ? 1 - share : share);
    const json& found = nearest(path["stations"], [wanted](const json& each) {
      return std::abs(each["distance"].get<double>() - wanted);
    });
    for (const char* key : {"area", "perimeter", "hydraulic_diameter"})
      to.number(std::string("stations/") + key, found[key].get<double>(), station[key].get<double>());
  }
  if (expected.contains("narrowest"))
    to.number("narrowest/area", path["narrowest"]["area"].get<double>(),
              expected["narrowest"]["area"].get<double>());
  if (!expected.contains("bend")) return;
  std::vector<json> bends;
  for (const json& piece : path["pieces"]) {
    if (piece["kind"] == "bend") bends.push_back(piece);
  }
  if (reversed) std::reverse(bends.begin(), bends.end());
  if (bends.size() != expected["bend"].size())
    return to.fault(fmt::format("{} bends were found, not {}", bends.size(), expected["bend"].size()));
  for (std::size_t i = 0; i < bends.size(); ++i) {
    for (const char* key : {"angle", "radius"})
      to.number(std::string("bend/") + key, bends[i][key].get<double>(),
                expected["bend"][i][key].get<double>());
  }
}

/// Three stations for truths that state three, else those of the truth, seen from either end.
MeasureRequest request_for(const std::string& name, const json& truth) {
  MeasureRequest request;
  request.file = name + ".step";
  if (truth.contains("expected")) request.sections = 3;
  if (!truth.contains("path")) return request;
  for (const json& station : truth["path"]["stations"]) {
    request.at.push_back(station["share"].get<double>());
    request.at.push_back(1 - station["share"].get<double>());
  }
  return request;
}

}  // namespace

std::vector<std::string> sample_names() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(COREFEED_SOURCE_DIR "/geometry_samples")) {
    if (entry.path().extension() == ".step") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

Comparison compare_sample(const std::string& name) {
  const std::string stem = COREFEED_SOURCE_DIR "/geometry_samples/" + name;
  const json truth = json::parse(read_file(stem + ".truth.json"));
  Comparer comparer(name);
  std::istringstream step(read_file(stem + ".step"));
  const auto measured = measure_step(step, request_for(name, truth));
  if (!measured) {
    comparer.fault(measured.issues().front().text);
    return comparer.result;
  }
  const json document = json::parse(measured.value());
  if (document["unit"] != truth["unit"]) comparer.fault("the unit is " + document["unit"].dump());
  if (truth.contains("expected")) {
    walk(comparer, document, truth["expected"], "", "");
    return comparer.result;
  }
  if (truth["path"].contains("free_form")) comparer.free_form();
  for (const json& part : document["parts"]) {
    if (!part["paths"].empty()) compare_duct(comparer, part, truth);
  }
  if (comparer.result.rows.empty()) comparer.fault("no duct was found");
  return comparer.result;
}

Cells cells_of(const Row& row) {
  const auto share = [&row](double value) {
    if (row.angle()) return value < 1e-4 ? "< 0.0001 deg" : fmt::format("{:.2g} deg", value);
    return value < 1e-9 ? "< 1e-7 %" : fmt::format("{:.2g} %", 100 * value);
  };
  const std::string quantity = row.count > 1 ? fmt::format("{} ({})", row.quantity, row.count) : row.quantity;
  return {row.part,
          quantity,
          fmt::format("{:.8g} {}", row.truth, row.unit),
          fmt::format("{:.8g} {}", row.measured, row.unit),
          share(row.error),
          share(row.goal)};
}

std::string line(const Row& row) {
  const Cells cells = cells_of(row);
  return fmt::format("| {} | {} | {} | {} | {} | {} |", cells.part, cells.quantity, cells.truth,
                     cells.measured, cells.error, cells.goal);
}

}  // namespace corefeed::geometry::accuracy
