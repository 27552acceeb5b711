// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/document.hpp"

#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <clocale>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

namespace corefeed::model {
namespace {

using std::string_literals::operator""s;

Document sound(std::string_view text) {
  auto document = parse_document(text, "car.json");
  EXPECT_TRUE(document.ok()) << (document.ok() ? "" : describe(document.issues()[0]));
  return document.ok() ? std::move(document).value() : Document();
}

/// The only issue of a text that must be refused, as the user sees it.
std::string refusal(std::string_view text, const DocumentLimits& limits = {}) {
  const auto document = parse_document(text, "car.json", limits);
  if (document.ok()) return "accepted";
  EXPECT_EQ(document.issues().size(), 1u);
  return describe(document.issues()[0]);
}

TEST(Document, KeepsOrderKindsAndLines) {
  const Document document = sound(
      "{\n  \"title\": \"hill\",\n\n  \"n\": 1.50e1, \"on\": true,\n  \"list\":\n  [1,\n2\n,\n3],"
      "\n\"none\": null}\n");
  const Value& root = document.root;
  ASSERT_EQ(root.kind, Value::Kind::object);
  ASSERT_EQ(root.members.size(), 5u);
  EXPECT_EQ(root.members[0].first, "title");
  EXPECT_EQ(root.members[4].first, "none");
  EXPECT_EQ(root.line, 1);
  EXPECT_EQ(root.find("title")->text, "hill");
  EXPECT_EQ(root.find("title")->line, 2);
  EXPECT_EQ(root.find("n")->text, "1.50e1");
  EXPECT_EQ(root.find("n")->number, 15.0);
  EXPECT_EQ(root.find("n")->line, 4);
  EXPECT_TRUE(root.find("on")->boolean);
  EXPECT_EQ(root.find("none")->kind, Value::Kind::null);
  EXPECT_EQ(root.find("missing"), nullptr);
  const Value& list = *root.find("list");
  EXPECT_EQ(list.line, 6);
  // A number followed by a line break stands on its own line, although the parser has read one byte more.
  EXPECT_EQ(list.items[0].line, 6);
  EXPECT_EQ(list.items[1].line, 7);
  EXPECT_EQ(list.items[2].line, 9);
}

TEST(Document, DecodesStrings) {
  const Document document = sound(R"(["\u0041\u00e9\u20ac\ud834\udd1e", "\"\\\/\b\f\n\r\t", "a\u0000b"])");
  EXPECT_EQ(document.root.items[0].text, "A\u00e9\u20ac\U0001d11e");
  EXPECT_EQ(document.root.items[1].text, "\"\\/\b\f\n\r\t");
  EXPECT_EQ(document.root.items[2].text, "a\0b"s);
}

TEST(Document, ReadsTheNearestDouble) {
  // Decimals halfway between doubles, the smallest normal and subnormal numbers: IEEE 754, round to even.
  EXPECT_EQ(sound("0.1").root.number, 0.1);
  EXPECT_EQ(sound("9007199254740993.0").root.number, 9007199254740992.0);
  EXPECT_EQ(sound("2.2250738585072014e-308").root.number, 0x1p-1022);
  EXPECT_EQ(sound("5e-324").root.number, 0x1p-1074);
  EXPECT_EQ(sound("1.7976931348623157e308").root.number, 0x1.fffffffffffffp1023);
  EXPECT_TRUE(std::signbit(sound("-0").root.number));
}

TEST(Document, ReadsNumbersInAnyLocale) {
  const std::string before = std::setlocale(LC_NUMERIC, nullptr);
  const char* const set = std::setlocale(LC_NUMERIC, "de_DE.UTF-8");
  EXPECT_EQ(sound("[1.5]").root.items[0].number, 1.5);
  EXPECT_EQ(write_document(make_number(1.5)), "1.5\n");
  std::setlocale(LC_NUMERIC, before.c_str());
  if (set == nullptr) GTEST_SKIP() << "the locale de_DE.UTF-8 is not installed";
}

TEST(Document, WarnsOfUnderflowWithItsPointer) {
  const Document document = sound("{\"a\": [1,\n -1e-400]}");
  EXPECT_TRUE(std::signbit(document.root.find("a")->items[1].number));
  EXPECT_EQ(document.root.find("a")->items[1].number, 0.0);
  EXPECT_EQ(document.root.find("a")->items[1].text, "-1e-400");
  ASSERT_EQ(document.warnings.size(), 1u);
  EXPECT_EQ(document.warnings[0].code, "number_underflow");
  EXPECT_EQ(document.warnings[0].severity, Severity::warning);
  EXPECT_EQ(document.warnings[0].place.line, 2);
  EXPECT_EQ(document.warnings[0].place.column, 2);
  EXPECT_EQ(document.warnings[0].place.pointer, "/a/1");
  EXPECT_TRUE(sound("[0e-999, 0.0e-400]").warnings.empty());  // zero as written
}

TEST(Document, SaysWhereAndWhatForEachFaultOfSyntax) {
  const auto sentence = [](std::string_view text) { return refusal(text); };
  EXPECT_EQ(sentence("[1,\n2\n 3]"), "car.json:3:2: syntax: found \"3\"; expected ',' or ']'");
  EXPECT_EQ(sentence("{\"a\": 1,\n}"),
            "car.json:2:1: syntax: a comma stands before '}'; leave out the last comma");
  EXPECT_EQ(sentence("{\"a\": [\n1, 2"),
            "car.json:2:5: /a: syntax: the text ends before the array opened on line 1 is closed; expected "
            "',' or ']'");
  EXPECT_EQ(sentence("{} x"),
            "car.json:1:4: syntax: found \"x\"; expected nothing behind the end of the document");
  EXPECT_EQ(sentence("[NaN]"), "car.json:1:2: syntax: \"NaN\" is no JSON number; expected a finite number");
  EXPECT_EQ(sentence("[007]"), "car.json:1:2: syntax: \"007\" is no JSON number; leave out the leading zero");
  for (const std::string number : {"0x1F", "0X1F"}) {
    EXPECT_EQ(sentence("[" + number + "]"),
              "car.json:1:2: syntax: \"" + number + "\" is no JSON number; write it in decimal digits");
  }
  EXPECT_EQ(sentence("{\"a\": 12mm}"),
            "car.json:1:7: syntax: \"12mm\" is no JSON number; a number with a unit stands in double quotes");
  EXPECT_EQ(sentence("[1, // c"),
            "car.json:1:5: syntax: found \"//\"; JSON has no comments, a remark may stand under "
            "a key that begins with \"x-\"");
  EXPECT_EQ(sentence("[True]"),
            "car.json:1:2: syntax: found \"True\"; expected a value or ']', did you mean true?");
  EXPECT_EQ(sentence("{'a': 1}"),
            "car.json:1:2: syntax: found a single quote; keys and text stand in double quotes");
  EXPECT_EQ(sentence("{a: 1}"), "car.json:1:2: syntax: found \"a\"; a key stands in double quotes");
  EXPECT_EQ(sentence("{\"a\" 1}"), "car.json:1:6: /a: syntax: found \"1\"; expected ':' behind the key");
  EXPECT_EQ(sentence("[\u201Ca\u201D]"),
            "car.json:1:2: syntax: found \"\u201C\" U+201C; expected a value or ']'");
  EXPECT_EQ(sentence(" "), "car.json:1:2: syntax: the text is empty; expected a JSON value");
}

TEST(Document, PointsAtTheByteInsideAString) {
  EXPECT_EQ(refusal("[\"\u00E9\\q\"]"),
            "car.json:1:4: syntax: \"\\\\q\" is no escape; a backslash in a string is written \\\\");
  EXPECT_EQ(refusal("[\"ab\n\"]"),
            "car.json:1:5: syntax: the line ends inside a string; expected a closing double quote");
  EXPECT_EQ(refusal("[\"\u00E9\xE9\"]"),
            "car.json:1:4: invalid_utf8: byte 0xE9 is no UTF-8 text; save the file as UTF-8");
  EXPECT_NE(refusal("[\"\\uD800\"]").find("half of a surrogate pair"), std::string::npos);
  EXPECT_NE(refusal("[\"a\tb\"]").find("car.json:1:4: syntax: a string holds the control byte 0x09"),
            std::string::npos);
}

TEST(Document, RefusesOtherKindsOfFiles) {
  EXPECT_EQ(refusal("\xFF\xFE{\0}\0"s),
            "car.json: wrong_format: this looks like UTF-16 text; expected JSON in UTF-8");
  EXPECT_NE(refusal("PK\x03\x04\x14").find("a zip archive"), std::string::npos);
  EXPECT_NE(refusal("ISO-10303-21;\n").find("a STEP file"), std::string::npos);
  EXPECT_NE(refusal("<!DOCTYPE html>").find("an HTML or XML page"), std::string::npos);
  EXPECT_EQ(refusal("\xEF\xBB\xBF[\0]"s), "car.json:1:2: zero_byte: found a zero byte; expected text");
  EXPECT_EQ(refusal("{\"a\":\n 1}\0 rest"s), "car.json:2:4: zero_byte: found a zero byte; expected text");
}

TEST(Document, NamesBothLinesOfADuplicateKey) {
  EXPECT_EQ(refusal("{\"fans\": [{\"x/y\": 1,\n\n\"x/y\": 2}]}"),
            "car.json:3:1: /fans/0/x~1y: duplicate_key: the key \"x/y\" stands twice in this object, first "
            "on line 1 and "
            "again on line 3; keep one");
  // The same key in different objects is none.
  EXPECT_TRUE(
      parse_document(R"({"a": {"b": 1}, "c": {"b": 2}, "b": 3, "d": [{"b": 1}, {"b": 2}]})", "t").ok());
}

TEST(Document, ListsSeveralFaultsOfContentAndCountsTheRest) {
  std::string text = "{\n";
  for (int i = 0; i < 50; ++i) text += "\"k\": 9007199254740993,\n";
  text += "\"z\": 1}";
  const auto document = parse_document(text, "t");
  ASSERT_FALSE(document.ok());
  ASSERT_EQ(document.issues().size(), 21u);
  EXPECT_EQ(document.issues()[0].code, "integer_too_large");
  EXPECT_EQ(document.issues()[1].code, "duplicate_key");
  EXPECT_EQ(document.issues()[20].code, "more_errors");
  EXPECT_EQ(document.issues()[20].text, "79 more of this kind are not listed");  // 50 + 49 faults, 20 listed
}

TEST(Document, QuotesNumbersOutOfRangeAsWritten) {
  EXPECT_EQ(refusal("{\"a\": -1.50e999}"),
            "car.json:1:7: /a: number_too_large: the number \"-1.50e999\" is too large; expected at most "
            "1.797e308");
  EXPECT_EQ(refusal("[1,\n 9007199254740993]"),
            "car.json:2:2: /1: integer_too_large: the integer \"9007199254740993\" cannot be held exactly; "
            "expected at "
            "most 2^53 = 9007199254740992, or a number with a decimal point");
  EXPECT_NE(refusal("[" + std::string(400, '7') + "]").find("integer_too_large: the integer \"7777"),
            std::string::npos);
  EXPECT_NE(refusal("[" + std::string(400, '7') + ".5]").find("number_too_large"), std::string::npos);
}

TEST(Document, HoldsTheLimitsToTheUnit) {
  EXPECT_EQ(refusal("[[1]]", {.depth = 2}), "accepted");
  EXPECT_EQ(refusal("[{\"a\":[1]}]", {.depth = 2}),
            "car.json:1:7: /0/a: too_deep: arrays and objects stand inside each other more than the limit of "
            "2 deep");
  EXPECT_EQ(refusal("[1,[2],3]", {.values = 5}), "accepted");
  EXPECT_EQ(refusal("[1,[2],3]", {.values = 4}),
            "car.json:1:8: /2: too_many_values: the document holds more than the limit of 4 values");
  EXPECT_EQ(refusal("[\"abc\"]", {.text_bytes = 3}), "accepted");
  EXPECT_EQ(refusal("[\"abcd\"]", {.text_bytes = 3}),
            "car.json:1:2: /0: text_too_long: \"\\\"abcd\\\"]\" is longer than the limit of 3 bytes for a "
            "single text");
  EXPECT_NE(refusal("{\"abcd\":1}", {.text_bytes = 3}).find("text_too_long"), std::string::npos);
  EXPECT_NE(refusal("[1234]", {.text_bytes = 3}).find("text_too_long"), std::string::npos);
  EXPECT_EQ(refusal("[12]", {.bytes = 4}), "accepted");
  EXPECT_EQ(refusal("[123]", {.bytes = 4}),
            "car.json: file_too_large: the document is larger than the limit of 4e-06 MB");
}

std::string code_of(const std::string& text) {
  const auto document = parse_document(text, "t");
  return document.ok() ? "" : document.issues()[0].code;
}

/// The cost of hostile texts grows with their length and no faster. No clock is looked at: work with the
/// square of these lengths, or a call of its own for each bracket, would not come to an end here.
TEST(Document, RefusesHostileTextWithoutMuchWork) {
  EXPECT_EQ(code_of(std::string(1'000'000, '[')), "too_deep");
  std::string objects;
  for (int i = 0; i < 1'000'000; ++i) objects += "{\"a\":";
  EXPECT_EQ(code_of(objects), "too_deep");
  EXPECT_EQ(code_of("[" + std::string(1'000'000, '7') + "]"), "text_too_long");
  EXPECT_EQ(code_of("[0." + std::string(1'000'000, '0') + "1]"), "text_too_long");
  std::string keys = "{\"k0\":0";
  std::string equal_keys = "{\"k\":0";
  for (int i = 1; i < 800'000; ++i) {
    keys += ",\"k" + std::to_string(i) + "\":0";
    equal_keys += ",\"k\":0";
  }
  EXPECT_EQ(code_of(keys + "}"), "");
  EXPECT_EQ(code_of(equal_keys + "}"), "duplicate_key");
  std::string many = "[0";
  for (int i = 0; i < 1'100'000; ++i) many += ",0";
  EXPECT_EQ(code_of(many + "]"), "too_many_values");
}

TEST(Document, ReadsSixtyMegabytes) {
  std::string text = "[";
  const std::string line = "\"" + std::string(60'000, 'x') + "\",\n";
  while (text.size() < 60'000'000 - line.size()) text += line;
  text += "0]";
  EXPECT_EQ(code_of(text), "");
}

class DocumentFile : public testing::Test {
 protected:
  void SetUp() override {
    std::string folder = (std::filesystem::temp_directory_path() / "document_test_XXXXXX").string();
    ASSERT_NE(::mkdtemp(folder.data()), nullptr);
    folder_ = folder;
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::string path(const std::string& name) const { return (folder_ / name).string(); }

  std::string code_of(const std::string& file) const {
    const auto document = read_document(file);
    if (document.ok()) return "";
    EXPECT_EQ(document.issues()[0].place.file, file);
    EXPECT_EQ(document.issues()[0].status, Status::input);
    return document.issues()[0].code;
  }

  std::filesystem::path folder_;
};

TEST_F(DocumentFile, ReadsARegularFile) {
  std::ofstream(path("a.json")) << "\xEF\xBB\xBF{\"a\": 1}\n";
  const auto document = read_document(path("a.json"));
  ASSERT_TRUE(document.ok());
  EXPECT_EQ(document.value().file, path("a.json"));
  EXPECT_EQ(document.value().root.find("a")->number, 1.0);
  std::ofstream(path("empty.json")).close();
  EXPECT_EQ(code_of(path("empty.json")), "syntax");
}

TEST_F(DocumentFile, RefusesWhatIsNoRegularFile) {
  EXPECT_EQ(code_of(path("none.json")), "missing_file");
  EXPECT_EQ(code_of(path("none/none.json")), "missing_file");
  EXPECT_EQ(code_of(""), "missing_file");
  EXPECT_EQ(code_of(path("a.json") + "\0x"s), "missing_file");
  EXPECT_EQ(code_of(folder_.string()), "not_a_file");
  EXPECT_EQ(code_of("/dev/zero"), "not_a_file");
  ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
  EXPECT_EQ(code_of(path("pipe")), "not_a_file");  // and does not wait for a writer
  EXPECT_EQ(code_of(path(std::string(300, 'n'))), "unreadable_file");
  const int socket = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{AF_UNIX, {}};
  path("socket").copy(address.sun_path, sizeof address.sun_path - 1);
  ASSERT_EQ(::bind(socket, reinterpret_cast<const sockaddr*>(&address), sizeof address), 0);
  const auto refused = read_document(path("socket"));
  ::close(socket);
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(describe(refused.issues()[0]),
            path("socket") + ": not_a_file: \"" + path("socket") + "\" is no regular file");
}

TEST_F(DocumentFile, TestsTheSizeBeforeReading) {
  std::ofstream(path("large.json")) << "[]";
  // Sparse: reading a terabyte would neither fit memory nor end.
  ASSERT_EQ(::truncate(path("large.json").c_str(), 1'000'000'000'000), 0);
  EXPECT_EQ(code_of(path("large.json")), "file_too_large");
}

}  // namespace
}  // namespace corefeed::model
