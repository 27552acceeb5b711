// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "corefeed/model/parameter.hpp"
#include "corefeed/studies/size.hpp"

namespace corefeed::studies {
namespace {

/// Whether a shop can change the number: sizes and openings, not air, fluids or test data.
bool is_lever(const Influence& influence, const model::Model& model) {
  if (influence.coefficient) return false;
  const std::string_view name = influence.parameter;
  const std::size_t dot = name.find('.');
  if (dot == std::string_view::npos) return false;
  const std::string_view key = name.substr(dot + 1);
  if (key == "open_fraction" || key == "blocker.open_share" || key == "flow") return true;
  const model::Element* element = model.find_element(name.substr(0, dot));
  if (element == nullptr) return false;
  const std::size_t place = losses::find_key(*element->numbers.kind, key);
  if (place == losses::npos) return false;
  const units::Quantity quantity = element->numbers.kind->keys[place].quantity;
  return quantity == units::Quantity::area || quantity == units::Quantity::length ||
         quantity == units::Quantity::air_flow || quantity == units::Quantity::angle;
}

/// The condition of a requirement, as `size` asks it: its limit. One that states a confidence, or whose value
/// is on the right side already, is cured where its margin is sure, with the band it has now.
SizeQuestion question_of(const model::Requirement& requirement, const Judgment& worst) {
  SizeQuestion question;
  question.quantity = requirement.quantity;
  question.at_least = requirement.at_least;
  question.kind = requirement.kind;
  question.points = requirement.at;
  const bool wants_sure = requirement.confidence.has_value() || worst.margin >= 0.0;
  const double sure = wants_sure ? needed_margin(requirement, worst.sigma) : 0.0;
  question.target = requirement.limit + (requirement.at_least ? sure : -sure);
  return question;
}

Lever lever_of(const model::Model& model, const Influence& influence, const PointResult& point,
               const model::Requirement& requirement) {
  Lever lever;
  lever.parameter = influence.parameter;
  lever.elasticity = influence.elasticity;
  const Result<model::Parameter> parameter = model::find_parameter(model, influence.parameter);
  lever.kind = parameter.value().quantity;
  lever.now = model::parameter_value(model, parameter.value());
  lever.larger = (influence.derivative > 0.0) == requirement.at_least;
  const double value = point.solution.value(requirement.quantity).value_or(0.0);
  lever.ten_percent = (requirement.at_least ? 0.1 : -0.1) * std::abs(influence.elasticity * value);
  return lever;
}

/// What the lever can do alone.
void size_lever(const model::Model& model, SizeQuestion question, const StudyOptions& options, Lever& lever) {
  question.parameters = {lever.parameter};
  const Result<Size> sized = size(model, question, options);
  if (!sized) {
    lever.why_not = sized.issues().front().text;
    return;
  }
  const Size& found = sized.value();
  if (found.reached) {
    lever.size = found.value;
    lever.sigma = found.sigma;
    return;
  }
  lever.best = found.value;
  lever.reaches = found.quantity;
  lever.why_not =
      fmt::format("{} to {} reaches only {}", units::show(found.lowest, lever.kind),
                  units::show(found.highest, lever.kind), units::show(found.quantity, question.kind));
}

}  // namespace

std::vector<Influence> levers_on(const model::Model& model, const PointResult& result,
                                 std::string_view quantity) {
  std::vector<Influence> levers = uncertainty_of(model, result, quantity).influences;
  std::erase_if(levers, [&model](const Influence& one) {
    return !is_lever(one, model) || one.elasticity == 0.0 || !model::find_parameter(model, one.parameter);
  });
  std::stable_sort(levers.begin(), levers.end(), [](const Influence& a, const Influence& b) {
    return std::abs(a.elasticity) > std::abs(b.elasticity);
  });
  return levers;
}

std::vector<Advice> advise(const model::Model& model, const Study& study, const StudyOptions& options) {
  constexpr std::size_t most = 3;
  std::vector<Advice> all;
  for (const JudgedRequirement& judged : study.requirements) {
    if (judged.judgments.empty()) continue;
    const Judgment& worst = judged.judgments[judged.worst];
    if (worst.verdict == Verdict::met) continue;
    const PointResult* point = find_point(study, worst.point);
    const model::Requirement& requirement = model.requirements[judged.index];
    const SizeQuestion question = question_of(requirement, worst);
    Advice advice{judged.index, worst.point, question.target, {}};
    for (const Influence& influence : levers_on(model, *point, requirement.quantity)) {
      if (advice.levers.size() == most) break;
      advice.levers.push_back(lever_of(model, influence, *point, requirement));
      size_lever(model, question, options, advice.levers.back());
    }
    std::stable_partition(advice.levers.begin(), advice.levers.end(),
                          [](const Lever& lever) { return lever.size.has_value(); });
    all.push_back(std::move(advice));
  }
  return all;
}

}  // namespace corefeed::studies
