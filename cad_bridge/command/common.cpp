// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "cad_bridge/command/verbs.hpp"
#include "cad_bridge/session/session.hpp"
#include "corefeed/reports/atomic_file.hpp"

namespace corefeed::command {
namespace {

/// All bytes to a descriptor; false with errno when it does not take them.
bool write_all(int descriptor, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(descriptor, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

std::string read_standard_input() {
  std::string text;
  std::array<char, 65536> buffer;
  // A model has at most 64 MB; the reader refuses what is longer.
  while (text.size() <= 64'000'000) {
    const ssize_t got = ::read(STDIN_FILENO, buffer.data(), buffer.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    text.append(buffer.data(), static_cast<std::size_t>(got));
  }
  return text;
}

}  // namespace

void add_model_options(CLI::App& verb, ModelOptions& options) {
  verb.add_option("MODEL", options.model, "model file; - reads standard input")->required();
  verb.add_option("--variant", options.variant, "apply this variant of the model first")->type_name("NAME");
  // One value each, so that the model may stand behind it.
  verb.add_option("--allow-root", options.allow_roots, "also open files below this folder; may be repeated")
      ->type_name("DIR")
      ->allow_extra_args(false);
}

void add_output_options(CLI::App& verb, OutputOptions& options, const std::vector<std::string>& formats) {
  verb.add_option("--format", options.format, fmt::format("{}", fmt::join(formats, " or ")))
      ->check(CLI::IsMember(formats));
  verb.add_option("-o,--output", options.file, "write the result to this file instead of standard output")
      ->type_name("FILE");
}

void add_point_option(CLI::App& verb, std::vector<std::string>& points) {
  verb.add_option("--point", points, "only this operating point; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
}

void add_sample_options(CLI::App& verb, studies::SampleOptions& options) {
  verb.add_option("--samples", options.samples, "check every band by this many samples (Latin hypercube)")
      ->type_name("N")
      ->check(CLI::Range(2, 1'000'000));
  verb.add_option("--seed", options.seed, "of the samples; the same seed gives the same ones")
      ->type_name("S");
}

Result<model::Model> load(const ModelOptions& options) {
  const session::ModelFile file{options.model, options.variant, options.allow_roots};
  if (options.model == "-") return session::parse(read_standard_input(), "standard input", ".", file);
  return session::load(file);
}

Status report(const std::vector<Issue>& issues) {
  write_all(STDERR_FILENO, session::text_of(issues));
  return worst_status(issues);
}

Status deliver(const OutputOptions& options, const std::string& text) {
  if (!options.file.empty()) return report(reports::write_file(options.file, text));
  if (write_all(STDOUT_FILENO, text)) return Status::done;
  Issue issue;
  issue.code = "cannot_write";
  issue.status = Status::output;
  issue.text = std::string("standard output: ") + std::strerror(errno);
  return report({issue});
}

Status worse(Status a, Status b) {
  const auto as_issue = [](Status status) {
    Issue issue;
    issue.status = status;
    return issue;
  };
  if (a == Status::done) return b;
  if (b == Status::done) return a;
  return worst_status({as_issue(a), as_issue(b)});
}

}  // namespace corefeed::command
