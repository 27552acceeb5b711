// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/csv_table.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace corefeed::model {
namespace {

using std::string_literals::operator""s;

Table sound(std::string text) {
  auto table = parse_csv(std::move(text), "fan.csv");
  EXPECT_TRUE(table.ok()) << (table.ok() ? "" : describe(table.issues()[0]));
  return table.ok() ? std::move(table).value() : Table();
}

/// The first issue of a table that must be refused, as the user sees it.
std::string refusal(std::string text, const TableLimits& limits = {}) {
  const auto table = parse_csv(std::move(text), "fan.csv", limits);
  if (table.ok()) return "accepted";
  EXPECT_EQ(table.issues()[0].status, Status::input);
  EXPECT_EQ(table.issues()[0].severity, Severity::error);
  return describe(table.issues()[0]);
}

std::string number_refusal(const Table& table, std::size_t row, std::size_t column) {
  const auto number = table.number(row, column);
  return number.ok() ? "accepted" : describe(number.issues()[0]);
}

std::string cell_refusal(const std::string& cell) {
  const Table table = sound("x\n" + cell + "\n");
  const auto number = table.number(0, 0);
  return number.ok() ? "accepted" : number.issues()[0].code;
}

TEST(CsvTable, ReadsNamesUnitsAndNumbers) {
  const Table table = sound("flow [m3/s], pressure_rise [Pa] ,note\n0,250,idle\n0.5, 1.2e2 ,full\n");
  ASSERT_EQ(table.columns().size(), 3u);
  EXPECT_EQ(table.columns()[0].name, "flow");
  EXPECT_EQ(table.columns()[0].unit, "m3/s");
  EXPECT_EQ(table.columns()[1].name, "pressure_rise");
  EXPECT_EQ(table.columns()[1].unit, "Pa");
  EXPECT_TRUE(table.columns()[1].has_unit);
  EXPECT_FALSE(table.columns()[2].has_unit);
  ASSERT_EQ(table.rows(), 2u);
  EXPECT_EQ(table.number(1, 0).value(), 0.5);
  EXPECT_EQ(table.number(1, 1).value(), 120.0);
  EXPECT_EQ(table.text(1, 1), "1.2e2");
  EXPECT_EQ(table.text(0, 2), "idle");
  EXPECT_EQ(table.line(1), 3);
  EXPECT_EQ(table.numbers(0).value(), (std::vector<double>{0.0, 0.5}));
}

TEST(CsvTable, AcceptsTheHabitsOfSpreadsheets) {
  const std::string plain = "a,b\n1,2\n3,4\n";
  for (const std::string& text :
       {plain, "\xEF\xBB\xBF"s + plain, "a,b\r\n1,2\r\n3,4\r\n"s, "a,b\n1,2\n3,4"s, "a,b\r\n1,2\r\n3,4"s,
        plain + "\n", plain + "\r\n \r\n\t\n", "# fan of the test rig\n#\n\n"s + plain,
        "a,b\n# half speed\n1,2\n  # full\n3,4\n#end"s, "\"a\",\"b\"\n\"1\" ,2\n 3 , \"4\"\n"s,
        "a,b\n\n1,2\n3,4\n"s, "a;b\n1;2\n3;4\n"s, "a\tb\n1\t2\n3\t4\n"s}) {
    const Table table = sound(text);
    ASSERT_EQ(table.rows(), 2u) << text;
    ASSERT_EQ(table.columns().size(), 2u) << text;
    EXPECT_EQ(table.columns()[1].name, "b") << text;
    EXPECT_EQ(table.number(0, 0).value(), 1.0) << text;
    EXPECT_EQ(table.number(0, 1).value(), 2.0) << text;
    EXPECT_EQ(table.number(1, 0).value(), 3.0) << text;
    EXPECT_EQ(table.number(1, 1).value(), 4.0) << text;
  }
}

TEST(CsvTable, CountsLinesAndColumnsAsAnEditorDoes) {
  const Table table = sound("\xEF\xBB\xBF# \u00B5\n\na,b\r\n# x\n\u00E4\u00F6, y\n");
  EXPECT_EQ(table.header_line(), 3);
  EXPECT_EQ(table.place(0, 1).line, 5);
  EXPECT_EQ(table.place(0, 1).column, 5);  // two letters of two bytes, comma, blank
  EXPECT_EQ(table.place(0, 1).file, "fan.csv");
}

TEST(CsvTable, UndoesDoubledQuotes) {
  const Table table = sound("a,b\n\"say \"\"on\"\", then, off\",2\n\"\",\"\"\"\"\n");
  EXPECT_EQ(table.text(0, 0), "say \"on\", then, off");
  EXPECT_EQ(table.number(0, 1).value(), 2.0);
  EXPECT_EQ(table.text(1, 0), "");
  EXPECT_EQ(table.text(1, 1), "\"");
}

// What stands inside quotes does not tell what parts the cells.
TEST(CsvTable, SeparatorsInsideQuotedHeaderCellsPartNothing) {
  const Table commas = sound("\"rise; hot [Pa]\",b\n1.5,2\n");
  EXPECT_EQ(commas.columns()[0].name, "rise; hot");
  EXPECT_EQ(commas.number(0, 0).value(), 1.5);
  const Table tabs = sound("\"flow, cold\"\tb\n1\t2\n");
  EXPECT_EQ(tabs.columns()[0].name, "flow, cold");
  EXPECT_EQ(tabs.number(0, 1).value(), 2.0);
}

TEST(CsvTable, ReadsDecimalCommasBetweenSemicolons) {
  const Table table = sound("flow [m3/s];rise [Pa]\n0,5;250\n-1,25e2;+3\n1.500;2\n");
  EXPECT_EQ(table.number(0, 0).value(), 0.5);
  EXPECT_EQ(table.number(1, 0).value(), -125.0);
  EXPECT_EQ(table.number(1, 1).value(), 3.0);
  // 1.500 may be one and a half or fifteen hundred.
  EXPECT_EQ(number_refusal(table, 2, 0),
            "fan.csv:4:1: not_a_number: column \"flow\": \"1.500\" is no number; decimals are commas where "
            "semicolons "
            "part the cells; part them by commas if decimals are points");
}

TEST(CsvTable, LetsTheNumbersOfATabFileDecideTheMark) {
  const Table commas = sound("a\tb\n1\t0,5\n2\t1.5\n");
  EXPECT_EQ(commas.number(0, 1).value(), 0.5);
  EXPECT_EQ(commas.number(1, 1).ok(), false);
  const Table points =
      sound("a\tb\nx, y\t0.5\n2\t1,5\n");  // the text "x, y" is no number and decides nothing
  EXPECT_EQ(points.number(0, 1).value(), 0.5);
  EXPECT_EQ(points.number(1, 1).ok(), false);
}

TEST(CsvTable, RefusesDecimalCommasBetweenCommas) {
  EXPECT_EQ(refusal("a,b\n1,5,2,5\n"),
            "fan.csv:2:1: ragged_row: found 4 cells; expected 2 as in the header of line 1; where decimals "
            "are commas, "
            "semicolons must part the cells");
  EXPECT_EQ(number_refusal(sound("a,b\n\"1,5\",2\n"), 0, 0),
            "fan.csv:2:2: not_a_number: column \"a\": \"1,5\" is no number; where decimals are commas, "
            "semicolons must "
            "part the cells");
}

TEST(CsvTable, RefusesCellsThatAreNoNumbers) {
  EXPECT_EQ(cell_refusal("\"\""), "empty_cell");
  for (const char* cell : {"full",    "nan", "NaN",   "inf",     "-inf",   "Infinity", "0x10", "1e",
                           "e5",      "-",   "+",     ".",       "+-1",    "--1",      "1 2",  "1_0",
                           "12 m3/s", "50%", "1.2.3", "\u22125", "\uFF11", "1e5e5",    "1/2",  "true"}) {
    EXPECT_EQ(cell_refusal(cell), "not_a_number") << cell;
  }
  EXPECT_EQ(cell_refusal("1e999"), "number_too_large");
  EXPECT_EQ(cell_refusal("-1e999"), "number_too_large");
  EXPECT_EQ(cell_refusal("1e-999"), "number_underflow");
  EXPECT_EQ(cell_refusal("9007199254740993"), "integer_too_large");
  for (const char* cell : {"1", "-1", "+1", "01", ".5", "5.", "-.5", "1E5", "1e+05", "007"}) {
    EXPECT_EQ(cell_refusal(cell), "accepted") << cell;
  }
}

TEST(CsvTable, SaysWhatToWriteInstead) {
  const Table table = sound("a,b [m]\n1,\n2,3 mm\n3,\u22124\n4,half\n");
  EXPECT_EQ(number_refusal(table, 0, 1),
            "fan.csv:2:3: empty_cell: column \"b\": the cell is empty; expected a number");
  EXPECT_EQ(number_refusal(table, 1, 1),
            "fan.csv:3:3: not_a_number: column \"b\": \"3 mm\" is no number; a unit belongs "
            "into the header as `name [unit]`");
  EXPECT_NE(number_refusal(table, 2, 1).find("U+2212"), std::string::npos);
  EXPECT_NE(number_refusal(table, 3, 1).find("\"half\" is no number; expected a number"), std::string::npos);
  const auto all = table.numbers(1);
  ASSERT_FALSE(all.ok());
  EXPECT_EQ(all.issues().size(), 4u);
}

TEST(CsvTable, FindsColumnsAndNamesTheNearest) {
  const Table table = sound("flow [m3/s],pressure_rise [Pa]\n1,2\n");
  EXPECT_EQ(table.find("pressure_rise"), 1u);
  EXPECT_EQ(table.find("flow [m3/s]"), Table::npos);
  EXPECT_EQ(table.column("flow").value(), 0u);
  EXPECT_EQ(describe(table.column("flwo").issues()[0]),
            "fan.csv:1: missing_column: there is no column \"flwo\"; found \"flow\", \"pressure_rise\"; did "
            "you mean "
            "\"flow\"?");
  EXPECT_EQ(
      describe(table.column("efficiency").issues()[0]),
      "fan.csv:1: missing_column: there is no column \"efficiency\"; found \"flow\", \"pressure_rise\"");
}

TEST(CsvTable, RefusesFaultyHeaders) {
  EXPECT_EQ(refusal("flow [m3/s],rise [Pa],flow [l/s]\n1,2,3\n"),
            "fan.csv:1:23: duplicate_column: the column \"flow\" stands twice in the header");
  EXPECT_EQ(refusal("a,,c\n1,2,3\n"),
            "fan.csv:1:3: bad_header: column 2 of the header has no name; expected `name [unit]`");
  EXPECT_NE(refusal("a,b,\n1,2,3\n").find("bad_header: column 3"), std::string::npos);
  EXPECT_NE(refusal("a,[Pa]\n1,2\n").find("bad_header"), std::string::npos);
  for (const char* cell : {"b [Pa", "b [Pa] x", "b [", "b [[Pa]]"}) {
    EXPECT_NE(refusal("a,"s + cell + "\n1,2\n").find("fan.csv:1:3: bad_header"), std::string::npos) << cell;
  }
  EXPECT_EQ(refusal("0.5,250\n1,200\n"),
            "fan.csv:1:1: no_header: the first line holds the number \"0.5\"; expected a header such as "
            "`flow [m3/s]`");
  EXPECT_NE(refusal("# flow, rise\n0,5;250\n").find("no_header"), std::string::npos);
  EXPECT_NE(refusal("\" 0 \"\n1\n").find("no_header"), std::string::npos);
  EXPECT_NE(refusal("").find("no_header: the table is empty"), std::string::npos);
  EXPECT_NE(refusal("\n# only a remark\n").find("no_header"), std::string::npos);
  EXPECT_EQ(refusal("a,b\n"), "fan.csv:1: no_rows: the table has a header but no rows");
}

TEST(CsvTable, RefusesFaultyRows) {
  EXPECT_EQ(refusal("a,b\n1,2\n3\n"),
            "fan.csv:3:1: ragged_row: found 1 cells; expected 2 as in the header of line 1");
  EXPECT_NE(refusal("a,b\n1,2,\n").find("fan.csv:2:1: ragged_row: found 3 cells"), std::string::npos);
  EXPECT_EQ(
      refusal("a,b\n1,2\na,b\n3,4\n"),
      "fan.csv:3:1: repeated_header: the header of line 1 stands here again; expected one table in a file");
  EXPECT_EQ(refusal("a,b\n1,2\n\n\n3,4\n"),
            "fan.csv:5:1: blank_line: line 3 inside the table is blank; expected rows without a gap");
  EXPECT_EQ(refusal("a,b\n1,\"2\n3,4\"\n"),
            "fan.csv:2:3: bad_quotes: a quoted cell is not closed on its line; "
            "expected a closing double quote");
  EXPECT_NE(refusal("a,b\n\"1\"2,3\n").find("fan.csv:2:4: bad_quotes"), std::string::npos);
  EXPECT_NE(refusal("a,b\n5\",3\n").find("fan.csv:2:2: bad_quotes"), std::string::npos);
}

TEST(CsvTable, ListsTwentyIssuesAndCountsTheRest) {
  std::string text = "a,b\n";
  for (int i = 0; i < 30; ++i) text += "1\n";
  const auto table = parse_csv(text, "fan.csv");
  ASSERT_FALSE(table.ok());
  ASSERT_EQ(table.issues().size(), 21u);
  EXPECT_EQ(table.issues()[19].place.line, 21);
  EXPECT_EQ(table.issues()[20].text, "10 more of this kind are not listed");
}

TEST(CsvTable, RefusesOtherKindsOfFiles) {
  EXPECT_EQ(refusal("\xFF\xFE"s + "a\0,\0b\0"s),
            "fan.csv: wrong_format: this looks like UTF-16 text; expected a table as text in UTF-8");
  EXPECT_NE(refusal("\0a\0,\0b"s).find("looks like UTF-16"), std::string::npos);
  EXPECT_NE(refusal("PK\x03\x04"s).find("looks like a zip archive"), std::string::npos);
  EXPECT_NE(refusal("\xD0\xCF\x11\xE0"s).find("looks like an old binary office document"), std::string::npos);
  EXPECT_NE(refusal("\n<html><body>\n").find("looks like an HTML or XML page"), std::string::npos);
  EXPECT_NE(refusal("%PDF-1.4").find("looks like a PDF"), std::string::npos);
  EXPECT_EQ(refusal("a,b\n1,\0\n"s), "fan.csv:2:3: zero_byte: found a zero byte; expected a table as text");
  EXPECT_EQ(refusal("a,b\n1,\x1B[0m\n"),
            "fan.csv:2:3: control_byte: found the control byte 0x1B; expected a table as text");
  EXPECT_NE(refusal("a,b\r1,2\r").find("fan.csv:1:4: control_byte: found a line break of CR alone"),
            std::string::npos);
  EXPECT_EQ(refusal("a [\xB0"s + "C],b\n1,2\n"),
            "fan.csv:1:4: invalid_utf8: byte 0xB0 is no UTF-8 text; save the file as UTF-8");
}

TEST(CsvTable, HoldsTheLimits) {
  EXPECT_EQ(refusal("a\n1\n2\n", {.rows = 2}), "accepted");
  EXPECT_EQ(refusal("a\n1\n2\n3\n", {.rows = 2}),
            "fan.csv:4:1: too_many_rows: the table has more than the limit of 2 rows");
  EXPECT_EQ(refusal("a\n1\n", {.bytes = 4}), "accepted");
  EXPECT_NE(refusal("a\n10\n", {.bytes = 4}).find("file_too_large"), std::string::npos);
}

TEST(CsvTable, ReadsTheLargestTable) {
  std::string text = "a,b\n";
  for (int i = 0; i < 1'000'000; ++i) text += "1.5,-2e3\n";
  const Table table = sound(text);
  EXPECT_EQ(table.rows(), 1'000'000u);
  EXPECT_EQ(table.numbers(1).value().back(), -2000.0);
}

TEST(CsvTable, ReadsFilesAndRefusesWhatIsNone) {
  std::string name = (std::filesystem::temp_directory_path() / "csv_table_test_XXXXXX").string();
  const int descriptor = ::mkstemp(name.data());
  ASSERT_GE(descriptor, 0);
  ::close(descriptor);
  std::ofstream(name) << "a;b\n1;2,5\n";
  const auto table = read_csv(name);
  ASSERT_TRUE(table.ok());
  EXPECT_EQ(table.value().file(), name);
  EXPECT_EQ(table.value().number(0, 1).value(), 2.5);
  ASSERT_EQ(::truncate(name.c_str(), 17'000'000), 0);
  EXPECT_EQ(read_csv(name).issues()[0].code, "file_too_large");
  std::filesystem::remove(name);
  EXPECT_EQ(read_csv(name).issues()[0].code, "missing_file");
  EXPECT_EQ(read_csv("/").issues()[0].code, "not_a_file");
}

}  // namespace
}  // namespace corefeed::model
