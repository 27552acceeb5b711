// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "corefeed/model/model.hpp"
#include "corefeed/model/parameter.hpp"
#include "corefeed/result.hpp"
#include "corefeed/studies/compare.hpp"
#include "corefeed/studies/lap.hpp"
#include "corefeed/studies/size.hpp"
#include "corefeed/studies/study.hpp"

/// What the doors (command, Python module, C library) have in common: a question as a user words it becomes
/// one that a study answers. Holds no physics, prints nothing.
namespace corefeed::session {

/// Which file, and how it is read.
struct ModelFile {
  std::string path;
  std::string variant = {};                   ///< empty: the model as it stands
  std::vector<std::string> allow_roots = {};  ///< further folders below which files may be opened
};

/// Reads a model with the parts that it takes from CAD. Errors: those of `model::read_model` and of
/// measuring.
Result<model::Model> load(const ModelFile& file);

/// The same for text in memory: `label` stands for the file in messages; `folder` is where it looks for
/// others.
Result<model::Model> parse(const std::string& text, const std::string& label, const std::string& folder,
                           const ModelFile& how);

/// A number as a user gives it: a quantity string ("520 cm2"), or SI.
using Given = std::variant<double, std::string>;

/// The SI value for a parameter. Errors (status usage): out_of_bounds, those of quantity strings.
Result<double> number_for(const model::Parameter& parameter, const Given& given);

/// The parameter's present value, SI. Error (usage): unknown_parameter.
Result<double> get_number(const model::Model& model, const std::string& name);

/// Sets a parameter, in the model's document too. Errors (usage): unknown_parameter and those of
/// `number_for`.
std::vector<Issue> set_number(model::Model& model, const std::string& name, const Given& given);

/// The question of `corefeed size`.
struct SizeWords {
  std::vector<std::string> vary;
  std::string until;              ///< "radiator.flow >= 1.5 kg/s" or "requirement:NAME"
  std::vector<Given> range = {};  ///< lowest and highest; empty: the default
  std::vector<std::string> points = {};
};

/// How options are called where the question comes from, for messages.
struct SizeNames {
  std::string vary = "vary";
  std::string until = "until";
  std::string range = "range";
  std::string points = "points";
};

/// Errors (status usage): those of `studies::read_condition`, unknown_point, unknown_parameter, and those of
/// quantity strings, each led by the option's name.
Result<studies::SizeQuestion> size_question(const model::Model& model, const SizeWords& words,
                                            const SizeNames& names = {});

/// Names that tell models apart: the files' own without folder and ending, as far as these differ.
std::vector<std::string> short_names(const std::vector<std::string>& files);

/// The model of a file as it stands and with each of its variants. Errors: nothing_to_compare (usage), those
/// of `load`, led by the variant's name.
Result<std::vector<studies::Alternative>> with_variants(const ModelFile& file);

/// Points without a solution, or without a single stable one, as errors (status no_solution).
std::vector<Issue> unsolved(const studies::Study& study);

/// The same for all alternatives.
std::vector<Issue> unsolved(const studies::Comparison& comparison);

/// What keeps a lap from an answer, as errors (status no_solution).
std::vector<Issue> unsolved(const studies::LapStudy& study);

/// What the command prints of issues on standard error: a line each, errors last.
std::string text_of(const std::vector<Issue>& issues);

}  // namespace corefeed::session
