// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_tokens.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "corefeed/result.hpp"

namespace corefeed::worker {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '_'; }
bool is_word(char c) { return is_letter(c) || is_digit(c) || c == '-'; }
bool is_blank(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }

char upper(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

}  // namespace

bool Tokenizer::skip_blanks() {
  if (position_ == 0 && text_.starts_with(byte_order_mark)) position_ = byte_order_mark.size();
  while (position_ < text_.size()) {
    if (is_blank(text_[position_])) {
      ++position_;
    } else if (text_.substr(position_, 2) == "/*") {
      const std::size_t close = text_.find("*/", position_ + 2);
      if (close == std::string_view::npos) return false;
      position_ = close + 2;
    } else {
      break;
    }
  }
  return true;
}

Token Tokenizer::next() {
  if (!skip_blanks())
    return broken(
        position_, "unclosed_comment",
        "the comment that begins here is never closed; \"*/\" was expected before the end of the file");
  if (position_ == text_.size()) return {TokenKind::end, position_, {}, 0};
  const std::size_t at = position_;
  const char c = text_[at];
  switch (c) {
    case '#':
      return read_instance();
    case '\'':
      return read_text();
    case '"':
      return read_enclosed('"', TokenKind::binary, "binary value");
    case '<':
      return read_resource();
    case '(':
      return take(TokenKind::open, at, at + 1);
    case ')':
      return take(TokenKind::close, at, at + 1);
    case ',':
      return take(TokenKind::comma, at, at + 1);
    case '=':
      return take(TokenKind::equals, at, at + 1);
    case ';':
      return take(TokenKind::semicolon, at, at + 1);
    case '$':
    case '*':
      return take(TokenKind::omitted, at, at + 1);
    default:
      break;
  }
  const char following = at + 1 < text_.size() ? text_[at + 1] : '\0';
  if (is_letter(c) || c == '!') return read_keyword(at + 1);
  if ((c == '-' || c == '+') && is_letter(following)) return read_keyword(at + 1);
  if (c == '.' && is_letter(following))
    return read_enclosed('.', TokenKind::enumeration, "word between dots");
  if (is_digit(c) || c == '-' || c == '+' || c == '.') return read_number();
  return broken(at, "unexpected_byte",
                fmt::format("{} stands where a STEP word was expected", quoted(text_.substr(at, 1))));
}

Token Tokenizer::take(TokenKind kind, std::size_t from, std::size_t to) {
  position_ = to;
  return {kind, from, text_.substr(from, to - from), 0};
}

Token Tokenizer::broken(std::size_t at, std::string code, std::string text) {
  flaw_ = {std::move(code), at, std::move(text)};
  position_ = text_.size();
  return {TokenKind::broken, at, {}, 0};
}

Token Tokenizer::read_instance() {
  const std::size_t at = position_;
  const char* first = text_.data() + at + 1;
  std::uint32_t id = 0;
  const auto [stop, error] = std::from_chars(first, text_.data() + text_.size(), id);
  if (stop == first)
    return broken(at, "bad_instance_name",
                  "\"#\" without a number; an instance name such as #12 was expected");
  if (error != std::errc{} || id == std::numeric_limits<std::uint32_t>::max())
    return broken(at, "bad_instance_name", "the number of this instance name is larger than 4294967294");
  Token token = take(TokenKind::instance, at, static_cast<std::size_t>(stop - text_.data()));
  token.id = id;
  return token;
}

Token Tokenizer::read_keyword(std::size_t from) {
  std::size_t to = from;
  while (to < text_.size() && is_word(text_[to])) ++to;
  return take(TokenKind::keyword, position_, to);
}

Token Tokenizer::read_text() {
  const std::size_t at = position_;
  std::size_t quote = text_.find('\'', at + 1);
  while (quote != std::string_view::npos && quote + 1 < text_.size() && text_[quote + 1] == '\'')
    quote = text_.find('\'', quote + 2);
  if (quote == std::string_view::npos)
    return broken(at, "cut_file",
                  "the text that begins here is never closed by a quote: the file was cut off");
  return take(TokenKind::text, at, quote + 1);
}

Token Tokenizer::read_enclosed(char mark, TokenKind kind, const char* what) {
  const std::size_t at = position_;
  std::size_t to = at + 1;
  while (to < text_.size() && is_word(text_[to])) ++to;
  if (to == text_.size() || text_[to] != mark)
    return broken(at, "bad_word", fmt::format("the {} that begins here is not closed by {}", what, mark));
  return take(kind, at, to + 1);
}

