// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/cooling/solution.hpp"
#include "corefeed/model/build.hpp"
#include "corefeed/model/model.hpp"

/// A model solved at its operating points, with uncertainty, loss budgets and verdicts. Knows no output
/// format.
namespace corefeed::studies {

/// One line of a loss budget, in the order of the flow. All lines sum to the head between where the
/// air enters and where it leaves.
struct BudgetLine {
  std::string element;
  std::string item;
  double loss = 0;   ///< Pa
  double share = 0;  ///< of the sum
};

struct Budget {
  std::string core;  ///< or the loop, where it is a network
  std::string from;  ///< the opening or node where it begins
  std::string to;    ///< where it ends
  std::vector<BudgetLine> lines;
  double head = 0;  ///< Pa, freestream total (or fixed pressure) to where the air leaves; what a pump gives
};

/// How one parameter moves a quantity.
struct Influence {
  std::string parameter;     ///< "fender_vent.cp"; "vent.cross_stream" where all vents share the error
  double derivative = 0;     ///< SI
  double elasticity = 0;     ///< relative change of the quantity per relative change of the parameter
  double effect = 0;         ///< derivative times the parameter's sigma, in the quantity's unit
  bool coefficient = false;  ///< a handbook coefficient, not something the shop can change
};

/// Linear 1-sigma of a quantity with what it comes from, largest first.
struct Uncertainty {
  double sigma = 0;
  std::vector<Influence> influences;
};

/// What sampling found of one quantity.
struct Sampled {
  std::string quantity;
  double linear_sigma = 0;  ///< as `Uncertainty` has it
  double mean = 0;
  double sigma = 0;      ///< of the samples that have a solution
  bool differs = false;  ///< the two sigmas part by more than a quarter
};

/// A check of the linear uncertainty: the model solved with its numbers drawn from their bands.
struct Samples {
  int count = 0;     ///< drawn
  int unsolved = 0;  ///< of them without a steady state
  std::vector<Sampled> quantities;
  std::vector<std::string> reversed;  ///< elements through which the air flows the other way in some sample
};

struct SampleOptions {
  int samples = 0;  ///< none where 0
  std::uint64_t seed = 1;
};

/// Everything about one operating point.
struct PointResult {
  std::string name;
  model::Built built;
  cooling::Solution solution;
  std::vector<Issue> warnings;
  std::vector<Budget> budgets;
  Samples samples;  ///< empty where none were asked for
};

enum class Verdict { met, not_met, too_close };
std::string_view verdict_name(Verdict verdict);  ///< "met", "not met", "too close to call"

/// A requirement at one point.
struct Judgment {
  std::string point;
  double value = 0;   ///< SI
  double margin = 0;  ///< SI, positive when the value is on the right side of the limit
  double sigma = 0;   ///< SI
  Verdict verdict = Verdict::not_met;
};

struct JudgedRequirement {
  std::size_t index = 0;            ///< in the model's requirements
  std::vector<Judgment> judgments;  ///< by point of `at`
  std::size_t worst = 0;            ///< place of the governing judgment
  /// Whether it counts against the check: not met, or too close where the requirement states a confidence or
  /// the check is strict.
  bool fails = false;
};

struct StudyOptions {
  cooling::SolveOptions solver;
  std::vector<std::string> points;  ///< names; empty: all
  bool strict = false;              ///< too close, out of range and mended count as not met
  SampleOptions sampling;
};

struct Study {
  std::vector<PointResult> points;
  std::vector<JudgedRequirement> requirements;
  std::vector<Issue> warnings;  ///< of the model
  /// done, requirement_not_met or no_solution.
  Status status = Status::done;
};

/// The point of this name, or null.
const PointResult* find_point(const Study& study, std::string_view name);

/// Whether a list of points' names speaks of this one: an empty list speaks of all.
bool is_wanted(const std::vector<std::string>& names, const std::string& name);

/// Solves and judges. Errors (status usage): unknown_point.
Result<Study> run_study(const model::Model& model, const StudyOptions& options = {});

/// Holds a value of a quantity against a requirement: the margin counts as sure where it exceeds sigma times
/// the quantile of the requirement's confidence.
Judgment judge(const model::Requirement& requirement, const std::string& point, double value, double sigma);

/// From which margin on a requirement is met for sure: sigma times the quantile of its confidence.
double needed_margin(const model::Requirement& requirement, double sigma);

/// Margin in units of its own 1-sigma. Without any uncertainty a margin is as sure as can be: infinite.
double in_sigmas(const Judgment& judgment);

/// Whether a judgment counts as failed: not met, or too close where the requirement states a confidence or
/// the check is strict.
bool counts_against(const model::Requirement& requirement, const Judgment& judgment, bool strict);

/// A loop this hot, K (a bound of ours), is no answer: the equations of a core without any air have a
/// solution that nobody has ever seen. Such a point counts as unsolved.
inline constexpr double hottest_believed = 1000.0;

/// Solves one point without judging.
PointResult solve_point(const model::Model& model, const model::Point& point,
                        const cooling::SolveOptions& options);

/// Linear uncertainty and sensitivities of a quantity at a solved point; exact derivatives, flow and heat
/// coupled.
Uncertainty uncertainty_of(const model::Model& model, const PointResult& result, std::string_view quantity);

/// What is reported with its uncertainty: every core's flow, every loop's temperature, and what requirements
/// ask for.
std::vector<std::string> quantities_of_interest(const model::Model& model);

/// Monte Carlo of a solved point: Latin hypercube over all numbers with a band, normal, cut at 3 sigma;
/// numbers that share an error move together. The same seed gives the same samples.
Samples sample(const model::Model& model, const PointResult& result, const SampleOptions& options);

/// Loss budget of every core along the stream that carries most of its air, and of every loop that is a
/// network along the stream that carries most of its liquid.
std::vector<Budget> budgets_of(const PointResult& result);

/// Numbers outside a law's range, reversed streams, fast air, liquids outside their tables.
std::vector<Issue> point_warnings(const PointResult& result);

}  // namespace corefeed::studies
