// SPDX-License-Identifier: Apache-2.0
#include "corefeed/studies/compare_point.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace corefeed::studies {
namespace {

constexpr std::size_t most_highlights = 3;
constexpr int most_of_a_sort = 2;
/// Share of a core's head below which a loss is not worth a word.
constexpr double least_loss = 0.01;

const network::Element* find_element(const PointResult& result, std::string_view name) {
  for (const network::Element& element : result.built.problem.network.elements) {
    if (element.name == name) return &element;
  }
  return nullptr;
}

const cooling::Loop* find_loop(const PointResult& result, std::string_view name) {
  for (const cooling::Loop& loop : result.built.problem.loops) {
    if (loop.name == name) return &loop;
  }
  return nullptr;
}

/// Whether a parameter that both know has the same error in both.
bool is_common(const PointResult& first, const PointResult& other, std::string_view parameter) {
  const std::size_t dot = parameter.find('.');
  const std::string_view owner = parameter.substr(0, dot);
  const std::string_view key = parameter.substr(std::min(dot + 1, parameter.size()));
  const network::Element* a = find_element(first, owner);
  const network::Element* b = find_element(other, owner);
  if (a != nullptr && b != nullptr) {
    if (a->kind != b->kind) return false;
    const std::size_t place = losses::find_key(*a->kind, key);
    return place != losses::npos && a->numbers[place] == b->numbers[place];
  }
  const cooling::Loop* in_first = find_loop(first, owner);
  const cooling::Loop* in_other = find_loop(other, owner);
  if (in_first != nullptr && in_other != nullptr) {
    return key == "flow" ? in_first->flow == in_other->flow : in_first->heat_load == in_other->heat_load;
  }
  // What is left is the error that all elements of a kind share.
  return a == nullptr && b == nullptr && in_first == nullptr && in_other == nullptr;
}

/// What people compare: every core's air, every loop, the drag, what fans draw, and what is required.
std::vector<ComparedQuantity> rows_of(const std::vector<Subject>& subjects) {
  std::vector<ComparedQuantity> rows;
  const auto add = [&rows](const std::string& name, units::Quantity kind) {
    const auto same = [&name](const ComparedQuantity& one) { return one.quantity == name; };
    if (std::none_of(rows.begin(), rows.end(), same)) rows.push_back({name, kind, {}});
  };
  const auto each_element = [&subjects](const auto& visit) {
    for (const Subject& subject : subjects) {
      const cooling::Case& problem = subject.result->built.problem;
      for (std::size_t e = 0; e < problem.network.elements.size(); ++e)
        visit(problem.network.elements[e], problem.loop_of[e] != network::none);
    }
  };
  const auto add_core = [&add](const std::string& name, bool cools) {
    add(name + ".flow", units::Quantity::mass_flow);
    add(name + ".face_velocity", units::Quantity::velocity);
    if (cools) add(name + ".heat", units::Quantity::power);
  };
  each_element([&add_core](const network::Element& element, bool cools) {
    if (losses::is_air_core(*element.kind)) add_core(element.name, cools);
  });
  // A split core as a whole: in another alternative it may be in one piece.
  for (const Subject& subject : subjects) {
    const cooling::Case& problem = subject.result->built.problem;
    for (const cooling::Path& path : problem.paths) {
      const auto first = static_cast<std::size_t>(path.elements.front());
      if (problem.network.elements[first].kind->heated)
        add_core(path.name, problem.loop_of[first] != network::none);
    }
  }
  for (const Subject& subject : subjects) {
    for (const cooling::Loop& loop : subject.result->built.problem.loops)
      add(loop.name + ".temperature", units::Quantity::temperature);
  }
  add("car.cooling_drag", units::Quantity::force);
  each_element([&add](const network::Element& element, bool) {
    if (element.kind->name == "fan") add(element.name + ".power", units::Quantity::power);
  });
  for (const Subject& subject : subjects) {
    for (const model::Requirement& one : subject.model->requirements) add(one.quantity, one.kind);
  }
  return rows;
}

void fill(const std::vector<Subject>& subjects, ComparedQuantity& row) {
  const PointResult& first = *subjects.front().result;
  Uncertainty of_first;
  for (const Subject& subject : subjects) {
    ComparedValue compared;
    if (subject.result->solution.converged) compared.value = subject.result->solution.value(row.quantity);
    const bool is_first = row.values.empty();
    if (is_first && compared.value) of_first = uncertainty_of(*subject.model, first, row.quantity);
    const auto& base = is_first ? compared.value : row.values.front().value;
    if (base && compared.value) {
      compared.change = *compared.value - *base;
      compared.weight = Weight::same;
      if (std::abs(compared.change) > solver_noise * std::max(std::abs(*base), std::abs(*compared.value))) {
        const Uncertainty uncertainty = uncertainty_of(*subject.model, *subject.result, row.quantity);
        compared.sigma = sigma_of_change(first, of_first, *subject.result, uncertainty);
        compared.weight = std::abs(compared.change) < compared.sigma ? Weight::within_band : Weight::clear;
      }
    }
    row.values.push_back(compared);
  }
}

/// Size of a quantity's difference as a share of what the first has, or 0 where it is no result by itself
/// (velocity and heat follow from flow and load).
double size_of(const ComparedQuantity& row, std::size_t alternative, double ambient) {
  const ComparedValue& compared = row.values[alternative];
  const bool counts = row.kind == units::Quantity::mass_flow || row.kind == units::Quantity::temperature ||
                      row.quantity == "car.cooling_drag";
  if (!counts || compared.weight != Weight::clear) return 0.0;
  const double first = *row.values.front().value;
  const double scale =
      row.kind == units::Quantity::temperature ? std::max(first - ambient, 1.0) : std::abs(first);
  return scale == 0.0 ? 1.0 : std::abs(compared.change) / scale;
}

/// An element between several cores and the outside stands in several budgets, and is named once.
void add_losses(const ComparedPoint& point, std::size_t alternative, std::vector<Highlight>& found) {
  std::map<std::string, Highlight> by_element;
  for (std::size_t b = 0; b < point.budgets.size(); ++b) {
    const ComparedBudget& budget = point.budgets[b];
    if (!budget.heads.front() || !budget.heads[alternative]) continue;
    const double scale = std::max(std::abs(*budget.heads.front()), 1.0);
    for (std::size_t row = 0; row < budget.elements.size(); ++row) {
      const double size = std::abs(budget.elements[row].losses[alternative].change) / scale;
      Highlight& most = by_element[budget.elements[row].name];
      if (size > std::max(least_loss, most.size)) most = {true, b, row, size};
    }
  }
  for (const auto& [name, highlight] : by_element) {
    if (highlight.size > 0.0) found.push_back(highlight);
  }
}

std::vector<Highlight> largest_of(const ComparedPoint& point, std::size_t alternative, double ambient) {
  std::vector<Highlight> found;
  for (std::size_t row = 0; row < point.quantities.size(); ++row) {
    const double size = size_of(point.quantities[row], alternative, ambient);
    if (size > 0.0) found.push_back({false, 0, row, size});
  }
  add_losses(point, alternative, found);
  std::stable_sort(found.begin(), found.end(),
                   [](const Highlight& a, const Highlight& b) { return a.size > b.size; });
  std::vector<Highlight> largest;
  for (const Highlight& one : found) {
    const auto of_the_sort = std::count_if(largest.begin(), largest.end(),
                                           [&one](const Highlight& kept) { return kept.loss == one.loss; });
    if (largest.size() < most_highlights && of_the_sort < most_of_a_sort) largest.push_back(one);
  }
  std::stable_partition(largest.begin(), largest.end(), [](const Highlight& one) { return !one.loss; });
  return largest;
}

}  // namespace