Token Tokenizer::read_number() {
  const std::size_t at = position_;
  std::size_t to = at;
  const auto skip_sign = [&] { to += to < text_.size() && (text_[to] == '-' || text_[to] == '+'); };
  const auto skip_digits = [&] {
    const std::size_t from = to;
    while (to < text_.size() && is_digit(text_[to])) ++to;
    return to - from;
  };
  skip_sign();
  std::size_t digits = skip_digits();
  if (to < text_.size() && text_[to] == '.') {
    ++to;
    digits += skip_digits();
  }
  bool sound = digits > 0;
  if (sound && to < text_.size() && upper(text_[to]) == 'E') {
    ++to;
    skip_sign();
    sound = skip_digits() > 0;
  }
  std::size_t rest = to;  // "1.#INF", "1.5D3", "1.2.3": what clings to a number spoils it
  while (rest < text_.size() && (is_word(text_[rest]) || text_[rest] == '#' || text_[rest] == '.')) ++rest;
  if (sound && rest == to) return take(TokenKind::number, at, to);
  const std::string_view written = text_.substr(at, std::max(rest, at + 1) - at);
  const std::size_t mark = written.find('#');
  const bool not_finite = mark != std::string_view::npos && names_no_finite_number(written.substr(mark + 1));
  return broken(at, not_finite ? "number_not_finite" : "bad_number",
                fmt::format("{} is not a number of the format; one such as 12.5 or 1.E-3 was expected",
                            quoted(written)));
}

Token Tokenizer::read_resource() {
  const std::size_t close = text_.find_first_of(">\r\n", position_);
  if (close == std::string_view::npos || text_[close] != '>')
    return broken(position_, "bad_word", "the \"<\" here is not closed by \">\" on its line");
  return take(TokenKind::resource, position_, close + 1);
}

std::optional<Flaw> judge_number(const Token& number, bool bounded) {
  std::string_view digits = number.spelling;
  if (digits.starts_with('+') || digits.starts_with('-')) digits.remove_prefix(1);
  // Up to nine places before the point and no exponent: in range without a conversion, as nearly all are.
  const std::size_t places = std::min(digits.find('.'), digits.size());
  if (places <= 9 && digits.size() < 100 && digits.find_first_of("eE") == std::string_view::npos) return {};
  double value = 0;
  const auto [stop, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  const bool zero =
      digits.substr(0, digits.find_first_of("eE")).find_first_of("123456789") == std::string_view::npos;
  const bool below_one = digits.find("E-") != std::string_view::npos ||
                         digits.find("e-") != std::string_view::npos ||
                         (places <= 1 && digits.starts_with('0')) || digits.starts_with('.');
  if (zero) return {};
  if ((error == std::errc::result_out_of_range && below_one) || (error == std::errc{} && value < 1e-200))
    return Flaw{"number_too_small", number.at,
                fmt::format("the number {} lies below 1e-200; 0 or a size that can be made was expected",
                            quoted(number.spelling))};
  if (error != std::errc{} || !std::isfinite(value))
    return Flaw{"number_not_finite", number.at,
                fmt::format("the number {} is beyond every finite number; a length was expected",
                            quoted(number.spelling))};
  if (bounded && value > 1e9)
    return Flaw{"number_too_large", number.at,
                fmt::format("the number {} is larger than 1e9; a length or a factor of a part was expected",
                            quoted(number.spelling))};
  return {};
}

bool names_no_finite_number(std::string_view word) {
  if (word.starts_with('+') || word.starts_with('-')) word.remove_prefix(1);
  std::string name(word);
  std::ranges::transform(name, name.begin(), upper);
  constexpr std::array<std::string_view, 7> names{"NAN", "INF", "INFINITY", "QNAN", "SNAN", "IND", "NANQ"};
  return std::ranges::find(names, name) != names.end();
}

int line_of(std::string_view text, std::size_t at) {
  int line = 1;
  for (std::size_t i = 0; i < std::min(at, text.size()); ++i) {
    const bool lone_return = text[i] == '\r' && !(i + 1 < text.size() && text[i + 1] == '\n');
    if (text[i] == '\n' || lone_return) ++line;
  }
  return line;
}

}  // namespace corefeed::worker
