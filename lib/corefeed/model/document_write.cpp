// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>
#include <optional>

#include "corefeed/model/document.hpp"

namespace corefeed::model {
namespace {

constexpr std::size_t line_width = 100;

std::string quoted_json(const std::string& text) {
  // Text made by a program may hold bytes that are not UTF-8; they become U+FFFD rather than a broken file.
  return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

/// The fewest digits that read back to the same bits. From 2^53 on always with an exponent, as readers may
/// take a long row of digits for an integer that must be exact.
std::string number_text(double number) {
  std::array<char, 32> buffer;
  char* const end = buffer.data() + buffer.size();
  const bool large = number >= 0x1p53 || number <= -0x1p53;
  const auto written = large ? std::to_chars(buffer.data(), end, number, std::chars_format::scientific)
                             : std::to_chars(buffer.data(), end, number);
  return {buffer.data(), written.ptr};
}

bool is_scalar(const Value& value) {
  return value.kind != Value::Kind::array && value.kind != Value::Kind::object;
}

std::string scalar_text(const Value& value) {
  switch (value.kind) {
    case Value::Kind::boolean:
      return value.boolean ? "true" : "false";
    case Value::Kind::number:
      return value.text.empty() ? number_text(value.number) : value.text;
    case Value::Kind::string:
      return quoted_json(value.text);
    default:
      return "null";
  }
}

/// An array or object of scalars as one line of at most `room` bytes, if it is one and fits.
std::optional<std::string> one_line(const Value& value, std::size_t room) {
  const bool is_object = value.kind == Value::Kind::object;
  std::string line(1, is_object ? '{' : '[');
  const auto add = [&](const std::string& key, const Value& child) {
    if (!is_scalar(child) || line.size() > room) return false;
    if (line.size() > 1) line += ", ";
    line += key + scalar_text(child);
    return true;
  };
  for (const Value& item : value.items) {
    if (!add({}, item)) return std::nullopt;
  }
  for (const auto& [key, member] : value.members) {
    if (!add(quoted_json(key) + ": ", member)) return std::nullopt;
  }
  line += is_object ? '}' : ']';
  return line.size() <= room ? std::optional(std::move(line)) : std::nullopt;
}

class Writer {
 public:
  /// Appends a value that begins behind `lead` bytes of its line; one byte is kept for a comma behind it.
  void write(const Value& value, std::size_t lead) {
    if (is_scalar(value)) {
      text += scalar_text(value);
      return;
    }
    const std::size_t room = line_width - std::min(lead + 1, line_width);
    if (auto line = one_line(value, room)) {
      text += *line;
      return;
    }
    const bool is_object = value.kind == Value::Kind::object;
    text += is_object ? '{' : '[';
    indent_ += 2;
    bool first = true;
    for (const Value& item : value.items) child(first, {}, item);
    for (const auto& [key, member] : value.members) child(first, quoted_json(key) + ": ", member);
    indent_ -= 2;
    begin_line();
    text += is_object ? '}' : ']';
  }

  std::string text;

 private:
  void begin_line() {
    text += '\n';
    text.append(indent_, ' ');
  }

  void child(bool& first, const std::string& key, const Value& value) {
    if (!first) text += ',';
    first = false;
    begin_line();
    text += key;
    write(value, indent_ + key.size());
  }

  std::size_t indent_ = 0;
};

}  // namespace

Value make_text(std::string text) {
  Value value;
  value.kind = Value::Kind::string;
  value.text = std::move(text);
  return value;
}

Value make_number(double number) {
  assert(std::isfinite(number));
  Value value;
  value.kind = Value::Kind::number;
  value.number = number;
  value.text = number_text(number);
  return value;
}

Value make_boolean(bool boolean) {
  Value value;
  value.kind = Value::Kind::boolean;
  value.boolean = boolean;
  return value;
}

Value make_array(std::vector<Value> items) {
  Value value;
  value.kind = Value::Kind::array;
  value.items = std::move(items);
  return value;
}

Value make_object(std::vector<std::pair<std::string, Value>> members) {
  Value value;
  value.kind = Value::Kind::object;
  value.members = std::move(members);
  return value;
}

std::string write_document(const Value& root) {
  Writer writer;
  writer.write(root, 0);
  return std::move(writer.text) + '\n';
}

}  // namespace corefeed::model
