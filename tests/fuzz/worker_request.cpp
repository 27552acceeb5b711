// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include "cad_bridge/geometry/measure_request.hpp"
#include "tests/fuzz/oracle.hpp"

/// What the measuring program is asked: what is accepted keeps its bounds, and comes back when it is written
/// as the other side of the pipe writes it.
namespace corefeed::fuzz {
namespace {

using geometry::MeasureRequest;

std::string written(const MeasureRequest& request) {
  const auto word = [](const std::optional<std::string>& text) {
    return text ? nlohmann::json(*text) : nullptr;
  };
  nlohmann::json json{{"part", word(request.part)}, {"sections", request.sections},
                      {"at", request.at},           {"cores", request.cores},
                      {"file", request.file},       {"assume_unit", word(request.assume_unit)}};
  for (const geometry::HandedShape& shape : request.shapes)
    json["shapes"].push_back({{"name", shape.name}, {"bytes", shape.bytes}});
  return json.dump();
}

bool alike(const MeasureRequest& a, const MeasureRequest& b) {
  bool all = a.file == b.file && a.part == b.part && a.sections == b.sections && a.at == b.at &&
             a.cores == b.cores && a.assume_unit == b.assume_unit && a.shapes.size() == b.shapes.size();
  for (std::size_t i = 0; all && i < a.shapes.size(); ++i)
    all = a.shapes[i].name == b.shapes[i].name && a.shapes[i].bytes == b.shapes[i].bytes;
  return all;
}

}  // namespace

void run(std::string_view bytes) {
  const std::optional<MeasureRequest> read = geometry::parse_request(bytes);
  if (!read) return;
  require(read->sections >= 2 && read->sections <= 100000, "sections are within their bounds");
  for (const double share : read->at) require(share >= 0.0 && share <= 1.0, "a share is one");
  const std::optional<MeasureRequest> again = geometry::parse_request(written(*read));
  require(again.has_value() && alike(*read, *again), "a request comes back");
}

}  // namespace corefeed::fuzz
