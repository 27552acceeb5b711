// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/document.hpp"

#include <fmt/format.h>
#include <locale.h>

#include <algorithm>
#include <iterator>
#include <nlohmann/json.hpp>
#include <unordered_map>
#include <utility>

#include "corefeed/model/document_syntax.hpp"
#include "corefeed/model/issue_list.hpp"
#include "corefeed/model/number_text.hpp"
#include "corefeed/model/text_file.hpp"

namespace corefeed::model {
namespace {

using Json = nlohmann::json;

/// Hands the text to the parser and publishes how far it has come; the parser's own count of lines stays
/// inside it until it fails.
class WatchedIterator {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  WatchedIterator(const char* at, const char** reached) : at_(at), reached_(reached) {}
  reference operator*() const { return *at_; }
  WatchedIterator& operator++() {
    *reached_ = ++at_;
    return *this;
  }
  WatchedIterator operator++(int) {
    const WatchedIterator before = *this;
    ++*this;
    return before;
  }
  bool operator==(const WatchedIterator& other) const { return at_ == other.at_; }
  bool operator!=(const WatchedIterator& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  const char** reached_;
};

/// Holds this thread in the plain locale. The parser asserts that `strtod` takes a whole number with the
/// decimal mark of the locale, which fails where that mark is more than one byte.
class PlainNumbers {
 public:
  PlainNumbers() : plain_(::newlocale(LC_NUMERIC_MASK, "C", nullptr)), before_(::uselocale(plain_)) {}
  ~PlainNumbers() {
    ::uselocale(before_);
    if (plain_ != nullptr) ::freelocale(plain_);
  }
  PlainNumbers(const PlainNumbers&) = delete;
  PlainNumbers& operator=(const PlainNumbers&) = delete;

 private:
  locale_t plain_;  // null if memory is short; the locale then stays as it was
  locale_t before_;
};

/// Receives what the parser understands and builds the tree. Semantic faults are collected, so that one run
/// shows several; broken syntax and limits of the whole document end the reading.
class Builder : public Json::json_sax_t {
 public:
  /// The parser skips a byte order mark itself; places are counted from behind it, as editors do.
  Builder(std::string_view bytes, const std::string& file, const DocumentLimits& limits)
      : bytes_(bytes), text_(without_byte_order_mark(bytes)), file_(file), limits_(limits) {}

  Result<Document> read() {
    const PlainNumbers plain_numbers;
    const bool complete = Json::sax_parse(WatchedIterator(bytes_.data(), &reached_),
                                          WatchedIterator(bytes_.data() + bytes_.size(), &reached_), this);
    if (!complete && errors_.empty()) refuse_syntax();
    if (!errors_.empty()) return errors_.take(file_);
    return Document{file_, std::move(root_), warnings_.take(file_)};
  }

  bool null() override { return scalar({}); }
  bool boolean(bool value) override { return scalar(make_boolean(value)); }
  bool number_integer(number_integer_t) override { return number(); }
  bool number_unsigned(number_unsigned_t) override { return number(); }
  bool number_float(number_float_t, const string_t&) override { return number(); }
  bool binary(binary_t&) override { return false; }  // never sent for text

  bool string(string_t& text) override {
    const std::size_t start = next_token(text_, state_);
    if (text.size() > limits_.text_bytes) refuse_long_text(start);
    return scalar(make_text(std::move(text)));
  }

  bool start_object(std::size_t) override { return open(Value::Kind::object); }
  bool start_array(std::size_t) override { return open(Value::Kind::array); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }

  bool key(string_t& key) override {
    const std::size_t start = next_token(text_, state_);
    if (key.size() > limits_.text_bytes) refuse_long_text(start);
    Level& level = levels_.back();
    level.key = std::move(key);
    const int line = line_of(start);
    const auto [first, is_new] = level.key_lines.emplace(level.key, line);
    if (!is_new) {
      report(errors_, start, "duplicate_key",
             fmt::format(
                 "the key {} stands twice in this object, first on line {} and again on line {}; keep one",
                 corefeed::quoted(level.key), first->second, line));
    }
    advance_to(reached(), ReadingState::After::key);
    return true;
  }

  bool parse_error(std::size_t, const std::string&, const nlohmann::detail::exception& error) override {
    constexpr int number_overflow = 406;  // as documented by the library; everything else is broken syntax
    if (error.id != number_overflow) return refuse_syntax();
    number();  // reports the overflow with its place
    return false;
  }

