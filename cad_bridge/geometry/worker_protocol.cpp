// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/geometry/worker_protocol.hpp"

#include "fmt/format.h"
#include "nlohmann/json.hpp"

namespace corefeed::geometry {
namespace {

using Json = nlohmann::ordered_json;

std::string_view word_for(Severity severity) {
  switch (severity) {
    case Severity::note:
      return "note";
    case Severity::warning:
      return "warning";
    case Severity::error:
      return "error";
  }
  return "error";
}

}  // namespace

std::string write_reply(const Result<Measured>& measured) {
  Json issues = Json::array();
  if (!measured) {
    for (const Issue& issue : measured.issues()) {
      issues.push_back({{"code", issue.code}, {"text", issue.text}, {"severity", word_for(issue.severity)}});
    }
  }
  const std::string body =
      fmt::format(R"({{"status":{},"issues":{},"measurement":{},"marks":{},"drawing":{}}})", measured ? 0 : 5,
                  issues.dump(-1, ' ', false, Json::error_handler_t::replace),
                  measured ? measured.value().document : "null", measured ? measured.value().marks : "[]",
                  measured ? measured.value().drawing : "null");
  return fmt::format("corefeed-reply 1 {}\n{}", body.size(), body);
}

}  // namespace corefeed::geometry
