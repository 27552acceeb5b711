// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/annotations.hpp"

#include <fmt/format.h>

#include "corefeed/reports/findings.hpp"
#include "corefeed/reports/verdict_words.hpp"

namespace corefeed::reports {
namespace {

/// "%", ends of lines and, within a property, ":" and "," would end it.
std::string escaped(std::string_view text, bool property) {
  std::string result;
  for (const char c : text) {
    const bool special = c == '%' || c == '\r' || c == '\n' || (property && (c == ':' || c == ','));
    result += special ? fmt::format("%{:02X}", static_cast<unsigned char>(c)) : std::string(1, c);
  }
  return result;
}

std::string_view word_of(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      break;
  }
  return "notice";
}

}  // namespace

std::string annotations(const model::Model& model, const studies::Study& study,
                        const studies::StudyOptions& options) {
  std::string lines;
  const std::string file = escaped(model.file, true);
  for (const Finding& finding : findings_of(model, study, options)) {
    const std::string line = finding.place.line > 0 ? fmt::format(",line={}", finding.place.line) : "";
    lines += fmt::format("::{} file={}{},title={}::{}\n", word_of(finding.severity), file, line,
                         escaped(finding_rule(finding.rule).name, true), escaped(finding.text, false));
  }
  return lines +
         fmt::format("::notice file={},title=corefeed::{}\n", file, escaped(outcome_words(study), false));
}

}  // namespace corefeed::reports
