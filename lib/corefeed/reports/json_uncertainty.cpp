// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "corefeed/reports/json_parts.hpp"

namespace corefeed::reports {
namespace {

constexpr std::size_t most_shares = 5;
constexpr std::size_t most_sensitivities = 12;

/// 1-sigma and the parameters that make most of its variance; the influences come sorted by effect.
Value spread_json(const studies::Uncertainty& uncertainty) {
  std::vector<Value> largest;
  const double variance = uncertainty.sigma * uncertainty.sigma;
  for (const studies::Influence& influence : uncertainty.influences) {
    if (influence.effect == 0.0 || largest.size() == most_shares) break;
    largest.push_back(
        model::make_object({{"parameter", text(influence.parameter)},
                            {"share", number(influence.effect * influence.effect / variance)}}));
  }
  return model::make_object(
      {{"sigma", number(uncertainty.sigma)}, {"largest", model::make_array(std::move(largest))}});
}

Value sensitivity_json(std::vector<studies::Influence> influences) {
  std::stable_sort(influences.begin(), influences.end(), [](const auto& a, const auto& b) {
    return std::abs(a.elasticity) > std::abs(b.elasticity);
  });
  Members members;
  for (const studies::Influence& influence : influences) {
    if (influence.derivative == 0.0 || members.size() == most_sensitivities) continue;
    members.emplace_back(influence.parameter,
                         model::make_object({{"derivative", number(influence.derivative)},
                                             {"elasticity", number(influence.elasticity)}}));
  }
  return model::make_object(std::move(members));
}

Value samples_json(const studies::Samples& samples) {
  Members quantities;
  for (const studies::Sampled& one : samples.quantities) {
    quantities.emplace_back(one.quantity,
                            model::make_object({{"sigma", number(one.sigma)},
                                                {"linear_sigma", number(one.linear_sigma)},
                                                {"mean", number(one.mean)},
                                                {"differs", model::make_boolean(one.differs)}}));
  }
  std::vector<Value> reversed;
  for (const std::string& name : samples.reversed) reversed.push_back(text(name));
  return model::make_object({{"count", number(samples.count)},
                             {"unsolved", number(samples.unsolved)},
                             {"quantities", model::make_object(std::move(quantities))},
                             {"reversed", model::make_array(std::move(reversed))}});
}

}  // namespace

void add_uncertainties(const model::Model& model, const studies::PointResult& point, Members& members) {
  Members spreads;
  Members sensitivities;
  if (point.solution.converged) {
    for (const std::string& quantity : studies::quantities_of_interest(model)) {
      const studies::Uncertainty uncertainty = studies::uncertainty_of(model, point, quantity);
      spreads.emplace_back(quantity, spread_json(uncertainty));
      sensitivities.emplace_back(quantity, sensitivity_json(uncertainty.influences));
    }
  }
  members.emplace_back("uncertainty", model::make_object(std::move(spreads)));
  members.emplace_back("sensitivity", model::make_object(std::move(sensitivities)));
  if (point.samples.count > 0) members.emplace_back("samples", samples_json(point.samples));
}

}  // namespace corefeed::reports
