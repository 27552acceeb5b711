// SPDX-License-Identifier: Apache-2.0
#include "corefeed/result.hpp"

#include <array>
#include <cstddef>

#include "corefeed/printable.hpp"

namespace corefeed {
namespace {

constexpr std::size_t quoted_characters = 80;
// A pointer or a path is the way to the mistake, so more of it is kept than of the mistake itself.
constexpr std::size_t place_characters = 400;
// A list of all known names may be long, but no input makes a message of more than 64 KB, escapes included.
constexpr std::size_t text_characters = 6'000;

}  // namespace

std::string quoted(std::string_view text) { return printable_quotation(text, quoted_characters); }

std::string describe(const Issue& issue) {
  std::string text;
  const Place& place = issue.place;
  if (!place.file.empty()) {
    text += printable_line(place.file, place_characters);
    if (place.line > 0) {
      text += ':' + std::to_string(place.line);
      if (place.column > 0) text += ':' + std::to_string(place.column);
    }
    text += ": ";
  } else if (place.line > 0) {
    text += "line " + std::to_string(place.line);
    if (place.column > 0) text += ", column " + std::to_string(place.column);
    text += ": ";
  }
  if (!place.pointer.empty()) text += printable_line(place.pointer, place_characters) + ": ";
  if (!issue.code.empty()) text += issue.code + ": ";
  return text + printable_line(issue.text, text_characters);
}

Status worst_status(const std::vector<Issue>& issues) {
  constexpr std::array order{
      Status::internal, Status::output,      Status::limit, Status::geometry,
      Status::input,    Status::no_solution, Status::usage, Status::requirement_not_met};
  for (const Status status : order) {
    for (const Issue& issue : issues) {
      if (issue.severity == Severity::error && issue.status == status) return status;
    }
  }
  return Status::done;
}

}  // namespace corefeed
