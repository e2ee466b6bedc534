#include "server/tools/named_query.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::tools {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

const QueryFile kBusy{"busy",
                      "-- How busy a channel is.\n"
                      "-- Nothing is guessed.\n"
                      "-- :channel bigint; channel_id\n"
                      "-- :share double precision [0, 1] = 0.5; smallest share\n"
                      "-- :until timestamptz = now; end\n"
                      "SELECT 1 WHERE 2 > :'share'::double precision AND 3 = :'channel'::bigint\n"
                      "  AND :'channel'::bigint > 0 AND now() < :'until'::timestamptz\n"};

NamedQuery busy() { return *parse_named_query(kBusy); }

std::string complaint(const std::map<std::string, std::string>& given) {
  const auto values = query_values(busy(), given);
  return values.ok() ? "" : values.error();
}

TEST(NamedQuery, HeaderSaysWhatItIsAndWhatItTakes) {
  const NamedQuery query = busy();
  EXPECT_EQ(query.about, "How busy a channel is. Nothing is guessed.");
  ASSERT_EQ(query.arguments.size(), 3U);
  EXPECT_EQ(query.arguments[0].kind, ArgumentKind::whole);
  EXPECT_FALSE(query.arguments[0].fallback.has_value());
  EXPECT_EQ(query.arguments[1].high, 1.0);
  EXPECT_EQ(query.arguments[1].fallback, "0.5");
  EXPECT_EQ(query.arguments[2].meaning, "end");
}

TEST(NamedQuery, NamesBecomeTheNumbersOfTheirArguments) {
  EXPECT_THAT(busy().select, HasSubstr("2 > $2::double precision AND 3 = $1::bigint"));
  EXPECT_THAT(busy().select, HasSubstr("$1::bigint > 0 AND now() < $3::timestamptz"));
}

TEST(NamedQuery, ValuesComeInTheirOrderWithDefaults) {
  EXPECT_THAT(*query_values(busy(), {{"until", "2031-05-04T10:00:00Z"}, {"channel", "12"}}),
              ElementsAre("12", "0.5", "2031-05-04T10:00:00Z"));
}

TEST(NamedQuery, WrongValueIsNamedWithItsRule) {
  EXPECT_EQ(complaint({}), "query busy: --channel is missing: channel_id");
  EXPECT_EQ(complaint({{"channel", "12.5"}}),
            "query busy: --channel 12.5: must be a whole number (channel_id)");
  EXPECT_EQ(complaint({{"channel", "12"}, {"share", "1.1"}}),
            "query busy: --share 1.1: must be a number from 0 to 1 (smallest share)");
  EXPECT_EQ(complaint({{"channel", "12"}, {"share", "nan"}}),
            "query busy: --share nan: must be a number from 0 to 1 (smallest share)");
  EXPECT_EQ(
      complaint({{"channel", "12"}, {"until", "monday"}}),
      "query busy: --until monday: must be a time such as 2031-05-04T10:15:00Z, or now (end)");
}

TEST(NamedQuery, FileThatIsNoneIsNamed) {
  const auto query =
      parse_named_query({"log", "-- A log.\n-- :log file; the log\nSELECT :'log'\n"});
  EXPECT_EQ(query_values(*query, {{"log", "/no/such/file"}}).error(),
            "query log: --log /no/such/file: must be a file with text in it (the log)");
}

TEST(NamedQuery, HeaderThatIsNoneIsNamedWithItsLine) {
  EXPECT_THAT(parse_named_query({"odd", "-- Odd.\n-- :x colour; what\nSELECT :'x'\n"}).error(),
              HasSubstr("sql/queries/odd.sql:2: is no argument"));
  EXPECT_EQ(parse_named_query({"odd", "-- Odd.\nSELECT :'x'::text\n"}).error(),
            "sql/queries/odd.sql: :'x' has no line in the header");
}

TEST(NamedQuery, EveryFileOfOursIsReadAndExplainsItself) {
  ASSERT_FALSE(query_files().empty());
  for (const QueryFile& file : query_files()) {
    const auto query = parse_named_query(file);
    ASSERT_TRUE(query.ok()) << query.error();
    EXPECT_NE(query->about, "") << file.name;
    for (const QueryArgument& argument : query->arguments) EXPECT_NE(argument.meaning, "");
  }
}

}  // namespace
}  // namespace fixwright::tools
