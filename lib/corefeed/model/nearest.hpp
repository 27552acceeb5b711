// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>

/// What a user may have meant by a word that is not known.
namespace corefeed::model {

/// The known word that is least far from `word`: at most two steps, a step being one character put in, left
/// out, replaced or swapped with its neighbor (optimal string alignment, after Damerau, Comm. ACM 7(3),
/// 1964). Upper and lower case count as equal, so do '-', '_' and blank. The first of equally near words;
/// empty if none is near or nothing of the word would remain.
std::string nearest(std::string_view word, std::span<const std::string_view> known);

/// The first character that is not ASCII, as "U+0430", for names with letters that only look Latin; bytes
/// that are not UTF-8 as "byte 0xD0"; empty if there is none.
std::string first_foreign_character(std::string_view word);

}  // namespace corefeed::model
