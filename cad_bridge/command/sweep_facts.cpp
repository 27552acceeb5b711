// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <filesystem>
#include <string>

#include "cad_bridge/command/line_reader.hpp"
#include "cad_bridge/command/sweep_file.hpp"

namespace corefeed::command {
namespace {

using model::Value;
using reports::RowFormat;

/// A member as text, fit to be compared and shown.
std::string shown(const Value* value) {
  if (value == nullptr || value->kind == Value::Kind::null) return "nothing";
  if (value->kind == Value::Kind::string) return quoted(value->text);
  std::string text = reports::facts_line(*value);
  text.pop_back();
  return text;
}

void compare(const Value* one, const Value* other, std::string_view what, std::vector<std::string>& found) {
  const std::string here = shown(one);
  const std::string there = shown(other);
  if (here != there) found.push_back(fmt::format("{} ({} there, {} now)", what, here, there));
}

}  // namespace

Issue file_issue(const std::string& path, std::string code, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.place.file = path;
  issue.text = std::move(text);
  return issue;
}

std::string facts_path(const std::string& rows_path) { return rows_path + ".sweep.json"; }

Result<Value> read_facts(const std::string& path, RowFormat format) {
  constexpr model::DocumentLimits limits{.text_bytes = 1'000'000};
  const std::string file = format == RowFormat::csv ? facts_path(path) : path;
  LineReader reader(file);
  const auto line = reader.next();
  if (!line) {
    const bool missing = !std::filesystem::exists(path);
    return file_issue(
        path, missing ? "missing_file" : "no_facts",
        missing ? std::string("there is no such file")
                : fmt::format("{} is missing or empty, which tells what sweep the rows belong to", file));
  }
  Result<model::Document> document = model::parse_document(*line, file, limits);
  const bool facts = document && document.value().root.find("slice") != nullptr && line->ends_with('\n');
  if (facts) return std::move(document).value().root;
  return file_issue(path, "no_facts",
                    fmt::format("the first line of {} does not tell what sweep the rows belong to", file));
}

std::vector<std::string> differences(const Value& one, const Value& other, bool and_slice) {
  std::vector<std::string> found;
  compare(one.find("corefeed"), other.find("corefeed"), "the version of corefeed", found);
  compare(one.find("hash"), other.find("hash"), "the model", found);
  if (found.empty())
    compare(one.find("bound_hash"), other.find("bound_hash"), "the model's geometry, tables or curves",
            found);
  const Value* here = one.find("options");
  const Value* there = other.find("options");
  const std::size_t before = found.size();
  for (const char* name :
       {"variant", "over", "from", "point", "show", "format", "tolerance", "most_iterations"}) {
    const auto member = [name](const Value* options) { return options ? options->find(name) : nullptr; };
    compare(member(here), member(there), fmt::format("--{}", name), found);
  }
  if (found.size() == before)
    compare(here ? here->find("values") : nullptr, there ? there->find("values") : nullptr,
            "the values swept over", found);
  if (and_slice) compare(one.find("slice"), other.find("slice"), "--slice", found);
  return found;
}

}  // namespace corefeed::command
