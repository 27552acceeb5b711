// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/sarif.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <map>
#include <system_error>

#include "corefeed/reports/findings.hpp"
#include "corefeed/reports/json_parts.hpp"
#include "corefeed/version.hpp"

namespace corefeed::reports {
namespace {

using model::make_array;
using model::make_object;

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

/// {"text": ...}, as the format wants its messages.
Value message(std::string_view words) { return make_object({{"text", text(words)}}); }

Value rule_json(std::string_view id) {
  const FindingRule& rule = finding_rule(id);
  return make_object(
      {{"id", text(id)}, {"shortDescription", message(rule.name)}, {"help", message(rule.help)}});
}

/// All rules of ours, then those that only this run has.
class Rules {
 public:
  Rules() {
    for (const FindingRule& rule : finding_rules()) index(std::string(rule.id));
  }
  std::size_t index(const std::string& id) {
    const auto [place, is_new] = places_.try_emplace(id, list.items.size());
    if (is_new) list.items.push_back(rule_json(id));
    return place->second;
  }
  Value list = make_array();

 private:
  std::map<std::string, std::size_t> places_;
};

Value location_of(const Finding& finding, const std::string& uri) {
  Members physical{{"artifactLocation", make_object({{"uri", text(uri)}})}};
  if (finding.place.line > 0)
    physical.emplace_back("region", make_object({{"startLine", number(finding.place.line)}}));
  Members location{{"physicalLocation", make_object(std::move(physical))}};
  if (!finding.subject.empty())
    location.emplace_back("logicalLocations", make_array({make_object({{"name", text(finding.subject)}})}));
  return make_object(std::move(location));
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
  std::vector<Value> results;
  std::map<std::string, int> met;
  for (const Finding& finding : findings_of(model, study, options)) {
    const std::string print = fmt::format("{}|{}|{}", finding.rule, finding.subject, finding.point);
    const std::size_t index = rules.index(finding.rule);
    results.push_back(make_object(
        {{"ruleId", text(finding.rule)},
         {"ruleIndex", number(static_cast<double>(index))},
         {"level", text(level_of(finding.severity))},
         {"message", message(finding.text)},
         {"locations", make_array({location_of(finding, uri)})},
         {"partialFingerprints",
          make_object({{"corefeedFinding/v1", text(fmt::format("{}|{}", print, ++met[print]))}})}}));
  }
  const Value driver = make_object({{"name", text("corefeed")},
                                    {"version", text(version)},
                                    {"semanticVersion", text(version)},
                                    {"rules", std::move(rules.list)}});
  const Value run = make_object({{"tool", make_object({{"driver", driver}})},
                                 {"columnKind", text("unicodeCodePoints")},
                                 {"results", make_array(std::move(results))}});
  return model::write_document(make_object(
      {{"$schema", text("https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json")},
       {"version", text("2.1.0")},
       {"runs", make_array({run})}}));
}

}  // namespace corefeed::reports
