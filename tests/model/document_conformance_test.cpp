// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "corefeed/model/document.hpp"

/// Own cases after the classes of RFC 8259 (grammar of sections 2 to 7, UTF-8 of section 8.1): what every
/// reader must accept, must refuse, and how this one decides what the RFC leaves open.
namespace corefeed::model {
namespace {

using std::string_literals::operator""s;

std::string nested(std::size_t depth) { return std::string(depth, '[') + std::string(depth, ']'); }

std::vector<std::string> accepted_texts() {
  return {
      // Structure
      "[]", "{}", "[[]]", "[{}]", R"({"a":[]})", R"({"a":{}})", R"([1,2,3])", R"(["a",1,true,false,null,{}])",
      R"({"a":1,"b":2})", R"({"":0})", R"({"a":1,"A":2})", R"([[],[[]],[]])", nested(64),
      // Any value may stand alone
      "1", "-0.5", "\"text\"", "\"\"", "true", "false", "null",
      // Blanks
      " [] ", "\t[\r\n1\t,\r\n 2 ]\n", "[1 ]", "[ 1]", "{ \"a\" : 1 }", "[\n]", "\n\n\"a\"\n\n", "[ \t\r\n ]",
      // Numbers
      "[0]", "[-0]", "[0.0]", "[-0.0]", "[123]", "[-123]", "[1.5]", "[0.1]", "[0e1]", "[0e+1]", "[0E1]",
      "[0E+1]", "[1e1]", "[1E22]", "[1e-2]", "[1E-2]", "[1E+2]", "[123e45]", "[123.456e78]", "[123.456789]",
      "[20e1]", "[-1.5e-7]", "[1e308]", "[5e-324]", "[9007199254740992]", "[-9007199254740992]", "[1e+00005]",
      "[1.0000000]", "[-0.000000000000000000000000000000000000000000000000000000000000000000000000000001]",
      "[0.00000000000000000000000000000000000000000000000001e50]",
      // Strings
      R"(["\"\\\/\b\f\n\r\t"])", R"(["\u0041"])", R"(["\u00e9\u00C9"])", R"(["\uD834\uDD1E"])",
      R"(["\ud834\udd1e"])", R"(["\u0000"])", R"(["\u001f"])", R"(["\uFFFF"])", R"(["\uFDD0"])",
      R"(["\u2028\u2029"])", R"(["\\u0041"])", R"(["\"]"])", R"(["a/*b*/c"])", R"(["[{,:}]"])", "[\"\x7F\"]",
      "[\"\u00E9\"]", "[\"\u20AC\"]", "[\"\U0001D11E\"]", "[\"\U0010FFFF\"]", "[\"\u2028\u2029\"]",
      "[\"\uFFFE\"]", R"(["\\"])", R"(["\\\""])", R"({"\u0061":1})", R"({"a\"b":1})", R"({"\u0000":1})",
      R"(["\u0022\u005C\u000A\u00A0\u200B\u2064\uA66D"])", R"(["\ud83d\udd27\uD83D\uDD29"])",
      R"(["\uDBFF\uDFFE"])", "[\" \"]", "[\"\u03C9 \u30C0\u30AF\u30C8 \u2300\"]", "[\"\U0001BFFF\"]",
      "[\"\U0001FFFE\U0010FFFE\"]", "{\"\u00E4\": \"\u03BB\"}", "{\"least\": -1.0e+28, \"most\": 1.0e+28}",
      "[\"" + std::string(5000, 'x') + "\"]",
      // Left open by the RFC, accepted here: a byte order mark, a number that underflows (with a warning)
      "\xEF\xBB\xBF[1]", "\xEF\xBB\xBF{}", "[1e-400]", "[-1e-400]", "[123.456e-789]",
      "[1e-99999999999999999999999999]"};
}

