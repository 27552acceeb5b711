// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/json.hpp"

#include <cmath>

#include "corefeed/reports/json_parts.hpp"
#include "corefeed/reports/verdict_words.hpp"
#include "corefeed/version.hpp"

namespace corefeed::reports {
namespace {

using studies::JudgedRequirement;
using studies::Verdict;

Value options_json(const studies::StudyOptions& options) {
  std::vector<Value> points;
  for (const std::string& name : options.points) points.push_back(text(name));
  return model::make_object({{"tolerance", number(options.solver.tolerance)},
                             {"most_iterations", number(options.solver.most_iterations)},
                             {"points", model::make_array(std::move(points))},
                             {"strict", model::make_boolean(options.strict)},
                             {"samples", number(options.sampling.samples)},
                             {"seed", number(static_cast<double>(options.sampling.seed))}});
}

/// The verdict of the whole study, in the sense of the check's exit status; null where nothing can be said, because a
/// point has no solution or no requirement speaks of the points.
Value verdict_of(const studies::Study& study) {
  // What fails at one point fails, whatever points without a solution would say.
  const Outcome outcome = count_of(study).failed > 0 ? Outcome::not_met : outcome_of(study);
  switch (outcome) {
    case Outcome::met:
      return text(verdict_name(Verdict::met));
    case Outcome::too_close:
      return text(verdict_name(Verdict::too_close));
    case Outcome::not_met:
      return text(verdict_name(Verdict::not_met));
    case Outcome::no_solution:
    case Outcome::nothing_asked:
      break;
  }
  return {};
}

Value worst_json(const model::Model& model, const JudgedRequirement& judged) {
  const studies::Judgment* worst = judged.judgments.empty() ? nullptr : &judged.judgments[judged.worst];
  Members members = requirement_json(model.requirements[judged.index], worst);
  members.emplace_back("point", worst == nullptr ? Value() : text(worst->point));
  members.emplace_back("fails", model::make_boolean(judged.fails));
  return model::make_object(std::move(members));
}

}  // namespace

Value number(double value) { return std::isfinite(value) ? model::make_number(value) : Value(); }

Value text(std::string_view words) { return model::make_text(std::string(words)); }

Members head_of(const model::Model& model) {
  return {{"corefeed", text(version)},
          {"units", text("SI")},
          {"model", text(model.file)},
          {"hash", text(model.hash)}};
}

std::string study_json(const model::Model& model, const studies::Study& study,
                       const studies::StudyOptions& options, const studies::Outlook* outlook) {
  Members members = head_of(model);
  members.emplace_back("options", options_json(options));
  members.emplace_back("verdict", verdict_of(study));
  std::vector<Value> requirements;
  for (const JudgedRequirement& judged : study.requirements)
    requirements.push_back(worst_json(model, judged));
  members.emplace_back("requirements", model::make_array(std::move(requirements)));
  if (outlook != nullptr) add_outlook(model, *outlook, members);
  std::vector<Value> points;
  for (std::size_t i = 0; i < study.points.size(); ++i) points.push_back(point_json(model, study, i));
  members.emplace_back("points", model::make_array(std::move(points)));
  return model::write_document(model::make_object(std::move(members)));
}

std::string size_json(const model::Model& model, const studies::Size& size) {
  Members members = head_of(model);
  members.emplace_back("parameter", text(size.parameter));
  members.emplace_back("value", number(size.value));
  members.emplace_back("sigma", number(size.sigma));
  members.emplace_back("reached", model::make_boolean(size.reached));
  members.emplace_back("limited_by", size.limited_by.empty() ? Value() : text(size.limited_by));
  members.emplace_back("point", text(size.point));
  members.emplace_back("quantity_value", number(size.quantity));
  members.emplace_back("range", model::make_array({number(size.lowest), number(size.highest)}));
  std::vector<Value> values;
  for (const double value : size.values) values.push_back(number(value));
  members.emplace_back("values", model::make_array(std::move(values)));
  std::vector<Value> warnings;
  for (const Issue& issue : size.warnings) warnings.push_back(warning_json(issue));
  members.emplace_back("warnings", model::make_array(std::move(warnings)));
  return model::write_document(model::make_object(std::move(members)));
}

}  // namespace corefeed::reports