 private:
  /// An array or object that is still open. It is moved into the one around it when it closes.
  struct Level {
    Value value;
    std::string key;                                 // last key read
    std::unordered_map<std::string, int> key_lines;  // of an object
  };

  std::size_t reached() const { return static_cast<std::size_t>(reached_ - text_.data()); }

  void advance_to(std::size_t offset, ReadingState::After after) {
    state_.offset = offset;
    state_.after = after;
    state_.depth = static_cast<int>(levels_.size());
    if (levels_.empty()) return;
    state_.in_object = levels_.back().value.kind == Value::Kind::object;
    state_.opened_line = levels_.back().value.line;
  }

  /// Line of an offset; offsets only grow, so every line break is counted once.
  int line_of(std::size_t offset) {
    line_ += static_cast<int>(std::count(text_.begin() + static_cast<std::ptrdiff_t>(counted_),
                                         text_.begin() + static_cast<std::ptrdiff_t>(offset), '\n'));
    counted_ = offset;
    return line_;
  }

  std::string container_pointer() const {
    std::string text;
    for (std::size_t i = 0; i + 1 < levels_.size(); ++i) text = pointer_join(text, step(levels_[i]));
    return text;
  }

  /// Pointer of the value that comes next.
  std::string pointer() const {
    return levels_.empty() ? std::string() : pointer_join(container_pointer(), step(levels_.back()));
  }

  static std::string step(const Level& level) {
    return level.value.kind == Value::Kind::object ? level.key : std::to_string(level.value.items.size());
  }

  Issue issue(std::size_t offset, std::string code, std::string at, std::string text) const {
    const TextPosition position = text_position(text_, offset);
    Issue made;
    made.code = std::move(code);
    made.place = {file_, position.line, position.column, std::move(at)};
    made.text = std::move(text);
    return made;
  }

  /// Notes an issue with the value or key that comes next and goes on.
  void report(IssueList& list, std::size_t offset, std::string code, std::string text,
              Severity severity = Severity::error) {
    if (list.is_full()) return list.count_one();
    Issue made = issue(offset, std::move(code), pointer(), std::move(text));
    made.severity = severity;
    list.add(std::move(made));
  }

  bool stop(std::size_t offset, std::string code, std::string text) {
    errors_.add(issue(offset, std::move(code), pointer(), std::move(text)));
    return false;
  }

  bool refuse_syntax() {
    SyntaxFault fault = explain_syntax(text_, state_);
    const bool behind_key = state_.after == ReadingState::After::key;
    errors_.add(issue(fault.offset, std::move(fault.code), behind_key ? pointer() : container_pointer(),
                      std::move(fault.text)));
    return false;
  }

  void refuse_long_text(std::size_t start) {
    report(errors_, start, "text_too_long",
           fmt::format("{} is longer than the limit of {} bytes for a single text",
                       corefeed::quoted(text_.substr(start, 100)), limits_.text_bytes));
  }

  /// The number is read again from the text: as written, free of the process locale and never through an
  /// integer type of the parser.
  bool number() {
    const std::size_t start = next_token(text_, state_);
    const NumberText number = read_number_text(text_.substr(start));
    const std::size_t sign = number.written.starts_with('-') ? 1 : 0;
    const bool leading_zero = number.written.size() > sign + 1 && number.written[sign] == '0' &&
                              number.written.find_first_of(".eE") != sign + 1;
    if (leading_zero) {  // the parser has stopped behind the zero and would fail at its next step
      state_.offset = start + sign + 1;
      state_.after = ReadingState::After::value;
      return refuse_syntax();
    }
    if (number.written.size() > limits_.text_bytes) {
      refuse_long_text(start);
    } else if (!accept_range(start, number)) {
      return false;
    }
    Value value;
    value.kind = Value::Kind::number;
    value.number = number.value;
    value.text = std::string(number.written);
    return place(std::move(value), start, start + number.written.size());
  }

  /// Reports a number that a double cannot hold; false if reading cannot go on.
  bool accept_range(std::size_t start, const NumberText& number) {
    if (number.range == NumberRange::held) return true;
    const std::string written = corefeed::quoted(number.written);
    if (number.range == NumberRange::too_large) {
      return stop(start, "number_too_large",
                  fmt::format("the number {} is too large; expected at most 1.797e308", written));
    }
    if (number.range == NumberRange::inexact_integer) {
      report(
          errors_, start, "integer_too_large",
          fmt::format("the integer {} cannot be held exactly; expected at most 2^53 = 9007199254740992, or a "
                      "number with a decimal point",
                      written));
    }
    if (number.range == NumberRange::too_small) {
      report(warnings_, start, "number_underflow",
             fmt::format("the number {} is too small to be told from 0 and is read as 0", written),
             Severity::warning);
    }
    return true;
  }

