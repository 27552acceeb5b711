// SPDX-License-Identifier: Apache-2.0
#include <limits>

#include "corefeed/reports/json_parts.hpp"
#include "corefeed/reports/text_parts.hpp"

namespace corefeed::reports {
namespace {

using model::make_array;
using model::make_object;
using studies::PointResult;

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// A number of the solution; null where the point has none.
Value solved(const PointResult& point, double value) {
  return number(point.solution.converged ? value : unknown);
}

void add_state(const PointResult& point, int element, Members& members) {
  const cooling::ElementState& state = point.solution.elements[static_cast<std::size_t>(element)];
  members.emplace_back("flow", solved(point, state.flow));
  members.emplace_back("pressure_loss", solved(point, state.pressure_loss));
  for (const cooling::Number& one : state.numbers) {
    members.emplace_back(std::string(one.name), solved(point, one.value));
  }
}

Value piece_json(const PointResult& point, int element) {
  const network::Element& piece = point.built.problem.network.elements[static_cast<std::size_t>(element)];
  Members members{{"name", text(piece.name)}, {"kind", text(losses::word_of(*piece.kind))}};
  add_state(point, element, members);
  return make_object(std::move(members));
}

Value path_json(const PointResult& point, const model::Element& element, const std::vector<int>& parts) {
  const auto total = [&](const char* what) {
    return solved(point, point.solution.value(element.name + what).value_or(unknown));
  };
  std::vector<Value> pieces;
  for (const int part : parts) pieces.push_back(piece_json(point, part));
  return make_object({{"kind", text(element.numbers.kind->name)},
                      {"flow", total(".flow")},
                      {"pressure_loss", total(".pressure_loss")},
                      {"pieces", make_array(std::move(pieces))}});
}

/// The flow at the common port and the two legs.
Value junction_json(const PointResult& point, const model::Element& element, const std::vector<int>& legs) {
  std::vector<Value> each;
  for (const int leg : legs) each.push_back(piece_json(point, leg));
  return make_object({{"kind", text(element.numbers.kind->name)},
                      {"flow", solved(point, point.solution.value(element.name + ".flow").value_or(unknown))},
                      {"legs", make_array(std::move(each))}});
}

/// A split core: what it does as a whole, and each of its zones.
Value zones_json(const PointResult& point, const model::Element& element, const cooling::Path& path) {
  Members members{{"kind", text(element.numbers.kind->name)}};
  for (const char* what : {"flow", "face_velocity", "heat"}) {
    const auto value = point.solution.value(element.name + "." + what);
    if (value) members.emplace_back(what, solved(point, *value));
  }
  std::vector<Value> each;
  for (const int zone : path.elements) each.push_back(piece_json(point, zone));
  members.emplace_back("zones", make_array(std::move(each)));
  return make_object(std::move(members));
}

/// The zones of a split core, or nothing.
const cooling::Path* zones_of(const PointResult& point, const model::Element& element) {
  for (const cooling::Path& path : point.built.problem.paths) {
    if (path.name == element.name && element.numbers.kind->heated) return &path;
  }
  return nullptr;
}

Value elements_json(const model::Model& model, const PointResult& point) {
  Members members;
  for (std::size_t e = 0; e < model.elements.size(); ++e) {
    const model::Element& element = model.elements[e];
    const std::vector<int>& parts = point.built.parts[e];
    if (element.numbers.kind->ends == losses::Ends::three_ports) {
      members.emplace_back(element.name, junction_json(point, element, parts));
      continue;
    }
    if (element.numbers.kind->law == nullptr) {
      members.emplace_back(element.name, path_json(point, element, parts));
      continue;
    }
    if (const cooling::Path* zones = zones_of(point, element)) {
      members.emplace_back(element.name, zones_json(point, element, *zones));
      continue;
    }
    Members numbers{{"kind", text(losses::word_of(*element.numbers.kind))}};
    add_state(point, parts.front(), numbers);
    members.emplace_back(element.name, make_object(std::move(numbers)));
  }
  return make_object(std::move(members));
}

/// Nodes of the user's; those between the pieces of a path, whose names hold a slash, are left out.
Value nodes_json(const PointResult& point) {
  Members members;
  const auto& nodes = point.built.problem.network.nodes;
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    if (nodes[n].name.find('/') != std::string::npos) continue;
    const cooling::NodeState& state = point.solution.nodes[n];
    members.emplace_back(nodes[n].name, make_object({{"total_pressure", solved(point, state.total_pressure)},
                                                     {"temperature", solved(point, state.temperature)}}));
  }
  return make_object(std::move(members));
}

Value loops_json(const PointResult& point) {
  Members members;
  for (std::size_t l = 0; l < point.built.problem.loops.size(); ++l) {
    const cooling::LoopState& state = point.solution.loops[l];
    const std::string& name = point.built.problem.loops[l].name;
    Members numbers{{"temperature", solved(point, state.temperature)},
                    {"temperature_cold", solved(point, state.temperature_cold)},
                    {"flow", solved(point, state.flow)},
                    {"heat", solved(point, state.heat)}};
    const auto margin = point.solution.value(name + ".boiling_margin");
    if (margin) numbers.emplace_back("boiling_margin", solved(point, *margin));
    members.emplace_back(name, make_object(std::move(numbers)));
  }
  return make_object(std::move(members));
}

Value car_json(const PointResult& point) {
  Members members;
  for (const cooling::Number& one : point.solution.car) {
    members.emplace_back(std::string(one.name), solved(point, one.value));
  }
  return make_object(std::move(members));
}

Value balance_json(const network::Balance& balance) {
  return make_object(
      {{"worst", number(balance.worst)}, {"scale", number(balance.scale)}, {"place", text(balance.place)}});
}

Value certificate_json(const network::Certificate& certificate) {
  std::vector<Value> doubtful;
  for (const std::string& name : certificate.in_doubt) doubtful.push_back(text(name));
  return make_object({{"met", model::make_boolean(certificate.met())},
                      {"limit", number(network::Certificate::limit)},
                      {"mass", balance_json(certificate.mass)},
                      {"energy", balance_json(certificate.energy)},
                      {"pressure", balance_json(certificate.pressure)},
                      {"uniqueness", text(certificate.uniqueness_words())},
                      {"in_doubt", make_array(std::move(doubtful))}});
}

/// Further states of the network: what tells them apart, not their budgets and bands.
Value further_json(const model::Model& model, const PointResult& point) {
  std::vector<Value> list;
  for (const cooling::Solution& one : point.solution.further) {
    PointResult other;
    other.name = point.name;
    other.built = point.built;
    other.solution = one;
    list.push_back(make_object({{"stable", model::make_boolean(one.stable)},
                                {"elements", elements_json(model, other)},
                                {"nodes", nodes_json(other)},
                                {"loops", loops_json(other)},
                                {"car", car_json(other)},
                                {"certificate", certificate_json(one.certificate)}}));
  }
  return make_array(std::move(list));
}

Value budgets_json(const PointResult& point) {
  Members members;
  for (const studies::Budget& budget : point.budgets) {
    std::vector<Value> lines;
    for (const studies::BudgetLine& line : budget.lines) {
      lines.push_back(make_object({{"element", text(line.element)},
                                   {"item", text(line.item)},
                                   {"loss", number(line.loss)},
                                   {"share", number(line.share)}}));
    }
    members.emplace_back(budget.core, make_array(std::move(lines)));
  }
  return make_object(std::move(members));
}

Value requirements_json(const model::Model& model, const studies::Study& study, const std::string& point) {
  std::vector<Value> list;
  for (const studies::JudgedRequirement& judged : study.requirements) {
    for (const studies::Judgment& judgment : judged.judgments) {
      if (judgment.point != point) continue;
      list.push_back(make_object(requirement_json(model.requirements[judged.index], &judgment)));
    }
  }
  return make_array(std::move(list));
}

Value warnings_json(const studies::Study& study, const PointResult& point) {
  std::vector<Value> list;
  for (const Issue& issue : study.warnings) list.push_back(warning_json(issue));
  for (const Issue& issue : point.warnings) list.push_back(warning_json(issue));
  return make_array(std::move(list));
}

Value assumptions_json(const model::Model& model) {
  std::vector<Value> list;
  for (const model::Assumption& one : model::assumptions(model)) {
    list.push_back(make_object({{"element", text(one.element)},
                                {"parameter", text(one.parameter)},
                                {"value", one.choice.empty() ? number(one.value) : text(one.choice)},
                                {"source", text(one.source)},
                                {"tag", text(tag_word(one.tag))}}));
  }
  return make_array(std::move(list));
}

}  // namespace