std::vector<std::string> refused_texts() {
  return {
      // Nothing, cut texts
      "", " ", "\n", "\xEF\xBB\xBF", "[", "{", "[1", "[1,", "{\"a\"", "{\"a\":", "{\"a\":1", "{\"a\":1,",
      "[[", "[{", "\"", "\"abc", "[\"a", "[\"\\", "[\"\\\"", "[\"\\u", "[\"\\u00", "t", "tru", "[nul", "-",
      "1e", "1.", "[\"a\\uD8",
      // Brackets and separators
      "]", "}", "[]]", "{}}", "[1}", "{\"a\":1]", "[1,]", "{\"a\":1,}", "[,1]", "{,}", "[1,,2]", "[,]",
      "[1 2]", "[\"a\" \"b\"]", "{\"a\" 1}", "{\"a\"::1}", "{\"a\":1 \"b\":2}", "{\"a\",1}", "{\"a\"=1}",
      "[1:2]", "{\"a\":}", "{:1}", "{\"a\":1;}", "[1;2]", "{\"a\"}", "{1:2}", "{null:1}", "{[]:1}", "{a:1}",
      "{'a':1}", "['a']", "(1)", "[\"a\":1]", "{\"a\":1,,\"b\":2}", "[}", "{]", "<x>", "*", "[\"\",,]",
      "[3[4]]", "[   , \"\"]", "[1,\n2\n,3,", "[\n1,\n2", "[{}", "{[: 1}", "{\"a\" \"b\"}", "{\"a\" b}",
      "{\"a\": 1, \"b\" }", "{\"a\": true,", "{\"\":", "{9999E9999: 1}", "{null: null, null: null}",
      "{\"a\": 0,,,,,}", "{\U0001F1EF\U0001F1F5}", "{\"\xB9\": 0,}", "[<null>]", "[*]", "&", "2@", "\u00E5",
      "a\u00E5", "[\"\\{[\"\\{[\"", "[\"a\", truth]", "[{},[", "{[", "{,", "{\"a", "[,",
      // More than one document
      "1 2", "[] []", "{}{}", "{}x", "[1],", "\"a\"\"b\"", "true false", "{} \x0C", "nulll", "[] null",
      "[1]\n[2]",
      // Numbers
      "[01]", "[-01]", "[00]", "[-00]", "[1.]", "[.5]", "[-.5]", "[+1]", "[++1]", "[--1]", "[-]", "[- 1]",
      "[1e]", "[1e+]", "[1E-]", "[1.e1]", "[.e1]", "[1.2.3]", "[1e2e3]", "[1e2.5]", "[0x1F]", "[1_000]",
      "[1 000]", "[1a]", "[1.5f]", "[NaN]", "[-NaN]", "[Infinity]", "[-Infinity]", "[nan]", "[inf]", "[1,5,]",
      "[\uFF11]", "[-a]", "[0e]", "[0.e1]", "[1\u2212]", "[2.e+3]", "[1+2]", "[9.e+]", "[-2.]", "[1ea]",
      "[1.2a-3]", "[1.7976931348623157H+308]", "[0e+-1]", "[-012]", "[-foo]", "[-1x]", "[123\xE5]",
      "[1e1\xE5]", "[0\xE5]", "[1e\xE5]", "01", "-01", "-", "+1",
      // Words
      "[True]", "[FALSE]", "[Null]", "[nul]", "[truth]", "[undefined]", "[abc]", "nothing",
      // Strings
      "[\"\t\"]", "[\"\n\"]", "[\"\x01\"]", "[\"\x1F\"]", R"(["\x41"])", R"(["\a"])", R"(["\'"])",
      R"(["\0"])", R"(["\U0041"])", R"(["\u12"])", R"(["\u12G4"])", R"(["\u 123"])", R"(["\u+123"])",
      "[\"\\\xC3\xA9\"]", "[\"\\\n\"]", "\"a", "a\"", "[\"a]", R"([\u0041])", R"([\"a\"])",
      R"(["\uD834\uDd"])", R"(["\uD800\uD800\x"])", R"(["\uD800\"])", "[\"\\u\xE5\"]", "[\"\\\xE5\"]",
      "[\"\\\U0001F300\"]", R"([\u0020"a"])", R"([\n])", "[\u00E9]", "abc", R"(["\\\"])", "\"\"x",
      // Comments and blanks that JSON does not know
      R"({"a":1}/**/)", R"({"a":1}/**//)", R"({"a":1}//)", R"({"a":1}/)", R"({"a":/*b*/1})", R"({"a":1}#{})",
      "[\"\va\"\f]", "// c\n1", "1 // c", "/* c */ 1", "[1,/*c*/2]", "# c\n1", "[1]#", "[\x0C]", "[\x0B]",
      "[\u00A0]", "[\u2060]", "\u200B[]", "\xEF\xBB\xBF\xEF\xBB\xBF[]", "[] \xEF\xBB\xBF", "[\u3000]",
      // Bytes that are not UTF-8: lone bytes, overlong forms, surrogates, beyond U+10FFFF, cut sequences,
      // Latin-1
      "[\"\xFF\"]", "[\"\x80\"]", "[\"\xC0\xAF\"]", "[\"\xE0\x80\xAF\"]", "[\"\xF0\x80\x80\xAF\"]",
      "[\"\xED\xA0\x80\"]", "[\"\xED\xBF\xBF\"]", "[\"\xF4\x90\x80\x80\"]", "[\"\xF8\x88\x80\x80\x80\"]",
      "[\"\xC3\"]", "[\"\xE2\x82\"]", "[\"\xE9\"]", "[\xFF]", "\xE9", "\xEF\xBB", "\xEF\xBB[]",
      // Zero bytes and other encodings
      "\0"s, "[1]\0"s, "[1\0]"s, "[\"a\0b\"]"s, "{\"a\":1}\0 rest"s, "\0[1]"s, "\xFF\xFE[\0]\0"s,
      "\xFE\xFF\0[\0]"s, "[\0]\0"s, "\0[\0]"s, "\xFF\xFE\0\0[\0\0\0]\0\0\0"s,
      // Left open by the RFC, refused here
      R"(["\uD800"])", R"(["\uDC00"])", R"(["\uD800\u0041"])", R"(["\uD800\uD800"])", R"(["\uDFFF\uD800"])",
      R"(["\uD800x"])", R"(["\uD800\n"])", R"({"\uD800":1})", R"({"a":1,"a":2})", R"({"a":1,"a":1})",
      R"({"a":1,"\u0061":2})", "[1e999]", "[-1e999]", "[1.8e308]", "[9007199254740993]",
      "[-9007199254740993]", "[18446744073709551616]", "[" + std::string(400, '9') + "]",
      "[1" + std::string(400, '0') + "e-10]", "[1e99999999999999999999999999]", nested(65), R"({"\uDFAA":0})",
      R"(["\uD888\u1234"])", R"(["\uDd1ea"])", "[\"\xFC\x83\xBF\xBF\xBF\xBF\"]",
      "[\"\xFC\x80\x80\x80\x80\x80\"]", "[\"\xE0\xFF\"]", "[-123123123123123123123]",
      std::string(100'000, '['), nested(100'000)};
}

TEST(Conformance, AcceptsWhatTheGrammarAllows) {
  const auto texts = accepted_texts();
  EXPECT_GE(texts.size(), 95u);
  for (const std::string& text : texts) {
    const auto document = parse_document(text, "t");
    EXPECT_TRUE(document.ok()) << text << "\n" << (document.ok() ? "" : describe(document.issues()[0]));
  }
}

TEST(Conformance, RefusesEverythingElseWithAPlace) {
  const auto texts = refused_texts();
  EXPECT_GE(texts.size(), 188u);
  for (const std::string& text : texts) {
    const auto document = parse_document(text, "t");
    ASSERT_FALSE(document.ok()) << text;
    for (const Issue& issue : document.issues()) {
      EXPECT_EQ(issue.severity, Severity::error) << text;
      EXPECT_EQ(issue.status, Status::input) << text;
      EXPECT_EQ(issue.place.file, "t");
      EXPECT_FALSE(issue.text.empty()) << text;
      const bool whole_file = issue.code == "wrong_format";
      EXPECT_EQ(issue.place.line > 0, !whole_file) << text;
      EXPECT_EQ(issue.place.column > 0, !whole_file) << text;
    }
  }
}

/// Every beginning of a sound object is refused as cut, at its very end: the parser never takes a part for
/// the whole and the message never points anywhere else.
TEST(Conformance, RefusesEveryBeginningOfADocument) {
  const std::string text = R"({"a": [1, -2.5e+3, "x\u00e9\n", true, null, {"b": {}}], "c": "\ud834\udd1e"})";
  ASSERT_TRUE(parse_document(text, "t").ok());
  for (std::size_t length = 0; length < text.size(); ++length) {
    const auto document = parse_document(std::string_view(text).substr(0, length), "t");
    ASSERT_FALSE(document.ok()) << length;
    EXPECT_EQ(document.issues()[0].code, "syntax") << length;
    EXPECT_EQ(document.issues()[0].place.line, 1);
    EXPECT_LE(document.issues()[0].place.column, static_cast<int>(length) + 1);
  }
}

/// Nothing may stand behind a document, whatever byte it is, but blanks.
TEST(Conformance, RefusesEveryByteBehindTheDocumentExceptBlanks) {
  for (int byte = 0; byte < 256; ++byte) {
    const std::string text = "{\"a\": 1}" + std::string(1, static_cast<char>(byte));
    const bool blank = byte == ' ' || byte == '\t' || byte == '\r' || byte == '\n';
    EXPECT_EQ(parse_document(text, "t").ok(), blank) << byte;
  }
}

}  // namespace
}  // namespace corefeed::model
