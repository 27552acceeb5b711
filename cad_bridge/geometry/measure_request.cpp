// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/measure_request.hpp"

#include <algorithm>

#include "nlohmann/json.hpp"

namespace corefeed::geometry {
namespace {

using Json = nlohmann::ordered_json;

constexpr int most_sections = 100000;

bool read_text(const Json& json, const char* key, std::optional<std::string>& text) {
  const auto found = json.find(key);
  if (found == json.end() || found->is_null()) return true;
  if (!found->is_string()) return false;
  text = found->get<std::string>();
  return true;
}

bool read_names(const Json& json, std::vector<std::string>& names) {
  if (!json.is_array()) return false;
  for (const Json& name : json) {
    if (!name.is_string()) return false;
    names.push_back(name.get<std::string>());
  }
  return true;
}

bool read_shares(const Json& json, std::vector<double>& shares) {
  if (!json.is_array()) return false;
  for (const Json& share : json) {
    if (!share.is_number()) return false;
    shares.push_back(share.get<double>());
  }
  return std::all_of(shares.begin(), shares.end(), [](double share) { return share >= 0 && share <= 1; });
}

bool read_shapes(const Json& json, std::vector<HandedShape>& shapes) {
  if (!json.is_array()) return false;
  for (const Json& shape : json) {
    const bool sound = shape.is_object() && shape.contains("name") && shape["name"].is_string() &&
                       shape.contains("bytes") && shape["bytes"].is_number_unsigned();
    if (!sound) return false;
    shapes.push_back({shape["name"].get<std::string>(), shape["bytes"].get<std::size_t>()});
  }
  return true;
}

}  // namespace

std::optional<MeasureRequest> parse_request(std::string_view text) {
  const Json json = Json::parse(text, nullptr, false);
  if (!json.is_object()) return std::nullopt;
  MeasureRequest request;
  std::optional<std::string> file;
  if (!read_text(json, "file", file) || !read_text(json, "part", request.part) ||
      !read_text(json, "assume_unit", request.assume_unit)) {
    return std::nullopt;
  }
  request.file = file.value_or("");
  if (const auto sections = json.find("sections"); sections != json.end()) {
    if (!sections->is_number_integer()) return std::nullopt;
    const auto count = sections->get<long long>();
    if (count < 2 || count > most_sections) return std::nullopt;
    request.sections = static_cast<int>(count);
  }
  if (const auto cores = json.find("cores"); cores != json.end() && !read_names(*cores, request.cores))
    return std::nullopt;
  if (const auto shapes = json.find("shapes"); shapes != json.end() && !read_shapes(*shapes, request.shapes))
    return std::nullopt;
  if (const auto at = json.find("at"); at != json.end() && !read_shares(*at, request.at)) return std::nullopt;
  return request;
}

}  // namespace corefeed::geometry
