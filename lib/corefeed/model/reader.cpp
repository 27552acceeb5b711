// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/reader.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "corefeed/model/issue_list.hpp"
#include "corefeed/model/nearest.hpp"

namespace corefeed::model {
namespace {

namespace fs = std::filesystem;

/// The value as a message shows it: scalars as written, the rest by kind.
std::string shown(const Value& value) {
  switch (value.kind) {
    case Value::Kind::string:
      return quoted(value.text);
    case Value::Kind::number:
      return value.text;
    case Value::Kind::boolean:
      return value.boolean ? "true" : "false";
    default:
      return std::string(kind_name(value.kind));
  }
}

/// A file may be opened below the model's folder or below a folder that the user allowed, symbolic links
/// followed.
bool is_allowed(const fs::path& target, const std::string& folder, const std::vector<std::string>& roots) {
  std::error_code ignored;
  // Absolute first: of a relative path that does not exist, weakly_canonical would leave a relative one.
  const fs::path real = fs::weakly_canonical(fs::absolute(target, ignored), ignored);
  const auto below = [&real, &ignored](const std::string& root) {
    const fs::path base = fs::weakly_canonical(fs::absolute(root.empty() ? "." : root, ignored), ignored);
    const fs::path relative = real.lexically_relative(base);
    return !relative.empty() && *relative.begin() != "..";
  };
  if (below(folder)) return true;
  for (const std::string& root : roots) {
    if (below(root)) return true;
  }
  return false;
}

}  // namespace

std::string suggestion(std::string_view word, const std::vector<std::string_view>& known) {
  const std::string near = nearest(word, known);
  std::string foreign = first_foreign_character(word);
  // A letter that only looks like the one that is meant is seen by its number alone.
  if (first_foreign_character(near).empty() && !foreign.empty())
    foreign = fmt::format("; it holds the character {}", foreign);
  else
    foreign.clear();
  return near.empty() ? foreign : fmt::format("{}; did you mean {}?", foreign, quoted(near));
}

bool Reader::is_full() const { return issues.size() >= IssueList::most; }

bool is_ignored(std::string_view key) { return key == "$schema" || key.starts_with("x-"); }

Spot Reader::member(const Spot& object, std::string_view key) {
  if (!object) return {};
  const Value* value = object.value->find(key);
  if (value == nullptr) return {};
  return {value, pointer_join(object.pointer, key)};
}

std::vector<Issue> Reader::take_issues() {
  IssueList list;
  for (Issue& issue : issues) list.add(std::move(issue));
  return list.take(document_.file);
}

void Reader::error(const std::string& pointer, std::string code, std::string text) {
  if (is_full()) return count_one();
  issues.push_back(document_.issue(pointer, std::move(code), std::move(text)));
}

void Reader::warn(const std::string& pointer, std::string code, std::string text) {
  warnings.push_back(document_.issue(pointer, std::move(code), std::move(text), Severity::warning));
}

bool Reader::want(const Spot& spot, Value::Kind kind) {
  if (spot.value->kind == kind) return true;
  error(spot.pointer, "wrong_type",
        fmt::format("found {}, expected {}", shown(*spot.value), kind_name(kind)));
  return false;
}

void Reader::refuse_unknown(const Spot& object, const std::vector<std::string_view>& known) {
  for (const auto& [key, value] : object.value->members) {
    if (is_ignored(key)) continue;
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    if (is_full()) {
      count_one();
      continue;
    }
    std::string help = suggestion(key, known);
    if (help.empty()) help = fmt::format("; known here: {}", fmt::join(known, ", "));
    const std::string near = nearest(key, known);
    if (!near.empty()) meant_.push_back(pointer_join(object.pointer, near));
    error(pointer_join(object.pointer, key), "unknown_key",
          fmt::format("unknown key {}{}", quoted(key), help));
  }
}

bool Reader::is_meant(const std::string& object, std::string_view key) const {
  // "air_loss.linear" is meant as well where "air_los" was written for "air_loss".
  const std::size_t dot = key.find('.');
  std::string pointer = pointer_join(object, key.substr(0, dot));
  const bool whole = std::find(meant_.begin(), meant_.end(), pointer) != meant_.end();
  if (whole || dot == std::string_view::npos) return whole;
  pointer = pointer_join(pointer, key.substr(dot + 1));
  return std::find(meant_.begin(), meant_.end(), pointer) != meant_.end();
}

Spot Reader::required(const Spot& object, std::string_view key, std::string_view meaning) {
  Spot spot = member(object, key);
  if (!spot && !is_meant(object.pointer, key)) {
    error(object.pointer, "missing_key", fmt::format("the key {} is missing: {}", quoted(key), meaning));
  }
  return spot;
}

std::optional<std::string> Reader::text(const Spot& spot) {
  if (!want(spot, Value::Kind::string)) return std::nullopt;
  return spot.value->text;
}

std::optional<std::string> Reader::word(const Spot& spot) {
  auto found = text(spot);
  if (!found || !found->empty()) return found;
  error(spot.pointer, "wrong_type", "found \"\", expected a name; leave the key out where there is none");
  return std::nullopt;
}

std::optional<std::size_t> Reader::choice(const Spot& spot, const std::vector<std::string_view>& words) {
  const auto word = text(spot);
  if (!word) return std::nullopt;
  const auto found = std::find(words.begin(), words.end(), *word);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  error(spot.pointer, "unknown_name",
        fmt::format("found {}, expected one of {}{}", quoted(*word), fmt::join(words, ", "),
                    suggestion(*word, words)));
  return std::nullopt;
}

std::optional<double> Reader::plain_number(const Spot& spot, units::Quantity quantity) {
  const units::QuantityInfo& info = units::info(quantity);
  if (quantity == units::Quantity::number) {
    if (spot.value->kind == Value::Kind::number) return spot.value->number;
    error(spot.pointer, "wrong_type",
          fmt::format("found {}, expected a plain number such as {}", shown(*spot.value), info.example));
    return std::nullopt;
  }
  if (spot.value->kind == Value::Kind::number) {
    error(spot.pointer, "missing_unit",
          fmt::format("the number {} has no unit; write the {} as a text with its unit, such as \"{} {}\"",
                      spot.value->text, info.name, spot.value->text, info.display));
    return std::nullopt;
  }
  if (spot.value->kind != Value::Kind::string) {
    error(spot.pointer, "wrong_type",
          fmt::format("found {}, expected a {} such as \"{}\"", shown(*spot.value), info.name, info.example));
    return std::nullopt;
  }
  const Result<double> parsed = units::parse(spot.value->text, quantity);
  if (parsed) return parsed.value();
  for (const Issue& issue : parsed.issues()) error(spot.pointer, issue.code, issue.text);
  return std::nullopt;
}

std::optional<double> Reader::number(const Spot& spot, units::Quantity quantity, OwnBand* band) {
  if (band == nullptr || spot.value->kind != Value::Kind::object) return plain_number(spot, quantity);
  refuse_unknown(spot, {"value", "sigma", "source"});
  const Spot value = required(spot, "value", "the number itself");
  if (const Spot sigma = member(spot, "sigma")) {
    const bool level = quantity == units::Quantity::temperature;
    band->sigma = plain_number(sigma, level ? units::Quantity::temperature_difference : quantity);
    if (band->sigma && *band->sigma < 0.0) {
      error(sigma.pointer, "out_of_bounds", "sigma is negative; it is a 1-sigma spread");
    }
  }
  if (const Spot source = member(spot, "source")) band->source = text(source).value_or("");
  if (!value) return std::nullopt;
  return plain_number(value, quantity);
}

bool Reader::within(const Spot& spot, double value, const losses::Key& key) {
  const bool low = key.above_lowest ? value <= key.lowest : value < key.lowest;
  if (!low && value <= key.highest) return true;
  const double bound = low ? key.lowest : key.highest;
  const std::string relation = low ? (key.above_lowest ? "above" : "at least") : "at most";
  const Value& written = spot.value->kind == Value::Kind::object ? *spot.value->find("value") : *spot.value;
  error(spot.pointer, "out_of_bounds",
        fmt::format("found {} for {}, expected {} {}", shown(written), key.meaning, relation,
                    key.quantity == units::Quantity::number ? fmt::format("{}", bound)
                                                            : units::show(bound, key.quantity)));
  return false;
}

bool Reader::check_name(const std::string& pointer, std::string_view name) {
  const auto bad = [](char c) {
    return static_cast<unsigned char>(c) <= 32 ||
           std::string_view("./,\"'=").find(c) != std::string_view::npos;
  };
  std::string fault;
  if (name.empty()) fault = "is empty";
  if (name.size() > 64) fault = "is longer than 64 bytes";
  if (is_ignored(name)) fault = "marks a remark";
  if (std::any_of(name.begin(), name.end(), bad))
    fault = "holds a blank, dot, slash, comma, quote, = or control character";
  for (const std::string_view reserved : {"car", "ambient", "path", "all", "requirement"}) {
    if (name == reserved) fault = "is reserved";
  }
  if (fault.empty()) return true;
  error(pointer, "bad_name",
        fmt::format("the name {} {}; choose another, such as \"nose_duct\"", quoted(name), fault));
  return false;
}

std::optional<std::string> Reader::file(const Spot& spot) {
  const auto name = text(spot);
  if (!name) return std::nullopt;
  const std::string path = (fs::path(folder_) / *name).string();
  if (!name->empty() && is_allowed(path, folder_, roots_)) return path;
  std::error_code ignored;
  error(spot.pointer, "file_outside",
        fmt::format("the file {} is not below the model's folder; move it there or allow its folder with "
                    "--allow-root {}",
                    quoted(*name), fs::absolute(path, ignored).lexically_normal().parent_path().string()));
  return std::nullopt;
}

}  // namespace corefeed::model
