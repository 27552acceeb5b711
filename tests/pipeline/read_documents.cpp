// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <bit>
#include <cstdint>
#include <iostream>
#include <string>
#include <string_view>

#include "corefeed/model/document.hpp"

/// Reads documents from standard input, each behind a line with its length in bytes, and writes a line for
/// each: the code of the first error, or the whole tree with texts in hexadecimal digits and numbers by their
/// bits. documents_test.py compares that with what Python reads.
namespace {

using corefeed::model::Value;

std::string in_hexadecimal(std::string_view text) {
  std::string digits;
  for (const char c : text) digits += fmt::format("{:02x}", static_cast<unsigned char>(c));
  return digits;
}

void write(const Value& value, std::string& text) {
  switch (value.kind) {
    case Value::Kind::null:
      text += 'n';
      break;
    case Value::Kind::boolean:
      text += value.boolean ? 't' : 'f';
      break;
    case Value::Kind::number:
      text += fmt::format("#{:016x}", std::bit_cast<std::uint64_t>(value.number));
      break;
    case Value::Kind::string:
      text += '"' + in_hexadecimal(value.text);
      break;
    case Value::Kind::array:
      text += '[';
      for (const Value& item : value.items) {
        write(item, text);
        text += ',';
      }
      text += ']';
      break;
    case Value::Kind::object:
      text += '{';
      for (const auto& [key, member] : value.members) {
        text += in_hexadecimal(key) + ':';
        write(member, text);
        text += ',';
      }
      text += '}';
      break;
  }
}

}  // namespace

int main() {
  std::string length;
  while (std::getline(std::cin, length)) {
    std::string document(std::stoul(length), '\0');
    std::cin.read(document.data(), static_cast<std::streamsize>(document.size()));
    const auto read = corefeed::model::parse_document(document, "document");
    std::string line;
    if (read.ok()) {
      write(read.value().root, line);
    } else {
      line = "refused " + read.issues()[0].code;
    }
    std::cout << line << '\n';
  }
}