  bool count_value(std::size_t start) {
    if (++values_ <= limits_.values) return true;
    return stop(start, "too_many_values",
                fmt::format("the document holds more than the limit of {} values", limits_.values));
  }

  bool scalar(Value value) { return place(std::move(value), next_token(text_, state_), reached()); }

  bool place(Value value, std::size_t start, std::size_t end) {
    if (!count_value(start)) return false;
    value.line = line_of(start);
    attach(std::move(value));
    advance_to(end, ReadingState::After::value);
    return true;
  }

  void attach(Value value) {
    if (levels_.empty()) {
      root_ = std::move(value);
      return;
    }
    Level& level = levels_.back();
    if (level.value.kind == Value::Kind::object) {
      level.value.members.emplace_back(std::move(level.key), std::move(value));
    } else {
      level.value.items.push_back(std::move(value));
    }
  }

  bool open(Value::Kind kind) {
    const std::size_t start = next_token(text_, state_);
    if (levels_.size() >= static_cast<std::size_t>(limits_.depth)) {
      return stop(start, "too_deep",
                  fmt::format("arrays and objects stand inside each other more than the limit of {} deep",
                              limits_.depth));
    }
    if (!count_value(start)) return false;
    Level level;
    level.value.kind = kind;
    level.value.line = line_of(start);
    levels_.push_back(std::move(level));
    advance_to(reached(), ReadingState::After::opening);
    return true;
  }

  bool close() {
    Value value = std::move(levels_.back().value);
    levels_.pop_back();
    attach(std::move(value));
    advance_to(reached(), ReadingState::After::value);
    return true;
  }

  std::string_view bytes_;
  std::string_view text_;
  const std::string& file_;
  const DocumentLimits& limits_;
  const char* reached_ = nullptr;
  ReadingState state_;
  std::vector<Level> levels_;
  Value root_;
  std::size_t values_ = 0;
  std::size_t counted_ = 0;
  int line_ = 1;
  IssueList errors_;
  IssueList warnings_;
};

Issue whole_file_issue(std::string code, std::string file, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.place.file = std::move(file);
  issue.text = std::move(text);
  return issue;
}

}  // namespace

Result<Document> parse_document(std::string_view text, const std::string& file_label,
                                const DocumentLimits& limits) {
  if (text.size() > limits.bytes) {
    return whole_file_issue("file_too_large", file_label,
                            fmt::format("the document is larger than the limit of {:.6g} MB",
                                        static_cast<double>(limits.bytes) / 1e6));
  }
  if (const std::string other = looks_like(text); !other.empty()) {
    return whole_file_issue("wrong_format", file_label,
                            fmt::format("this looks like {}; expected JSON in UTF-8", other));
  }
  // The parser takes a zero byte for the end of the text and would ignore whatever stands behind it.
  const std::string_view plain = without_byte_order_mark(text);
  if (const std::size_t zero = plain.find('\0'); zero != plain.npos) {
    Issue issue = whole_file_issue("zero_byte", file_label, "found a zero byte; expected text");
    const TextPosition position = text_position(plain, zero);
    issue.place.line = position.line;
    issue.place.column = position.column;
    return issue;
  }
  return Builder(text, file_label, limits).read();
}

Result<Document> read_document(const std::string& path, const DocumentLimits& limits) {
  Result<std::string> text = read_text_file(path, limits.bytes);
  if (!text.ok()) return text.issues();
  return parse_document(text.value(), path, limits);
}

Place Document::place(std::string_view pointer) const {
  Place found{file, root.line, 0, std::string(pointer)};
  for (std::size_t end = 0; end < pointer.size();) {
    end = std::min(pointer.find('/', end + 1), pointer.size());
    const Value* value = find_value(root, pointer.substr(0, end));
    if (value == nullptr) break;
    if (value->line > 0) found.line = value->line;
  }
  return found;
}

Issue Document::issue(std::string_view pointer, std::string code, std::string text, Severity severity) const {
  Issue issue;
  issue.code = std::move(code);
  issue.severity = severity;
  issue.place = place(pointer);
  issue.text = std::move(text);
  return issue;
}

}  // namespace corefeed::model