Members requirement_json(const model::Requirement& requirement, const studies::Judgment* judgment) {
  const auto judged = [judgment](double studies::Judgment::*what) {
    return number(judgment == nullptr ? unknown : judgment->*what);
  };
  return {{"name", text(requirement.name)},
          {"quantity", text(requirement.quantity)},
          {"relation", text(requirement.at_least ? "at_least" : "at_most")},
          {"value", judged(&studies::Judgment::value)},
          {"limit", number(requirement.limit)},
          {"margin", judged(&studies::Judgment::margin)},
          {"sigma", judged(&studies::Judgment::sigma)},
          {"verdict", judgment == nullptr ? Value() : text(verdict_name(judgment->verdict))}};
}

Value warning_json(const Issue& issue) {
  // A warning of the model points at "/air/elements/NAME" or "/loops/LOOP/elements/NAME"; one of a solution
  // names the element itself.
  constexpr std::string_view place = "/elements/";
  std::string_view element = issue.place.pointer;
  if (const std::size_t found = element.find(place); found != std::string_view::npos) {
    element.remove_prefix(found + place.size());
    element = element.substr(0, element.find('/'));
  }
  return make_object({{"code", text(issue.code)}, {"element", text(element)}, {"text", text(issue.text)}});
}

Value point_json(const model::Model& model, const studies::Study& study, std::size_t index) {
  const PointResult& point = study.points[index];
  Members members{{"name", text(point.name)},
                  {"converged", model::make_boolean(point.solution.converged)},
                  {"residual", number(point.solution.residual)},
                  {"iterations", number(point.solution.iterations)},
                  {"explanation", text(point.solution.explanation)},
                  {"certificate", certificate_json(point.solution.certificate)},
                  {"stable", model::make_boolean(point.solution.stable)},
                  {"further_points", further_json(model, point)},
                  {"elements", elements_json(model, point)},
                  {"nodes", nodes_json(point)},
                  {"loops", loops_json(point)},
                  {"car", car_json(point)},
                  {"power", power_json(point)},
                  {"budget", budgets_json(point)}};
  add_uncertainties(model, point, members);
  members.emplace_back("requirements", requirements_json(model, study, point.name));
  members.emplace_back("warnings", warnings_json(study, point));
  members.emplace_back("assumptions", assumptions_json(model));
  return make_object(std::move(members));
}

}  // namespace corefeed::reports
