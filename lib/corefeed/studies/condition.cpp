// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "corefeed/model/nearest.hpp"
#include "corefeed/studies/size.hpp"
#include "corefeed/studies/words.hpp"

namespace corefeed::studies {
namespace {

std::optional<units::Quantity> kind_of(const model::Model& model, std::string_view quantity,
                                       std::string& help) {
  const auto names = cooling::quantity_names(model::build(model, model.points.front()).problem);
  std::vector<std::string_view> known;
  for (const cooling::NamedQuantity& one : names) {
    if (one.name == quantity) return one.quantity;
    known.push_back(one.name);
  }
  const std::string near = model::nearest(quantity, known);
  if (!near.empty()) help = fmt::format("; did you mean {}?", quoted(near));
  return std::nullopt;
}

Result<SizeQuestion> from_requirement(const model::Model& model, std::string_view name) {
  std::vector<std::string> known;
  for (const model::Requirement& requirement : model.requirements) {
    if (requirement.name == name) {
      SizeQuestion question;
      question.quantity = requirement.quantity;
      question.at_least = requirement.at_least;
      question.target = requirement.limit;
      question.kind = requirement.kind;
      question.points = requirement.at;
      return question;
    }
    known.push_back(requirement.name);
  }
  return usage("unknown_requirement",
               fmt::format("the model has no requirement {}; there are: {}", quoted(name),
                           known.empty() ? "none" : fmt::format("{}", fmt::join(known, ", "))));
}

}  // namespace

Result<SizeQuestion> read_condition(const model::Model& model, const std::string& text) {
  const std::string_view whole = trimmed(text);
  constexpr std::string_view prefix = "requirement:";
  if (whole.starts_with(prefix)) return from_requirement(model, trimmed(whole.substr(prefix.size())));
  std::size_t sign = whole.find(">=");
  const bool at_least = sign != std::string_view::npos;
  if (!at_least) sign = whole.find("<=");
  if (sign == std::string_view::npos) {
    return usage("bad_condition",
                 fmt::format("found {}; write QUANTITY >= VALUE or QUANTITY <= VALUE, such as "
                             "\"radiator.flow >= 1.5 kg/s\", or requirement:NAME",
                             quoted(text)));
  }
  SizeQuestion question;
  question.quantity = trimmed(whole.substr(0, sign));
  question.at_least = at_least;
  std::string help;
  const auto kind = kind_of(model, question.quantity, help);
  if (!kind) {
    return usage("unknown_quantity",
                 fmt::format("there is no quantity {}{}", quoted(question.quantity), help));
  }
  const Result<double> target = units::parse(trimmed(whole.substr(sign + 2)), *kind);
  if (!target) {
    std::vector<Issue> issues = target.issues();
    for (Issue& issue : issues) issue.status = Status::usage;
    return issues;
  }
  question.target = target.value();
  question.kind = *kind;
  return question;
}

}  // namespace corefeed::studies
