/// CSV against RFC 4180 (Y. Shafranovich, 2005), section 2: the rule's number beside each test.

#include "server/base/csv.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <sstream>

namespace fixwright {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

struct Outcome {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::size_t> lines;
  std::vector<std::string> problems;
};

Outcome read_all(const std::string& text, CsvFormat format = {}) {
  std::istringstream in{text};
  CsvReader reader{in, "log.csv", format};
  Outcome outcome;
  while (auto row = reader.next()) {
    if (!*row) {
      outcome.problems.push_back(row->error());
      continue;
    }
    outcome.rows.push_back((*row)->fields);
    outcome.lines.push_back((*row)->line);
  }
  return outcome;
}

TEST(CsvReader, RecordsEndWithCrlfOrLfAndTheLastNeedsNone) {  // rules 1 and 2
  const auto got = read_all("aaa,bbb,ccc\r\nzzz,yyy,xxx\n1,2,3");
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("aaa", "bbb", "ccc"),
                                    ElementsAre("zzz", "yyy", "xxx"), ElementsAre("1", "2", "3")));
  EXPECT_THAT(got.lines, ElementsAre(1, 2, 3));
}

TEST(CsvReader, SpacesArePartOfAFieldAndATrailingCommaOpensAnEmptyOne) {  // rule 4
  EXPECT_THAT(read_all("a, b ,\n").rows, ElementsAre(ElementsAre("a", " b ", "")));
}

TEST(CsvReader, QuotedFieldsHoldCommasQuotesAndLineBreaks) {  // rules 5 to 7, its own examples
  const auto got = read_all("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,\"y,y\",\"b\"\"bb\"\r\n");
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("aaa", "b\r\nbb", "ccc"),
                                    ElementsAre("zzz", "y,y", "b\"bb")));
  EXPECT_THAT(got.lines, ElementsAre(1, 3));
}

TEST(CsvReader, ByteOrderMarkAndBlankLinesArePassedOver) {
  const auto got = read_all(
      "\xEF\xBB\xBF"
      "a,b\n\n\r\n1,2\n");
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("a", "b"), ElementsAre("1", "2")));
  EXPECT_THAT(got.lines, ElementsAre(1, 4));
}

TEST(CsvReader, QuoteNeverClosedCostsItsOwnLineOnly) {
  const auto got = read_all("a,\"b\n1,2\n3,4\n");
  EXPECT_THAT(got.problems, ElementsAre("log.csv:1: a quote is never closed"));
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("1", "2"), ElementsAre("3", "4")));
}

TEST(CsvReader, QuotesInTheWrongPlaceAreRefused) {
  const auto got = read_all("a,6\" mast\"\n\"x\"y\"\"\n1,2\n");
  ASSERT_EQ(got.problems.size(), 2U);
  EXPECT_THAT(got.problems[0], HasSubstr("log.csv:1: a quote inside a field"));
  EXPECT_THAT(got.problems[1], HasSubstr("log.csv:2: text after a closing quote"));
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("1", "2")));
}

TEST(CsvReader, TenMegabyteLineIsRefusedAndTheNextIsRead) {
  const auto got = read_all(std::string(10'000'000, 'x') + "\n1,2\n");
  EXPECT_THAT(got.problems, ElementsAre("log.csv:1: record is longer than 65536 bytes"));
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("1", "2")));
}

TEST(CsvReader, Latin1AndNulBytesAreRefusedByLine) {
  using namespace std::string_literals;
  const auto got = read_all("H\xF8yden,1\nx,2\nb\0c,3\n"s);
  ASSERT_EQ(got.problems.size(), 2U);
  EXPECT_THAT(got.problems[0], HasSubstr("log.csv:1: text is not UTF-8"));
  EXPECT_THAT(got.problems[1], HasSubstr("log.csv:3: text holds a NUL byte"));
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("x", "2")));
}

TEST(CsvReader, TooManyFieldsAreRefused) {
  const auto got = read_all("1,2,3\n1,2\n", {.max_fields = 2});
  EXPECT_THAT(got.problems, ElementsAre("log.csv:1: more than 2 fields"));
  EXPECT_THAT(got.rows, ElementsAre(ElementsAre("1", "2")));
}

TEST(CsvReader, EmptyFileHasNoRows) {
  EXPECT_THAT(read_all("").rows, IsEmpty());
  EXPECT_THAT(read_all("\n\n").problems, IsEmpty());
}

TEST(CsvColumns, AreFoundInAnyOrderAndCaseAndExtraOnesIgnored) {
  constexpr std::array<std::string_view, 2> kWanted{"time", "azimuth_deg"};
  constexpr std::array<std::string_view, 1> kMaybe{"label"};
  const auto columns = CsvColumns::find({1, {"Note", " AZIMUTH_DEG ", "time"}}, kWanted, kMaybe);
  ASSERT_TRUE(columns.ok());
  const CsvRow row{2, {"n", " 12.5", "10:00"}};
  EXPECT_EQ(columns->field(row, "azimuth_deg"), "12.5");
  EXPECT_EQ(columns->field(row, "time"), "10:00");
  EXPECT_FALSE(columns->has("label"));
  EXPECT_EQ(columns->field(row, "label"), "");
  EXPECT_EQ(columns->field({3, {"n"}}, "time"), "");
}

TEST(CsvColumns, MissingAndDoubleNamesAreOneLineEach) {
  constexpr std::array<std::string_view, 1> kWanted{"time"};
  const auto missing = CsvColumns::find({1, {"a"}}, kWanted, {}, "log.csv");
  ASSERT_FALSE(missing.ok());
  EXPECT_EQ(missing.error(),
            "log.csv:1: column time is missing; the first line must name the columns");
  const auto twice = CsvColumns::find({1, {"time", "Time"}}, kWanted, {}, "log.csv");
  ASSERT_FALSE(twice.ok());
  EXPECT_EQ(twice.error(), "log.csv:1: column time appears twice");
}

TEST(ParseNumber, TakesWholeFiniteNumbersOnly) {
  EXPECT_EQ(parse_number("433920000"), 433920000.0);
  EXPECT_EQ(parse_number("+1.5e3"), 1500.0);
  EXPECT_EQ(parse_number("-150.45"), -150.45);
  for (const auto* bad : {"", "nan", "inf", "12 deg", "1,5", "0x1p3", "+-1", "1e999", " 1"}) {
    EXPECT_FALSE(parse_number(bad).has_value()) << bad;
  }
}

TEST(CsvRow, WrittenRowsReadBackTheSame) {
  const std::vector<std::string> fields{"plain", "a,b", "say \"hi\"", "two\nlines", "", " x "};
  const auto got = read_all(csv_row(fields) + csv_row(std::vector<std::string>{"", "1"}));
  EXPECT_THAT(got.problems, IsEmpty());
  ASSERT_EQ(got.rows.size(), 2U);
  EXPECT_EQ(got.rows[0], fields);
  EXPECT_THAT(got.rows[1], ElementsAre("", "1"));
}

}  // namespace
}  // namespace fixwright
