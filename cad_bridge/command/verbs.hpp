// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

#include <functional>
#include <string>
#include <vector>

#include "corefeed/model/model.hpp"
#include "corefeed/result.hpp"
#include "corefeed/studies/study.hpp"

/// One function per verb: it adds the verb with its options to the command line and returns what runs it. A
/// verb reads, asks a study, hands the answer to a report and holds no physics.
namespace corefeed::command {

/// What a verb does when it was chosen; gives the exit status.
using Run = std::function<Status()>;

struct Verb {
  CLI::App* app;
  Run run;
};

Verb solve_verb(CLI::App& app);
Verb validate_verb(CLI::App& app);
Verb check_verb(CLI::App& app);
Verb size_verb(CLI::App& app);
Verb sweep_verb(CLI::App& app);
Verb compare_verb(CLI::App& app);
Verb lap_verb(CLI::App& app);
Verb measure_verb(CLI::App& app);
Verb propose_verb(CLI::App& app);
Verb explain_verb(CLI::App& app);
Verb schema_verb(CLI::App& app);
Verb completion_verb(CLI::App& app);
Verb report_verb(CLI::App& app);

/// Options that every verb on a model has.
struct ModelOptions {
  std::string model;
  std::string variant;
  std::vector<std::string> allow_roots;
};
void add_model_options(CLI::App& verb, ModelOptions& options);

/// Where the result goes and how it looks.
struct OutputOptions {
  std::string format = "text";
  std::string file;  ///< empty: standard output
};
void add_output_options(CLI::App& verb, OutputOptions& options,
                        const std::vector<std::string>& formats = {"text", "json"});

/// Which of the model's operating points; all where none is named.
void add_point_option(CLI::App& verb, std::vector<std::string>& points);

/// Monte Carlo beside the linear bands.
void add_sample_options(CLI::App& verb, studies::SampleOptions& options);

/// Reads the model, "-" from standard input; issues go to standard error.
Result<model::Model> load(const ModelOptions& options);

/// Prints issues to standard error, errors last, and gives the status they ask for.
Status report(const std::vector<Issue>& issues);

/// Writes the result to its file or to standard output.
Status deliver(const OutputOptions& options, const std::string& text);

/// The worse of two ways to end.
Status worse(Status a, Status b);

}  // namespace corefeed::command
