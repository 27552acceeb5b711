// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

using model::make_array;
using model::make_object;

Value optional_number(const std::optional<double>& value) { return value ? number(*value) : Value(); }

/// Words for programs.
std::string_view trouble_word(studies::Trouble trouble) {
  switch (trouble) {
    case studies::Trouble::outlet_pressure:
      return "outlet_pressure";
    case studies::Trouble::clogged_screens:
      return "clogged_screens";
    case studies::Trouble::dirty_cores:
      return "dirty_cores";
    case studies::Trouble::traffic:
      return "traffic";
    case studies::Trouble::leak_growth:
      break;
  }
  return "leak_growth";
}

std::string_view until_word(studies::Margin::Until until) {
  switch (until) {
    case studies::Margin::Until::requirement:
      return "requirement";
    case studies::Margin::Until::half_flow:
      return "half_flow";
    case studies::Margin::Until::reversal:
      break;
  }
  return "reversal";
}

Value margins_json(const studies::Margins& margins) {
  std::vector<Value> list;
  for (const studies::Margin& one : margins.margins) {
    list.push_back(make_object({{"trouble", text(trouble_word(one.trouble))},
                                {"until", text(until_word(one.until))},
                                {"name", one.name.empty() ? Value() : text(one.name)},
                                {"point", text(one.point)},
                                {"amount", optional_number(one.amount)},
                                {"from_the_start", model::make_boolean(one.from_the_start)},
                                {"unchanged_at", number(studies::trouble_none(one.trouble))},
                                {"searched_to", number(studies::trouble_most(one.trouble))},
                                {"no_steady_state_beyond", optional_number(one.lost_beyond)}}));
  }
  return make_array(std::move(list));
}

Value lever_json(const studies::Lever& lever) {
  return make_object({{"parameter", text(lever.parameter)},
                      {"now", number(lever.now)},
                      {"elasticity", number(lever.elasticity)},
                      {"change_by_ten_percent", number(lever.ten_percent)},
                      {"size", optional_number(lever.size)},
                      {"sigma", lever.size ? number(lever.sigma) : Value()},
                      {"why_not", lever.why_not.empty() ? Value() : text(lever.why_not)}});
}

Value advice_json(const model::Model& model, const std::vector<studies::Advice>& advice) {
  std::vector<Value> list;
  for (const studies::Advice& one : advice) {
    std::vector<Value> levers;
    for (const studies::Lever& lever : one.levers) levers.push_back(lever_json(lever));
    list.push_back(make_object({{"requirement", text(model.requirements[one.requirement].name)},
                                {"point", text(one.point)},
                                {"target", number(one.target)},
                                {"levers", make_array(std::move(levers))}}));
  }
  return make_array(std::move(list));
}

Value ranking_json(const model::Model& model, const std::vector<studies::PointRank>& ranking) {
  std::vector<Value> list;
  for (const studies::PointRank& one : ranking) {
    list.push_back(
        make_object({{"point", text(one.point)},
                     {"requirement", one.solved ? text(model.requirements[one.requirement].name) : Value()},
                     {"margin_in_sigmas", number(one.sigmas)},
                     {"verdict", one.solved ? text(studies::verdict_name(one.verdict)) : Value()}}));
  }
  return make_array(std::move(list));
}

Value cell_json(const model::Model& model, const studies::EnvelopeCell& cell) {
  std::vector<Value> requirements;
  for (std::size_t r = 0; r < model.requirements.size(); ++r) {
    const auto& value = cell.requirements[r];
    if (!value) continue;
    requirements.push_back(make_object({{"name", text(model.requirements[r].name)},
                                        {"value", number(value->value)},
                                        {"margin", number(value->margin)},
                                        {"sigma", number(value->sigma)},
                                        {"verdict", text(studies::verdict_name(value->verdict))}}));
  }
  return make_object({{"speed", number(cell.speed)},
                      {"ride_height", optional_number(cell.ride_height)},
                      {"yaw", optional_number(cell.yaw)},
                      {"solved", model::make_boolean(cell.solved)},
                      {"explanation", cell.solved ? Value() : text(cell.explanation)},
                      {"extrapolated", cell.extrapolated.empty() ? Value() : text(cell.extrapolated)},
                      {"requirements", make_array(std::move(requirements))}});
}

Value envelope_json(const model::Model& model, const studies::Envelope& envelope) {
  std::vector<Value> points, cells, worst;
  for (const std::string& name : envelope.points) points.push_back(text(name));
  for (const studies::EnvelopeCell& cell : envelope.cells) cells.push_back(cell_json(model, cell));
  for (std::size_t r = 0; r < model.requirements.size(); ++r) {
    if (!envelope.worst[r]) continue;
    worst.push_back(make_object({{"requirement", text(model.requirements[r].name)},
                                 {"cell", number(static_cast<double>(*envelope.worst[r]))}}));
  }
  return make_object({{"points", make_array(std::move(points))},
                      {"cells", make_array(std::move(cells))},
                      {"worst", make_array(std::move(worst))}});
}

}  // namespace

void add_outlook(const model::Model& model, const studies::Outlook& outlook, Members& members) {
  members.emplace_back("ranking", ranking_json(model, outlook.ranking));
  members.emplace_back("advice", advice_json(model, outlook.advice));
  members.emplace_back("margins", margins_json(outlook.margins));
  std::vector<Value> envelopes;
  for (const studies::Envelope& one : outlook.envelopes) envelopes.push_back(envelope_json(model, one));
  members.emplace_back("envelopes", make_array(std::move(envelopes)));
}

Value power_json(const studies::PointResult& point) {
  const bool known = point.solution.converged;
  const studies::Power power = known ? studies::power_of(point) : studies::Power{};
  const auto watts = [known](double value) { return known ? number(value) : Value(); };
  std::vector<Value> losses;
  for (const studies::PowerLine& line : power.losses) {
    losses.push_back(make_object({{"element", text(line.element)}, {"power", number(line.power)}}));
  }
  return make_object({{"ram", watts(power.ram)},
                      {"fans", watts(power.fans)},
                      {"lost", watts(power.lost)},
                      {"expansion", watts(power.expansion)},
                      {"fans_drawn", watts(power.fans_drawn)},
                      {"drag", watts(power.drag)},
                      {"drag_upper", watts(power.drag_upper)},
                      {"engine", watts(power.engine)},
                      {"losses", make_array(std::move(losses))}});
}

}  // namespace corefeed::reports
