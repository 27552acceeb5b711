// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "corefeed/model/model.hpp"
#include "corefeed/studies/study.hpp"

/// Alternatives side by side at the same operating points: which is better, by how much, and why. The first
/// one is what the others are held against.
namespace corefeed::studies {

struct Alternative {
  std::string name;
  model::Model model;
};

/// How much a difference to the first alternative says.
enum class Weight {
  unknown,      ///< one of the two has no such quantity or no solution
  same,         ///< equal within what the solver leaves
  within_band,  ///< smaller than its own 1-sigma
  clear
};
std::string_view weight_name(Weight weight);  ///< "unknown", "same", "within band", "clear"

/// A quantity in one alternative.
struct ComparedValue {
  std::optional<double> value;  ///< SI; nothing where there is no such quantity or no solution
  double change = 0;            ///< value minus that of the first alternative, SI
  double sigma = 0;             ///< 1-sigma of the change, see `sigma_of_change`
  Weight weight = Weight::unknown;
};

struct ComparedQuantity {
  std::string quantity;  ///< "radiator.flow"
  units::Quantity kind = units::Quantity::number;
  std::vector<ComparedValue> values;  ///< by alternative
};

/// Where an element stands in an alternative, as seen by one core's loss budget.
enum class Presence {
  unsolved,  ///< the point has no solution
  absent,    ///< the alternative has no such element (or core)
  off_path,  ///< it exists, but the stream that carries most of the core's air goes another way
  on_path
};

struct ComparedLoss {
  Presence presence = Presence::absent;
  double loss = 0;    ///< Pa; 0 where it is not on the path
  double change = 0;  ///< Pa, against the first alternative; 0 where one of the two has no solution
};

/// What an element takes of a core's head: all its items, all pieces of a duct, or what stands side by side
/// between two nodes ("shroud -> engine_bay") where that is so in one of the alternatives.
struct ComparedElement {
  std::string name;
  std::vector<ComparedLoss> losses;  ///< by alternative
};

struct ComparedBudget {
  std::string core;
  std::vector<ComparedElement> elements;     ///< in the order of the flow
  std::vector<std::optional<double>> heads;  ///< Pa, by alternative
};

/// One of the largest differences of an alternative: a quantity, or an element in a core's budget.
struct Highlight {
  bool loss = false;
  std::size_t budget = 0;  ///< place in the point's budgets, of a loss
  std::size_t row = 0;     ///< place in the point's quantities or in the budget's elements
  double size = 0;  ///< share of the first's flow, drag, temperature rise or head; what they are sorted by
};

struct ComparedPoint {
  std::string name;
  std::vector<ComparedQuantity> quantities;
  std::vector<ComparedBudget> budgets;
  /// By alternative, the at most three largest: clear ones among flows, temperatures and drag, then losses.
  /// At most two of either sort, so that the effect stands beside its reason.
  std::vector<std::vector<Highlight>> largest;
};

/// An alternative's place in a ranking, judged at its governing point.
struct Ranked {
  std::size_t alternative = 0;
  int rank = 1;  ///< the same as that of the one before where the two differ by less than the band
  std::string point;
  double value = 0;  ///< SI
  double sigma = 0;  ///< 1-sigma of the value, SI
  std::optional<Verdict> verdict;
};

/// Best first. Alternatives that lack the requirement or loop, or a solution, are left out.
struct Ranking {
  std::string requirement;  ///< its name; empty: the loop's hottest point, lowest first
  std::string quantity;
  units::Quantity kind = units::Quantity::number;
  std::vector<Ranked> places;
};

struct Comparison {
  std::vector<std::string> names;
  std::vector<Study> studies;         ///< by alternative, points in the order of the first
  std::vector<ComparedPoint> points;  ///< in the order of the first
  std::vector<Ranking> rankings;      ///< by requirement, then by loop that no requirement speaks of
  std::vector<Issue> warnings;        ///< different_conditions
  Status status = Status::done;       ///< done or no_solution; a requirement that fails is no fault here
};

/// 1-sigma of the difference of a quantity between two solved points. A parameter that both have under the
/// same name, with the same number and in the same kind of element, has one and the same error in both: its
/// two effects are subtracted before squaring, so that what is badly known but common cancels. A parameter
/// that only one has, or whose number the alternative changes (another core, another vent), has an error of
/// its own on either side: root of the sum of squares.
double sigma_of_change(const PointResult& first, const Uncertainty& of_first, const PointResult& other,
                       const Uncertainty& of_other);

/// Solves all alternatives and sets them side by side; points are matched by name. The first needs at least
/// one companion (assertion). Errors: missing_point (status input) where an alternative lacks a point that
/// another has, unknown_point (status usage) where none has a point asked for.
Result<Comparison> compare(const std::vector<Alternative>& alternatives, const StudyOptions& options = {});

}  // namespace corefeed::studies
