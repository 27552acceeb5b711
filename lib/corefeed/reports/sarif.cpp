// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/sarif.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <system_error>

#include "corefeed/model/text_file.hpp"
#include "corefeed/reports/findings.hpp"
#include "corefeed/version.hpp"

namespace corefeed::reports {
namespace {

using Json = nlohmann::ordered_json;

/// Names from a model are UTF-8 already; a file's path may be any bytes.
std::string valid_text(std::string_view text) {
  std::string result;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = model::utf8_length(text, i);
    result += length > 0 ? text.substr(i, length) : std::string_view("\uFFFD");
    i += std::max<std::size_t>(length, 1);
  }
  return result;
}

std::string_view level_of(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      break;
  }
  return "note";
}

Json rule_json(std::string_view id) {
  const FindingRule& rule = finding_rule(id);
  return {{"id", id}, {"shortDescription", {{"text", rule.name}}}, {"help", {{"text", rule.help}}}};
}

/// All rules of ours, then those that only this run has.
class Rules {
 public:
  Rules() {
    for (const FindingRule& rule : finding_rules()) index(std::string(rule.id));
  }
  std::size_t index(const std::string& id) {
    const auto [place, is_new] = places_.try_emplace(id, list.size());
    if (is_new) list.push_back(rule_json(id));
    return place->second;
  }
  Json list = Json::array();

 private:
  std::map<std::string, std::size_t> places_;
};

Json location_of(const Finding& finding, const std::string& uri) {
  Json physical{{"artifactLocation", {{"uri", uri}}}};
  if (finding.place.line > 0) physical["region"] = {{"startLine", finding.place.line}};
  Json location{{"physicalLocation", std::move(physical)}};
  if (!finding.subject.empty())
    location["logicalLocations"] = Json::array({{{"name", valid_text(finding.subject)}}});
  return location;
}

}  // namespace

std::string uri_of(const std::string& file, const std::string& folder) {
  namespace fs = std::filesystem;
  std::string path = file;
  bool whole = fs::path(file).is_absolute();
  if (whole && !folder.empty()) {
    const std::string below = fs::path(file).lexically_relative(folder).generic_string();
    if (!below.empty() && !below.starts_with("..")) {
      path = below;
      whole = false;
    }
  }
  std::string uri = whole ? "file://" : "";
  for (const char c : path) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       std::string_view("-._~/").find(c) != std::string_view::npos;
    uri += plain ? std::string(1, c) : fmt::format("%{:02X}", byte);
  }
  return uri;
}

std::string sarif(const model::Model& model, const studies::Study& study,
                  const studies::StudyOptions& options) {
  std::error_code none;
  const std::string uri = uri_of(model.file, std::filesystem::current_path(none).string());
  Rules rules;
  Json results = Json::array();
  std::map<std::string, int> met;
  for (const Finding& finding : findings_of(model, study, options)) {
    const std::string print = fmt::format("{}|{}|{}", finding.rule, finding.subject, finding.point);
    const std::size_t index = rules.index(finding.rule);
    results.push_back({{"ruleId", finding.rule},
                       {"ruleIndex", index},
                       {"level", level_of(finding.severity)},
                       {"message", {{"text", valid_text(finding.text)}}},
                       {"locations", Json::array({location_of(finding, uri)})},
                       {"partialFingerprints",
                        {{"corefeedFinding/v1", fmt::format("{}|{}", valid_text(print), ++met[print])}}}});
  }
  const Json driver{{"name", "corefeed"},
                    {"version", version},
                    {"semanticVersion", version},
                    {"rules", std::move(rules.list)}};
  const Json document{
      {"$schema", "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"},
      {"version", "2.1.0"},
      {"runs", Json::array({{{"tool", {{"driver", driver}}},
                             {"columnKind", "unicodeCodePoints"},
                             {"results", std::move(results)}}})}};
  return document.dump(2) + "\n";
}

}  // namespace corefeed::reports
