// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <memory>
#include <thread>

#include "cad_bridge/command/interrupts.hpp"
#include "cad_bridge/command/progress_line.hpp"
#include "cad_bridge/command/sweep_file.hpp"
#include "cad_bridge/command/sweep_merge.hpp"
#include "cad_bridge/command/verbs.hpp"
#include "corefeed/reports/sweep_rows.hpp"
#include "corefeed/studies/in_order.hpp"
#include "corefeed/studies/sweep.hpp"

namespace corefeed::command {
namespace {

using reports::RowFormat;
using reports::SweepSlice;

struct SweepOptions {
  ModelOptions model;
  std::vector<std::string> over, points, shown, merge;
  std::string from, slice, file;
  std::string format = "csv";
  int jobs = 0;
  bool resume = false;
};

Issue usage(std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::usage;
  issue.text = std::move(text);
  return issue;
}

Result<SweepSlice> slice_of(const std::string& text) {
  SweepSlice slice;
  if (text.empty()) return slice;
  const char* const end = text.data() + text.size();
  const auto index = std::from_chars(text.data(), end, slice.index);
  const bool parted = index.ec == std::errc() && index.ptr != end && *index.ptr == '/';
  const auto count = parted ? std::from_chars(index.ptr + 1, end, slice.count) : index;
  constexpr std::size_t most = 1'000'000;
  if (parted && count.ec == std::errc() && count.ptr == end && slice.index >= 1 &&
      slice.index <= slice.count && slice.count <= most)
    return slice;
  return usage("bad_slice",
               fmt::format("--slice: found {}; expected I/N, slice I of N from 1/N to N/N, such as "
                           "2/8; N is at most 1,000,000",
                           quoted(text)));
}

/// An issue that names the option it came by; one of a file keeps its place.
std::vector<Issue> by_option(std::vector<Issue> issues, std::string_view option) {
  for (Issue& issue : issues) {
    if (issue.status == Status::usage) issue.text = fmt::format("{}: {}", option, issue.text);
  }
  return issues;
}

/// The option that brought an issue of the plan.
std::string_view option_of(const Issue& issue, const SweepOptions& options) {
  if (issue.code == "unknown_point") return "--point";
  if (issue.code == "unknown_quantity" || issue.code == "duplicate_column") return "--show";
  if (options.from.empty()) return "--over";
  return options.over.empty() ? "--from" : "--over, --from";
}

/// The rows of a table first, for they move slowest.
Result<studies::SweepPlan> plan_of(const model::Model& model, const SweepOptions& options) {
  studies::SweepQuestion question;
  std::vector<Issue> issues;
  const auto take = [&](const Result<studies::SweepAxis>& axis, std::string_view option) {
    if (axis) return question.axes.push_back(axis.value());
    for (Issue& issue : by_option(axis.issues(), option)) issues.push_back(std::move(issue));
  };
  if (!options.from.empty()) take(studies::read_axis_table(model, options.from), "--from");
  for (const std::string& text : options.over) take(studies::read_axis(model, text), "--over");
  if (!issues.empty()) return issues;
  question.points = options.points;
  question.shown = options.shown;
  Result<studies::SweepPlan> plan = studies::SweepPlan::make(model, std::move(question));
  if (plan) return plan;
  for (const Issue& issue : plan.issues())
    issues.push_back(by_option({issue}, option_of(issue, options)).front());
  return issues;
}

/// Rows that were solved, as text.
struct Piece {
  std::string lines;
  std::size_t rows = 0, solved = 0;
  std::string reason;  ///< of the first row without solution, with its number
};

Piece piece_of(const studies::SweepPlan& plan, const studies::SweptRows& rows, RowFormat format) {
  Piece piece{reports::row_lines(plan, rows, format), rows.reasons.size(), 0, {}};
  for (std::size_t i = 0; i < rows.reasons.size(); ++i) {
    if (rows.reasons[i].empty()) ++piece.solved;
    if (!rows.reasons[i].empty() && piece.reason.empty())
      piece.reason = fmt::format("row {}: {}", rows.first + i + 1, rows.reasons[i]);
  }
  return piece;
}

/// Rows without solution are counted; no row with one is an error.
Status close(std::size_t rows, std::size_t solved, const std::string& reason) {
  if (solved == rows) return Status::done;
  Issue issue;
  issue.code = "no_solution";
  issue.status = Status::no_solution;
  issue.severity = solved == 0 ? Severity::error : Severity::warning;
  issue.text = fmt::format("{} of {} rows have no solution{}{}", rows - solved, rows,
                           reason.empty() ? "" : "; ", reason);
  return report({issue});
}

/// Status of a program that a signal has ended.
Status interrupted(int signal, const SweepFile& file, std::size_t rows) {
  Issue issue;
  issue.code = "interrupted";
  issue.text = fmt::format("ended by a signal after {} of {} rows{}", file.rows(), rows,
                           file.can_resume() ? "; go on with the same command and --resume" : "");
  report({issue});
  return static_cast<Status>(128 + signal);
}

Status write_rows(const studies::SweepPlan& plan, const SweepSlice& slice, RowFormat format, int jobs,
                  SweepFile& file, std::size_t wanted) {
  const Interrupts interrupts;
  std::vector<Issue> issues;
  std::string reason;
  std::size_t first = slice.first_block(plan);
  const std::size_t begin = plan.block_begin(first);
  while (plan.block_begin(first) < begin + file.rows()) ++first;
  {
    ProgressLine progress(file.rows(), wanted);
    const auto start = [&] {
      const auto solver = std::make_shared<studies::SweepSolver>(plan);
      return
          [&plan, format, solver](std::size_t block) { return piece_of(plan, solver->solve(block), format); };
    };
    studies::in_order(first, slice.last_block(plan), jobs, start, [&](std::size_t, const Piece& piece) {
      issues = file.append(piece.lines, piece.rows, piece.solved);
      if (reason.empty()) reason = piece.reason;
      progress.show(file.rows());
      return issues.empty() && Interrupts::signal() == 0;
    });
  }
  if (!issues.empty()) return report(issues);
  if (file.rows() < wanted) return interrupted(Interrupts::signal(), file, wanted);
  issues = file.finish();
  if (!issues.empty()) return report(issues);
  return close(file.rows(), file.solved(), reason);
}

Status run_sweep(const SweepOptions& options) {
  const Result<SweepSlice> slice = slice_of(options.slice);
  if (!slice) return report(slice.issues());
  const Result<model::Model> model = load(options.model);
  if (!model) return report(model.issues());
  const Result<studies::SweepPlan> planned = plan_of(model.value(), options);
  if (!planned) return report(planned.issues());
  const studies::SweepPlan& plan = planned.value();
  report(plan.warnings());

  RowsWanted wanted;
  wanted.format = options.format == "json" ? RowFormat::json_lines : RowFormat::csv;
  wanted.facts = reports::sweep_facts(plan, {options.over, options.from, options.model.variant},
                                      wanted.format, slice.value());
  wanted.header = reports::row_header(plan, wanted.facts, wanted.format);
  const std::size_t first_block = slice.value().first_block(plan);
  const std::size_t first = plan.block_begin(first_block);
  wanted.first_row = first + 1;
  wanted.rows = plan.block_begin(slice.value().last_block(plan)) - first;
  wanted.block_rows = plan.block_begin(1);
  Result<SweepFile> file =
      SweepFile::open(options.file, wanted, options.resume ? Leftover::go_on : Leftover::refuse);
  if (!file) return report(file.issues());
  if (file.value().is_complete()) return close(file.value().rows(), file.value().solved(), "");
  const int cores = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  return write_rows(plan, slice.value(), wanted.format, options.jobs > 0 ? options.jobs : cores, file.value(),
                    wanted.rows);
}

/// What was given beside --merge that it has no use for.
std::vector<std::string> useless_beside_merge(const CLI::App& verb) {
  std::vector<std::string> names;
  for (const CLI::Option* option : verb.get_options()) {
    const std::string name = option->get_name();
    if (option->count() > 0 && name != "--merge" && option != verb.get_option("--output"))
      names.push_back(name);
  }
  return names;
}

Status run(const CLI::App& verb, const SweepOptions& options) {
  if (!options.merge.empty()) {
    const std::vector<std::string> useless = useless_beside_merge(verb);
    if (!useless.empty())
      return report({usage("bad_argument", fmt::format("--merge joins files and solves nothing; leave out {}",
                                                       fmt::join(useless, ", ")))});
    const Result<Merged> merged = merge_slices(options.merge, options.file);
    if (!merged) return report(merged.issues());
    return close(merged.value().rows, merged.value().solved, "");
  }
  if (options.model.model.empty())
    return report({usage("bad_argument", "MODEL is required, or --merge FILES")});
  if (options.resume && options.file.empty())
    return report({usage("cannot_resume", "--resume: give the FILE of the broken run by -o")});
  return run_sweep(options);
}

void add_run_options(CLI::App& verb, SweepOptions& options) {
  verb.add_option(
          "--over", options.over,
          "a number and its values: NAME=FROM:TO:COUNT or NAME=a,b,c; several cross, the last one moves "
          "fastest")
      ->type_name("NAME=VALUES")
      ->allow_extra_args(false);
  verb.add_option(
          "--from", options.from,
          "CSV file of numbers that move together, headed `NAME.key [unit]`, a row each; crosses with "
          "--over and moves slowest")
      ->type_name("FILE");
  add_point_option(verb, options.points);
  verb.add_option("--show", options.shown,
                  "quantity to show, such as radiator.flow; may be repeated; default: flows of the cores, "
                  "temperatures of the loops, what requirements ask for")
      ->type_name("QUANTITY")
      ->allow_extra_args(false);
  verb.add_option("--format", options.format, "csv, or json for a JSON object a line")
      ->check(CLI::IsMember({"csv", "json"}));
  verb.add_option("--jobs", options.jobs, "threads; default: one a processor; the rows do not depend on it")
      ->check(CLI::Range(1, 1024))
      ->type_name("N");
  verb.add_flag("--resume", options.resume, "go on where a run that was broken off has left FILE.part");
  verb.add_option("--slice", options.slice, "only slice I of N, to be joined by --merge")->type_name("I/N");
}

}  // namespace

Verb sweep_verb(CLI::App& app) {
  CLI::App* verb = app.add_subcommand("sweep", "how do the quantities move over ranges of some numbers?");
  auto options = std::make_shared<SweepOptions>();
  add_model_options(*verb, options->model);
  verb->get_option("MODEL")->required(false);
  add_run_options(*verb, *options);
  verb->add_option("--merge", options->merge, "join the files of all slices to one, instead of solving")
      ->type_name("FILES");
  verb->add_option(
          "-o,--output", options->file,
          "write the rows to this file instead of standard output; it is in its place once all rows are")
      ->type_name("FILE");
  return {verb, [verb, options] { return run(*verb, *options); }};
}

}  // namespace corefeed::command
