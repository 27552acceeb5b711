// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "corefeed/result.hpp"

/// The answer of the measuring program on its standard output: one line `corefeed-reply 1 <bytes>`, then that
/// many bytes of JSON and nothing after them. The reader takes every byte for hostile: a geometry kernel that
/// has read a bad file may write anything.
namespace corefeed::worker {

/// True when the bytes hold a whole reply (or can no longer become one), so that waiting is pointless.
bool reply_complete(std::string_view bytes, std::uint64_t most_bytes);

/// The JSON of a reply, or bad_reply (status geometry).
Result<std::string> unframe_reply(std::string_view bytes, std::uint64_t most_bytes);

/// The text of "measurement" in a reply `{"status":0,"issues":[],"measurement":{..}}`, byte for byte, so that
/// its numbers keep their digits; the issues of one with another status: {"code", "text", "severity"} and,
/// where known, "line" and "pointer". `file` is put into their place. Error of our own making: bad_reply.
Result<std::string> judge_reply(std::string_view json, const std::string& file);

/// The text of another member ("marks", "drawing") of a reply that `judge_reply` took; "" where it holds
/// none.
std::string member_of_reply(std::string_view json, std::string_view key);

/// Whether a word can be the code of an issue: small letters and _.
bool may_name_a_rule(std::string_view word);

/// Text from outside, fit for a message: control bytes become blanks, and it is cut to 1,000 bytes.
std::string tame(std::string_view text);

}  // namespace corefeed::worker