std::string_view weight_name(Weight weight) {
  switch (weight) {
    case Weight::unknown:
      return "unknown";
    case Weight::same:
      return "same";
    case Weight::within_band:
      return "within band";
    case Weight::clear:
      break;
  }
  return "clear";
}

double sigma_of_change(const PointResult& first, const Uncertainty& of_first, const PointResult& other,
                       const Uncertainty& of_other) {
  std::map<std::string_view, double> effects;
  double variance = 0.0;
  for (const Influence& influence : of_first.influences) effects[influence.parameter] = influence.effect;
  for (const Influence& influence : of_other.influences) {
    const auto found = effects.find(influence.parameter);
    if (found == effects.end() || !is_common(first, other, influence.parameter)) {
      variance += influence.effect * influence.effect;
    } else {
      found->second = influence.effect - found->second;
    }
  }
  for (const auto& [parameter, effect] : effects) variance += effect * effect;
  return std::sqrt(variance);
}

ComparedPoint compare_point(const std::vector<Subject>& subjects) {
  ComparedPoint point;
  point.name = subjects.front().result->name;
  point.quantities = rows_of(subjects);
  for (ComparedQuantity& row : point.quantities) fill(subjects, row);
  point.budgets = compare_budgets(subjects);
  for (std::size_t s = 0; s < subjects.size(); ++s)
    point.largest.push_back(largest_of(point, s, subjects.front().model->temperature));
  return point;
}

}  // namespace corefeed::studies
