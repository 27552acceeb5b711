// SPDX-License-Identifier: Apache-2.0
#include "corefeed/reports/compare_words.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

using model::make_array;
using model::make_object;
using studies::Alternative;
using studies::ComparedLoss;
using studies::ComparedPoint;
using studies::ComparedQuantity;
using studies::Comparison;
using studies::Presence;

Value optional_number(const std::optional<double>& value) { return value ? number(*value) : Value(); }

Value options_of(const studies::StudyOptions& options) {
  std::vector<Value> points;
  for (const std::string& name : options.points) points.push_back(text(name));
  return make_object({{"tolerance", number(options.solver.tolerance)},
                      {"most_iterations", number(options.solver.most_iterations)},
                      {"points", make_array(std::move(points))}});
}

Value points_json(const Alternative& alternative, const studies::Study& study) {
  std::vector<Value> points;
  for (std::size_t i = 0; i < study.points.size(); ++i)
    points.push_back(point_json(alternative.model, study, i));
  return make_array(std::move(points));
}

Value quantity_json(const ComparedQuantity& row, std::size_t alternative) {
  const studies::ComparedValue& compared = row.values[alternative];
  const bool known = compared.weight != studies::Weight::unknown;
  return make_object({{"baseline", optional_number(row.values.front().value)},
                      {"value", optional_number(compared.value)},
                      {"change", known ? number(compared.change) : Value()},
                      {"sigma", known ? number(compared.sigma) : Value()},
                      {"weight", text(studies::weight_name(compared.weight))}});
}

std::string_view presence_word(Presence presence) {
  switch (presence) {
    case Presence::unsolved:
      return "unsolved";
    case Presence::absent:
      return "absent";
    case Presence::off_path:
      return "off path";
    case Presence::on_path:
      break;
  }
  return "on path";
}

Value loss_json(const studies::ComparedElement& element, std::size_t alternative) {
  const ComparedLoss& first = element.losses.front();
  const ComparedLoss& other = element.losses[alternative];
  const auto loss = [](const ComparedLoss& one) {
    return one.presence == Presence::unsolved ? Value() : number(one.loss);
  };
  const bool known = first.presence != Presence::unsolved && other.presence != Presence::unsolved;
  return make_object({{"element", text(element.name)},
                      {"baseline", loss(first)},
                      {"value", loss(other)},
                      {"change", known ? number(other.change) : Value()},
                      {"baseline_presence", text(presence_word(first.presence))},
                      {"presence", text(presence_word(other.presence))}});
}

Value difference_json(const Comparison& comparison, const ComparedPoint& point, std::size_t alternative) {
  Members quantities;
  for (const ComparedQuantity& row : point.quantities)
    quantities.emplace_back(row.quantity, quantity_json(row, alternative));
  Members budgets;
  for (const studies::ComparedBudget& budget : point.budgets) {
    std::vector<Value> lines;
    for (const studies::ComparedElement& element : budget.elements)
      lines.push_back(loss_json(element, alternative));
    budgets.emplace_back(budget.core, make_array(std::move(lines)));
  }
  return make_object({{"name", text(point.name)},
                      {"quantities", make_object(std::move(quantities))},
                      {"budget", make_object(std::move(budgets))},
                      {"summary", text(highlights_sentence(comparison, point, alternative))}});
}

/// What every alternative has: its name, where it comes from and its points.
Members alternative_json(const Alternative& alternative, const studies::Study& study) {
  return {{"name", text(alternative.name)},
          {"model", text(alternative.model.file)},
          {"hash", text(alternative.model.hash)},
          {"points", points_json(alternative, study)}};
}

Value ranking_json(const Comparison& comparison, const studies::Ranking& ranking) {
  std::vector<Value> places;
  for (const studies::Ranked& place : ranking.places) {
    places.push_back(
        make_object({{"name", text(comparison.names[place.alternative])},
                     {"rank", number(place.rank)},
                     {"point", text(place.point)},
                     {"value", number(place.value)},
                     {"sigma", number(place.sigma)},
                     {"verdict", place.verdict ? text(studies::verdict_name(*place.verdict)) : Value()}}));
  }
  return make_object({{"requirement", ranking.requirement.empty() ? Value() : text(ranking.requirement)},
                      {"quantity", text(ranking.quantity)},
                      {"places", make_array(std::move(places))}});
}

}  // namespace

std::string compare_json(const std::vector<Alternative>& alternatives, const Comparison& comparison,
                         const studies::StudyOptions& options) {
  Members members = head_of(alternatives.front().model);
  members.emplace_back("options", options_of(options));
  members.emplace_back("baseline",
                       make_object(alternative_json(alternatives.front(), comparison.studies.front())));
  std::vector<Value> variants;
  for (std::size_t a = 1; a < alternatives.size(); ++a) {
    Members variant = alternative_json(alternatives[a], comparison.studies[a]);
    std::vector<Value> differences;
    for (const ComparedPoint& point : comparison.points)
      differences.push_back(difference_json(comparison, point, a));
    variant.emplace_back("difference", make_array(std::move(differences)));
    variants.push_back(make_object(std::move(variant)));
  }
  members.emplace_back("variants", make_array(std::move(variants)));
  std::vector<Value> rankings;
  for (const studies::Ranking& ranking : comparison.rankings)
    rankings.push_back(ranking_json(comparison, ranking));
  members.emplace_back("ranking", make_array(std::move(rankings)));
  std::vector<Value> warnings;
  for (const Issue& issue : comparison.warnings) warnings.push_back(warning_json(issue));
  members.emplace_back("warnings", make_array(std::move(warnings)));
  return model::write_document(make_object(std::move(members)));
}

}  // namespace corefeed::reports
