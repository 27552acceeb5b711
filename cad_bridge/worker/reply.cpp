// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/reply.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>
#include <optional>

namespace corefeed::worker {
namespace {

using Json = nlohmann::json;

constexpr std::string_view opening = "corefeed-reply 1 ";
constexpr std::size_t longest_header = 40;
constexpr int deepest = 64;
constexpr std::size_t most_issues = 20;

struct Header {
  std::size_t size = 0;    ///< of the header with its line end
  std::uint64_t body = 0;  ///< bytes announced
};

std::optional<Header> read_header(std::string_view bytes) {
  const std::size_t end = bytes.substr(0, longest_header).find('\n');
  if (end == std::string_view::npos || !bytes.starts_with(opening)) return {};
  Header header{end + 1, 0};
  const char* last = bytes.data() + end;
  const auto [stop, error] = std::from_chars(bytes.data() + opening.size(), last, header.body);
  if (error != std::errc{} || stop != last) return {};
  return header;
}

Issue bad_reply(std::string text, const std::string& file = {}) {
  return {"bad_reply", Severity::error, Status::geometry, {file, 0, 0, {}}, std::move(text)};
}

/// Walks over JSON text and tells strings from structure, as far as finding a member needs it.
class Outline {
 public:
  explicit Outline(std::string_view json) : json_(json) {}

  /// Brackets one within the other; parsers build as many levels.
  int deepest() {
    int most = 0;
    while (step()) most = std::max(most, depth_);
    return most;
  }

  /// The text of a member of the outermost object; the JSON is known to be sound. Empty if there is none.
  std::string_view member(std::string_view quoted_key) {
    while (step()) {
      if (depth_ != 1 || json_[position_] != ':' || last_string_ != quoted_key) continue;
      const std::size_t from = ++position_;
      while (position_ < json_.size() &&
             !(depth_ == 1 && (json_[position_] == ',' || json_[position_] == '}')))
        advance();
      return json_.substr(from, position_ - from);
    }
    return {};
  }

 private:
  bool step() {
    if (started_ && position_ < json_.size()) advance();
    started_ = true;
    return position_ < json_.size();
  }

  /// Over one byte, or one string.
  void advance() {
    const char c = json_[position_];
    const std::size_t from = position_++;
    if (c == '[' || c == '{') ++depth_;
    if (c == ']' || c == '}') --depth_;
    if (c != '"') return;
    while (position_ < json_.size() && json_[position_] != '"')
      position_ += json_[position_] == '\\' ? 2u : 1u;
    position_ = std::min(position_ + 1, json_.size());
    last_string_ = json_.substr(from, position_ - from);
  }

  std::string_view json_;
  std::size_t position_ = 0;
  std::string_view last_string_;
  int depth_ = 0;
  bool started_ = false;
};

std::string text_of(const Json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_string() ? tame(found->get_ref<const std::string&>())
                                                     : std::string();
}

Issue read_issue(const Json& json, Status status, const std::string& file) {
  Issue issue;
  issue.status = status;
  issue.place.file = file;
  if (json.is_object()) {
    issue.code = text_of(json, "code");
    issue.text = text_of(json, "text");
    issue.place.pointer = text_of(json, "pointer");
    if (text_of(json, "severity") == "warning") issue.severity = Severity::warning;
    if (json.contains("line") && json["line"].is_number_unsigned())
      issue.place.line =
          static_cast<int>(std::min<std::uint64_t>(json["line"].get<std::uint64_t>(), 2'000'000'000));
  }
  if (!may_name_a_rule(issue.code)) issue.code = "geometry";
  if (issue.text.empty()) issue.text = "the part that reads geometry gave no reason";
  return issue;
}

}  // namespace

bool may_name_a_rule(std::string_view word) {
  return !word.empty() &&
         std::ranges::all_of(word, [](char c) { return c == '_' || (c >= 'a' && c <= 'z'); });
}

bool reply_complete(std::string_view bytes, std::uint64_t most_bytes) {
  const auto header = read_header(bytes);
  if (!header) return bytes.size() >= longest_header;
  return header->body > most_bytes || bytes.size() - header->size > header->body;
}

Result<std::string> unframe_reply(std::string_view bytes, std::uint64_t most_bytes) {
  if (bytes.empty()) return bad_reply("the part that reads geometry ended without an answer");
  const auto header = read_header(bytes);
  if (!header)
    return bad_reply(fmt::format("the part that reads geometry answered {} instead of a measurement",
                                 quoted(bytes.substr(0, 80))));
  if (header->body > most_bytes)
    return bad_reply(
        fmt::format("the part that reads geometry announced an answer of {} bytes; {} are the limit",
                    header->body, most_bytes));
  const std::string_view body = bytes.substr(header->size);
  if (body.size() != header->body)
    return bad_reply(fmt::format("the part that reads geometry announced {} bytes and sent {}{}",
                                 header->body, body.size() > header->body ? "more than " : "",
                                 std::min<std::uint64_t>(body.size(), header->body)));
  return std::string(body);
}

Result<std::string> judge_reply(std::string_view json, const std::string& file) {
  // Behind a zero byte the parser would not look.
  if (json.find('\0') != std::string_view::npos || Outline(json).deepest() > deepest)
    return bad_reply("the part that reads geometry sent an answer that is no sound JSON", file);
  const Json document = Json::parse(json, nullptr, false);
  if (!document.is_object() || !document.contains("status"))
    return bad_reply("the part that reads geometry sent an answer that is no JSON object with a status",
                     file);
  const Json& status = document["status"];
  // By its text and not by the parsed document, which may know another member by this name: one of two, or
  // one whose name is written in escapes.
  const std::string_view measurement = Outline(json).member("\"measurement\"");
  if (status == 0 &&
      measurement.substr(std::min(measurement.find_first_not_of(" \t\r\n"), measurement.size()))
          .starts_with('{'))
    return std::string(measurement);
  Status asked = Status::geometry;
  for (const Status known : {Status::input, Status::limit, Status::internal})
    if (status == static_cast<int>(known)) asked = known;
  std::vector<Issue> issues;
  if (const auto list = document.find("issues"); list != document.end() && list->is_array())
    for (const Json& entry : *list)
      if (issues.size() < most_issues) issues.push_back(read_issue(entry, asked, file));
  const bool error =
      std::ranges::any_of(issues, [](const Issue& i) { return i.severity == Severity::error; });
  if (!error) issues.push_back(read_issue({}, asked, file));
  return issues;
}

std::string member_of_reply(std::string_view json, std::string_view key) {
  return std::string(Outline(json).member(fmt::format("\"{}\"", key)));
}

std::string tame(std::string_view text) {
  std::string tamed(text.substr(0, 1000));
  for (char& c : tamed)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = ' ';
  // Leave no half of a multi-byte character at the cut.
  if (text.size() > 1000) {
    while (!tamed.empty() && (static_cast<unsigned char>(tamed.back()) & 0xC0) == 0x80) tamed.pop_back();
    if (!tamed.empty() && static_cast<unsigned char>(tamed.back()) >= 0xC0) tamed.pop_back();
    tamed += "...";
  }
  return tamed;
}

}  // namespace corefeed::worker
