// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

/// Errors as values. Every room reports what is wrong with an input as a list of `Issue`s carried in a
/// `Result`; only the command prints them and only its edge turns them into an exit status. Faults of our own
/// (broken invariants) are assertions, never issues.
namespace corefeed {

/// How a run ends; the numbers are the exit statuses of the command and are public.
enum class Status : int {
  done = 0,                 ///< done, every requirement met
  requirement_not_met = 1,  ///< a requirement does not hold, or a size is out of reach
  usage = 2,                ///< the command line is wrong
  input = 3,                ///< an input file is wrong: syntax, key, unit, unbound port, missing file
  no_solution = 4,          ///< no converged or no unique solution
  geometry = 5,             ///< geometry could not be read
  output = 6,               ///< an output could not be written
  limit = 7,                ///< a limit of time or memory was hit
  internal = 70             ///< a fault of ours
};

enum class Severity { note, warning, error };

/// Where in the user's files an issue stands. Every part may be unknown (empty or 0).
struct Place {
  std::string file;     ///< path as the user wrote it
  int line = 0;         ///< from 1
  int column = 0;       ///< from 1; set for syntax errors
  std::string pointer;  ///< JSON pointer (RFC 6901), "" for the document itself
};

/// One thing to tell the user: where, what was found and what was expected, in one sentence.
struct Issue {
  std::string code;  ///< stable rule id in snake_case, e.g. "unknown_key"
  Severity severity = Severity::error;
  Status status = Status::input;  ///< the exit status this issue asks for when it is an error
  Place place;
  std::string text;  ///< what was found; what was expected; what to write instead
};

/// `file:line:column: /pointer: code: text`, leaving out what is unknown. On one line of at most 64 KB; bytes
/// that steer a terminal or hide text are escaped wherever they stand.
std::string describe(const Issue& issue);

/// The user's own text, fit to stand in a message: in double quotes, cut to 80 characters, with control
/// bytes and bytes outside printable ASCII and valid UTF-8 escaped.
std::string quoted(std::string_view text);
// Without these, `quoted(string)` means std::quoted wherever <iomanip> happens to be included; templates, so
// that a literal still takes the overload above.
template <class Allocator>
std::string quoted(const std::basic_string<char, std::char_traits<char>, Allocator>& text) {
  return quoted(std::string_view(text));
}
template <class Allocator>
std::string quoted(std::basic_string<char, std::char_traits<char>, Allocator>& text) {
  return quoted(std::string_view(text));
}

/// The status that stands when several issues apply: 70, 6, 7, 5, 3, 4, 2, 1, then 0.
Status worst_status(const std::vector<Issue>& issues);

/// A value, or the issues that prevented it. `T` must not be `std::vector<Issue>`.
template <class T>
class Result {
 public:
  Result(T value) : content_(std::in_place_index<0>, std::move(value)) {}
  Result(Issue issue) : content_(std::in_place_index<1>, std::vector<Issue>{std::move(issue)}) {}
  Result(std::vector<Issue> issues) : content_(std::in_place_index<1>, std::move(issues)) {}

  bool ok() const { return content_.index() == 0; }
  explicit operator bool() const { return ok(); }
  const T& value() const& { return std::get<0>(content_); }
  T& value() & { return std::get<0>(content_); }
  T&& value() && { return std::get<0>(std::move(content_)); }
  /// The issues; call only when `!ok()`.
  const std::vector<Issue>& issues() const { return std::get<1>(content_); }

 private:
  std::variant<T, std::vector<Issue>> content_;
};

}  // namespace corefeed
