// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "corefeed/result.hpp"

/// Strict JSON that knows places. A model file is read into a plain tree whose values remember their line and
/// whose numbers remember how they were written; whatever RFC 8259 leaves open in a dangerous way (equal
/// keys, numbers beyond a double, endless depth) is refused with a sentence.
namespace corefeed::model {

/// A JSON value. Only the parts that belong to its kind are set.
struct Value {
  enum class Kind { null, boolean, number, string, array, object };

  Kind kind = Kind::null;
  bool boolean = false;
  double number = 0.0;
  std::string text;          ///< a string's content in UTF-8, or a number as written
  std::vector<Value> items;  ///< of an array
  std::vector<std::pair<std::string, Value>> members;  ///< of an object, in the order of the file
  int line = 0;  ///< line its text begins on, from 1; 0: not from a file

  // Declared here, defined where the type is complete: a vector of pairs with itself needs that.
  Value();
  Value(const Value&);
  Value(Value&&) noexcept;
  Value& operator=(const Value&);
  Value& operator=(Value&&) noexcept;
  ~Value();

  /// The member of that key; null if there is none or this is no object.
  const Value* find(std::string_view key) const;
};

/// "null", "a boolean", "a number", "a string", "an array", "an object": for messages.
std::string_view kind_name(Value::Kind kind);

/// Values made by a program. `make_number` wants a finite number and writes it with the fewest digits that
/// read back to the same bits.
Value make_text(std::string text);
Value make_number(double number);
Value make_boolean(bool boolean);
Value make_array(std::vector<Value> items = {});
Value make_object(std::vector<std::pair<std::string, Value>> members = {});

/// What a reader accepts at most.
struct DocumentLimits {
  std::size_t bytes = 64'000'000;
  int depth = 64;  ///< arrays and objects inside each other
  std::size_t values = 1'000'000;
  std::size_t text_bytes = 65'536;  ///< of one string, key or number
};

/// A document as read.
struct Document {
  std::string file;  ///< as the user wrote it
  Value root;
  std::vector<Issue> warnings;  ///< numbers too small for a double, read as 0 ("number_underflow")

  /// The place of a value for an issue; the line of the nearest value above where the pointer leads nowhere.
  Place place(std::string_view pointer) const;

  /// What there is to say of that place.
  Issue issue(std::string_view pointer, std::string code, std::string text,
              Severity severity = Severity::error) const;
};

/// Reads a regular file. Every issue has status `input` and says file, line, column and pointer as far as
/// they apply. Codes: those of `read_text_file`, then "syntax" (also comments, trailing commas, NaN, a cut
/// text, a second document, lone surrogates), "wrong_format" (UTF-16, a zip archive, ...), "zero_byte",
/// "invalid_utf8", "too_deep", "duplicate_key", "number_too_large" (no double is as large),
/// "integer_too_large" (beyond 2^53, where doubles skip integers), "text_too_long", "too_many_values", and
/// the note "more_errors" with a count once 20 have been listed. A byte order mark of UTF-8 is accepted.
Result<Document> read_document(const std::string& path, const DocumentLimits& limits = {});

/// The same for text that is in memory; `file_label` stands for the file in places.
Result<Document> parse_document(std::string_view text, const std::string& file_label,
                                const DocumentLimits& limits = {});

/// JSON text with two blanks of indent, members in order, numbers as written, and arrays and objects of
/// scalars on one line where that fits 100 columns. Reading it gives the same tree (lines aside).
std::string write_document(const Value& root);

/// Extends a JSON pointer (RFC 6901) by a key or an index, with "~" and "/" of the key escaped.
std::string pointer_join(std::string_view pointer, std::string_view key);

/// The value a JSON pointer leads to; null if it leads nowhere.
const Value* find_value(const Value& root, std::string_view pointer);

/// Puts a value where the pointer leads. The last part may be a new key of an object, or "-" for one past the
/// end of an array; false, and nothing changed, if what stands above does not exist.
bool set_value(Value& root, std::string_view pointer, Value value);

/// JSON merge patch (RFC 7396): objects merge, null removes, everything else replaces. Members keep the order
/// of the base, new ones follow; values keep the lines they had.
Value merge_patch(const Value& base, const Value& patch);

}  // namespace corefeed::model
