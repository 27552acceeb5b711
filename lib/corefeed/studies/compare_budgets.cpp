// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "corefeed/studies/compare_point.hpp"

namespace corefeed::studies {
namespace {

constexpr std::string_view arrow = " -> ";

const network::Network& network_of(const Subject& subject) { return subject.result->built.problem.network; }

const Budget* find_budget(const Subject& subject, const std::string& core) {
  for (const Budget& budget : subject.result->budgets) {
    if (budget.core == core) return &budget;
  }
  return nullptr;
}

/// Elements side by side stand in a budget under their nodes.
bool is_group(std::string_view name) { return name.find(arrow) != std::string_view::npos; }

/// "nose_duct" of "nose_duct/2 bend": what the user wrote.
std::string_view users_name(std::string_view element) { return element.substr(0, element.find('/')); }

/// The row that a line of a budget belongs to. Where one alternative has elements side by side and another a
/// single one between the same nodes, the single one stands in the row of the nodes: these are the same way.
std::string row_of(const network::Network& net, const std::string& element,
                   const std::set<std::string>& groups) {
  if (is_group(element)) return element;
  for (const network::Element& one : net.elements) {
    if (one.name != element || one.from == network::none || one.to == network::none) continue;
    const std::string& from = net.nodes[static_cast<std::size_t>(one.from)].name;
    const std::string& to = net.nodes[static_cast<std::size_t>(one.to)].name;
    for (const std::string& name :
         {fmt::format("{}{}{}", from, arrow, to), fmt::format("{}{}{}", to, arrow, from)}) {
      if (groups.count(name) > 0) return name;
    }
  }
  return std::string(users_name(element));
}

bool has_row(const network::Network& net, const std::string& row) {
  const auto has_node = [&net](std::string_view name) {
    return std::any_of(net.nodes.begin(), net.nodes.end(),
                       [name](const network::Node& node) { return node.name == name; });
  };
  if (is_group(row)) {
    const std::string_view whole = row;
    const std::size_t at = whole.find(arrow);
    return has_node(whole.substr(0, at)) && has_node(whole.substr(at + arrow.size()));
  }
  return std::any_of(net.elements.begin(), net.elements.end(),
                     [&row](const network::Element& one) { return users_name(one.name) == row; });
}

/// The rows of all subjects in one order that keeps each subject's own as far as they agree.
std::vector<std::string> merged_rows(const std::vector<std::vector<std::string>>& sequences) {
  std::vector<std::string> rows;
  for (const auto& sequence : sequences) {
    auto place = rows.begin();
    for (const std::string& row : sequence) {
      const auto found = std::find(rows.begin(), rows.end(), row);
      place = (found == rows.end() ? rows.insert(place, row) : found) + 1;
    }
  }
  return rows;
}

ComparedLoss loss_in(const Subject& subject, const Budget* budget, const std::string& row,
                     const std::set<std::string>& groups) {
  ComparedLoss compared;
  if (!subject.result->solution.converged) {
    compared.presence = Presence::unsolved;
    return compared;
  }
  const network::Network& net = network_of(subject);
  compared.presence = has_row(net, row) ? Presence::off_path : Presence::absent;
  if (budget == nullptr) return compared;
  for (const BudgetLine& line : budget->lines) {
    if (row_of(net, line.element, groups) != row) continue;
    compared.presence = Presence::on_path;
    compared.loss += line.loss;
  }
  return compared;
}

ComparedBudget compare_budget(const std::vector<Subject>& subjects, const std::string& core) {
  ComparedBudget compared;
  compared.core = core;
  std::vector<const Budget*> budgets;
  std::set<std::string> groups;
  for (const Subject& subject : subjects) {
    budgets.push_back(find_budget(subject, core));
    if (budgets.back() == nullptr) continue;
    for (const BudgetLine& line : budgets.back()->lines) {
      if (is_group(line.element)) groups.insert(line.element);
    }
  }
  std::vector<std::vector<std::string>> sequences(subjects.size());
  for (std::size_t s = 0; s < subjects.size(); ++s) {
    compared.heads.push_back(budgets[s] == nullptr ? std::nullopt : std::optional(budgets[s]->head));
    if (budgets[s] == nullptr) continue;
    for (const BudgetLine& line : budgets[s]->lines)
      sequences[s].push_back(row_of(network_of(subjects[s]), line.element, groups));
  }
  for (const std::string& row : merged_rows(sequences)) {
    ComparedElement element;
    element.name = row;
    for (std::size_t s = 0; s < subjects.size(); ++s)
      element.losses.push_back(loss_in(subjects[s], budgets[s], row, groups));
    for (ComparedLoss& loss : element.losses) {
      const bool solved =
          loss.presence != Presence::unsolved && element.losses.front().presence != Presence::unsolved;
      loss.change = solved ? loss.loss - element.losses.front().loss : 0.0;
    }
    compared.elements.push_back(std::move(element));
  }
  return compared;
}

}  // namespace

std::vector<ComparedBudget> compare_budgets(const std::vector<Subject>& subjects) {
  std::vector<std::string> cores;
  for (const Subject& subject : subjects) {
    for (const Budget& budget : subject.result->budgets) {
      if (std::find(cores.begin(), cores.end(), budget.core) == cores.end()) cores.push_back(budget.core);
    }
  }
  std::vector<ComparedBudget> compared;
  for (const std::string& core : cores) compared.push_back(compare_budget(subjects, core));
  return compared;
}

}  // namespace corefeed::studies
