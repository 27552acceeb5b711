// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/junit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <pugixml.hpp>

#include "corefeed/model/text_file.hpp"
#include "corefeed/studies/strict.hpp"

namespace corefeed::reports {
namespace {

using studies::Judgment;
using studies::PointResult;
using studies::Verdict;

/// XML 1.0 has no place for control characters, U+FFFE, U+FFFF and bytes that are not UTF-8, escaped or not.
std::string clean(std::string_view text) {
  constexpr std::string_view replacement = "\uFFFD";
  std::string result;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = model::utf8_length(text, i);
    const std::string_view character = text.substr(i, std::max<std::size_t>(length, 1));
    const bool control = static_cast<unsigned char>(text[i]) < 0x20 && text[i] != '\t' && text[i] != '\n';
    const bool allowed = length > 0 && !control && character != "\uFFFE" && character != "\uFFFF";
    result += allowed ? character : replacement;
    i += character.size();
  }
  return result;
}

/// A margin or a spread of temperatures is no level: 5 K, not -268.15 degC.
std::string difference(double value, units::Quantity quantity) {
  const bool level = quantity == units::Quantity::temperature;
  return units::show(value, level ? units::Quantity::temperature_difference : quantity);
}

std::string judgment_text(const model::Requirement& requirement, const Judgment& judgment) {
  return fmt::format(
      "{} is {}, {} {} is required: {} (margin {}, sigma {})", requirement.quantity,
      units::show(judgment.value, requirement.kind), requirement.at_least ? "at least" : "at most",
      units::show(requirement.limit, requirement.kind), verdict_name(judgment.verdict),
      difference(judgment.margin, requirement.kind), difference(judgment.sigma, requirement.kind));
}

/// One suite as it grows.
class Suite {
 public:
  Suite(pugi::xml_node parent, const model::Model& model, const std::string& name)
      : model_(model), node_(parent.append_child("testsuite")) {
    node_.append_attribute("name") = clean(name).c_str();
    for (const char* count : {"tests", "failures", "errors"}) node_.append_attribute(count) = 0;
  }

  pugi::xml_node add_case(const std::string& name, const std::string& pointer) {
    pugi::xml_node node = node_.append_child("testcase");
    node.append_attribute("classname") = clean(model_.title.empty() ? model_.file : model_.title).c_str();
    node.append_attribute("name") = clean(name).c_str();
    node.append_attribute("file") = clean(model_.file).c_str();
    const int line = model_.document.place(pointer).line;
    if (line > 0) node.append_attribute("line") = line;
    count("tests");
    return node;
  }

  /// Adds "failure" or "error" to a case.
  void add_fault(pugi::xml_node node, const char* what, std::string_view type, const std::string& message) {
    pugi::xml_node fault = node.append_child(what);
    fault.append_attribute("message") = clean(message).c_str();
    fault.append_attribute("type") = clean(type).c_str();
    count(std::string_view(what) == "failure" ? "failures" : "errors");
  }

 private:
  void count(const char* what) {
    pugi::xml_attribute attribute = node_.attribute(what);
    attribute = attribute.as_int() + 1;
  }

  const model::Model& model_;
  pugi::xml_node node_;
};

void add_solved(const model::Model& model, const PointResult& point, Suite& suite) {
  std::string pointer;
  for (const model::Point& one : model.points) {
    if (one.name == point.name) pointer = one.pointer;
  }
  const pugi::xml_node node = suite.add_case("solved", pointer);
  const bool several = !point.solution.further.empty();
  if (!point.solution.converged || several) {
    suite.add_fault(node, "error", several ? "several_solutions" : "no_solution", point.solution.explanation);
  }
}

void add_requirements(const model::Model& model, const studies::Study& study, const PointResult& point,
                      bool strict, Suite& suite) {
  for (const studies::JudgedRequirement& judged : study.requirements) {
    const model::Requirement& requirement = model.requirements[judged.index];
    for (const Judgment& judgment : judged.judgments) {
      if (judgment.point != point.name) continue;
      const pugi::xml_node node = suite.add_case(requirement.name, requirement.pointer);
      if (!counts_against(requirement, judgment, strict)) continue;
      suite.add_fault(node, "failure", verdict_name(judgment.verdict), judgment_text(requirement, judgment));
    }
  }
}

/// What a strict check does not accept besides verdicts.
void add_range(const studies::Study& study, const PointResult& point, Suite& suite) {
  const pugi::xml_node node = suite.add_case("within range", "");
  for (const std::vector<Issue>* list : {&study.warnings, &point.warnings}) {
    for (const Issue& issue : *list) {
      if (!studies::counts_when_strict(issue)) continue;
      suite.add_fault(node, "failure", issue.code, issue.text);
      return;
    }
  }
}

struct StringWriter : pugi::xml_writer {
  std::string text;
  void write(const void* data, std::size_t size) override {
    text.append(static_cast<const char*>(data), size);
  }
};

}  // namespace

std::string junit(const model::Model& model, const studies::Study& study,
                  const studies::StudyOptions& options) {
  pugi::xml_document document;
  pugi::xml_node root = document.append_child("testsuites");
  for (const PointResult& point : study.points) {
    Suite suite(root, model, point.name);
    add_solved(model, point, suite);
    add_requirements(model, study, point, options.strict, suite);
    if (options.strict) add_range(study, point, suite);
  }
  StringWriter writer;
  document.save(writer, "  ", pugi::format_indent, pugi::encoding_utf8);
  return writer.text;
}

}  // namespace corefeed::reports
