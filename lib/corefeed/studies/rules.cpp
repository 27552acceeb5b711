// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/rules.hpp"

#include <fmt/format.h>

#include "corefeed/model/reader.hpp"

namespace corefeed::studies {

std::vector<Issue> broken_rules(const model::Model& model, const std::vector<model::Parameter>& given,
                                std::string_view lead) {
  model::Reader reader(model.document, "", {});
  for (const model::Parameter& parameter : given) {
    if (parameter.owner != model::Parameter::Owner::element) continue;
    const model::Element& element = model.elements[parameter.index];
    model::check_numbers(reader, element.pointer, element.numbers);
  }
  model::check_parts(reader, model);
  std::vector<Issue> issues;
  for (Issue& issue : reader.issues) {
    if (issue.code == "contradiction") continue;
    issue.status = Status::usage;
    issue.text = fmt::format("{}: {}", lead, issue.text);
    issues.push_back(std::move(issue));
  }
  return issues;
}

}  // namespace corefeed::studies
