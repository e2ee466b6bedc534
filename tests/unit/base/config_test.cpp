/// Every mistake of the operator's is one line: file, line, key, value, rule.

#include "server/base/config.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace fixwright {
namespace {

using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

/// The file, which must be TOML.
ConfigFile file_of(std::string_view toml) {
  auto file = ConfigFile::from_text(toml, "server.toml");
  EXPECT_TRUE(file.ok()) << file.error();
  return std::move(file).value();
}

constexpr NumberRule kLateness{.min = 1, .max = 3600, .fallback = 60};

TEST(Config, ValuesAreReadByTypeAndAbsentOnesHaveTheirDefault) {
  const ConfigFile file = file_of(R"(
name = "osmere"
[align]
lateness_s = 30
slack_s = 2.5
workers = 4
replay = true
words = ["a", "b"]
)");
  const ConfigTable root = file.root();
  const ConfigTable align = root.table("align");
  EXPECT_EQ(root.text("name"), "osmere");
  EXPECT_EQ(align.number("lateness_s", kLateness), 30.0);  // a whole number is a number
  EXPECT_EQ(align.number("slack_s", {.min = 0, .max = 60}), 2.5);
  EXPECT_EQ(align.integer("workers", {.min = 1, .max = 64}), 4);
  EXPECT_TRUE(align.flag("replay", false));
  EXPECT_THAT(align.texts("words"), ElementsAre("a", "b"));
  EXPECT_EQ(align.number("idle_s", {.min = 1, .max = 60, .fallback = 10}), 10.0);
  EXPECT_EQ(align.integer("batch", {.min = 1, .max = 60, .fallback = 7}), 7);
  EXPECT_EQ(align.text("mode", {.fallback = "live"}), "live");
  EXPECT_THAT(align.texts("others"), IsEmpty());
  EXPECT_TRUE(root.table("absent").flag("on", true));
  EXPECT_THAT(file.problems(), IsEmpty());
}

TEST(Config, NumberOutOfRangeIsToldWithItsPlaceAndTheDefaultIsUsed) {
  const ConfigFile file = file_of("\n[align]\nlateness_s = 0\n");
  EXPECT_EQ(file.root().table("align").number("lateness_s", kLateness), 60.0);
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:3: align.lateness_s = 0: must be 1 to 3600"));
}

TEST(Config, EndsOfARangeBelongToIt) {
  const ConfigFile file = file_of("a = 1\nb = 3600.0\nc = 3600.5\nd = 0.99\n");
  EXPECT_EQ(file.root().number("a", kLateness), 1.0);
  EXPECT_EQ(file.root().number("b", kLateness), 3600.0);
  EXPECT_EQ(file.root().number("c", kLateness), 60.0);
  EXPECT_EQ(file.root().number("d", kLateness), 60.0);
  EXPECT_THAT(file.problems(), ElementsAre("server.toml:3: c = 3600.5: must be 1 to 3600",
                                           "server.toml:4: d = 0.99: must be 1 to 3600"));
}

// TOML 1.0.0 allows nan and inf as floats; no key of ours does.
TEST(Config, NanAndInfinityAreOutOfEveryFiniteRange) {
  const ConfigFile file = file_of("a = nan\nb = inf\nc = -inf\n");
  for (const char* key : {"a", "b", "c"}) {
    EXPECT_EQ(file.root().number(key, kLateness), 60.0);
  }
  EXPECT_THAT(file.problems(), ElementsAre("server.toml:1: a = nan: must be 1 to 3600",
                                           "server.toml:2: b = inf: must be 1 to 3600",
                                           "server.toml:3: c = -inf: must be 1 to 3600"));
}

TEST(Config, RangeWithoutAnEndSaysSo) {
  const ConfigFile file = file_of("a = -1\nb = 5\n");
  const ConfigTable root = file.root();
  EXPECT_EQ(root.integer("a", {.min = 0, .max = std::numeric_limits<std::int64_t>::max()}), 0);
  EXPECT_EQ(root.number("b", {.min = -INFINITY, .max = 1}), 0.0);
  EXPECT_THAT(file.problems(), ElementsAre("server.toml:1: a = -1: must be 0 or more",
                                           "server.toml:2: b = 5: must be 1 or less"));
}

TEST(Config, WrongTypesAreToldWithWhatWasWantedInstead) {
  const ConfigFile file = file_of(R"(a = "12"
b = 1.5
c = 7
d = "yes"
e = [1, 2]
f = 3
g = "x"
h = 1979-05-27
i = {x = 1}
)");
  const ConfigTable root = file.root();
  EXPECT_EQ(root.number("a", kLateness), 60.0);
  EXPECT_EQ(root.integer("b", {.min = 1, .max = 9, .fallback = 5}), 5);
  EXPECT_EQ(root.text("c"), "");
  EXPECT_FALSE(root.flag("d", false));
  EXPECT_THAT(root.texts("e"), IsEmpty());
  EXPECT_EQ(root.table("f").number("x", kLateness), 60.0);
  EXPECT_THAT(root.tables("g"), IsEmpty());
  EXPECT_EQ(root.text("h"), "");
  EXPECT_EQ(root.number("i", kLateness), 60.0);
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:1: a = \"12\": must be a number, 1 to 3600",
                          "server.toml:2: b = 1.5: must be a whole number, 1 to 9",
                          "server.toml:3: c = 7: must be text in quotes",
                          "server.toml:4: d = \"yes\": must be true or false",
                          "server.toml:5: e = a list: must be a list of texts, like [\"a\", \"b\"]",
                          "server.toml:6: f = 3: must be a table, [f]",
                          "server.toml:7: g = \"x\": must be a list of tables, [[g]]",
                          "server.toml:8: h = a date or time: must be text in quotes",
                          "server.toml:9: i = a table: must be a number, 1 to 3600"));
}

TEST(Config, MissingKeysAreToldAtTheirTable) {
  const ConfigFile file = file_of("x = 1\n\n[store]\nport = 5432\n");
  const ConfigTable root = file.root();
  EXPECT_EQ(root.integer("x", {.min = 0, .max = 9}), 1);
  const ConfigTable store = root.table("store");
  EXPECT_EQ(store.integer("port", {.min = 1, .max = 65535}), 5432);
  EXPECT_EQ(store.text("database", {.required = true}), "");
  EXPECT_EQ(root.table("align").number("lateness_s", {.min = 1, .max = 9, .required = true}), 0.0);
  EXPECT_THAT(
      file.problems(),
      ElementsAre("server.toml:1: align.lateness_s: missing: must be a number, 1 to 9",
                  "server.toml:3: store.database: missing: must be text in quotes, not empty"));
}

TEST(Config, RequiredTextIsNotEmpty) {
  const ConfigFile file = file_of("a = \"\"\nb = \"\"\n");
  EXPECT_EQ(file.root().text("a", {.required = true}), "");
  EXPECT_EQ(file.root().text("b"), "");
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:1: a = \"\": must be text in quotes, not empty"));
}

TEST(Config, WordOutsideTheListIsToldWithTheList) {
  const ConfigFile file = file_of("mode = \"fast\\nforged\"\n");
  EXPECT_EQ(file.root().text("mode", {.fallback = "live", .one_of = {"live", "replay"}}), "live");
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:1: mode = \"fast\\nforged\": must be one of live, replay"));
}

TEST(Config, UnknownKeyIsToldWithTheNearestKnownOne) {
  const ConfigFile file = file_of("[align]\nlatness_s = 3\n[algin]\nlateness_s = 4\n");
  EXPECT_EQ(file.root().table("align").number("lateness_s", kLateness), 60.0);
  EXPECT_THAT(
      file.problems(),
      ElementsAre("server.toml:2: align.latness_s: unknown key; did you mean align.lateness_s?",
                  "server.toml:3: algin: unknown table; did you mean align?"));
}

TEST(Config, UnknownKeyThatIsKnownElsewhereIsToldWhere) {
  const ConfigFile file = file_of("lateness_s = 3\nzebra = 1\n");
  EXPECT_EQ(file.root().table("align").number("lateness_s", kLateness), 60.0);
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:1: lateness_s: unknown key; it is known as align.lateness_s",
                          "server.toml:2: zebra: unknown key; remove it"));
}

TEST(Config, ListOfTablesIsReadInOrderAndItsMistakesAreNumbered) {
  const ConfigFile file = file_of(R"([[station]]
name = "LANTERN-HEAD"
[[station]]
nmae = "MOSS-RIDGE"
)");
  const auto stations = file.root().tables("station");
  ASSERT_EQ(stations.size(), 2U);
  EXPECT_EQ(stations[0].text("name", {.required = true}), "LANTERN-HEAD");
  EXPECT_EQ(stations[1].text("name", {.required = true}), "");
  EXPECT_THAT(
      file.problems(),
      ElementsAre("server.toml:3: station[2].name: missing: must be text in quotes, not empty",
                  "server.toml:4: station[2].nmae: unknown key; did you mean station[2].name?"));
}

TEST(Config, KeysOfTheUsersOwnAreAllKnown) {
  const ConfigFile file = file_of("[fields]\nbrg = \"azimuth\"\nfrq = 3\n");
  const ConfigTable fields = file.root().table("fields");
  EXPECT_THAT(fields.keys(), ElementsAre("brg", "frq"));
  EXPECT_THAT(file.problems(), IsEmpty());
  fields.complain("frq", "must be the name of a field");
  EXPECT_THAT(file.problems(),
              ElementsAre("server.toml:3: fields.frq = 3: must be the name of a field"));
}

TEST(Config, AskingWhetherAKeyIsThereMakesItKnown) {
  const ConfigFile file = file_of("a = 1\n");
  EXPECT_TRUE(file.root().has("a"));
  EXPECT_FALSE(file.root().has("b"));
  EXPECT_THAT(file.problems(), IsEmpty());
}

TEST(Config, MistakeIsToldOnceHoweverOftenItsKeyIsRead) {
  const ConfigFile file = file_of("a = 0\n");
  EXPECT_EQ(file.root().number("a", kLateness), 60.0);
  EXPECT_EQ(file.root().number("a", kLateness), 60.0);
  EXPECT_EQ(file.problems().size(), 1U);
}

TEST(Config, StaysValidWhenTheFileIsMoved) {
  ConfigFile file = file_of("a = 0\n");
  const ConfigTable root = file.root();
  const ConfigFile moved = std::move(file);
  EXPECT_EQ(root.number("a", kLateness), 60.0);
  EXPECT_EQ(moved.problems().size(), 1U);
}

TEST(Config, CommonSpellingsOfAFileAreRead) {
  const ConfigFile file = file_of(
      "\xEF\xBB\xBF"
      "a = 1\r\n[b]\r\nc = \"ü\"");
  EXPECT_EQ(file.root().integer("a", {.min = 0, .max = 9}), 1);
  EXPECT_EQ(file.root().table("b").text("c"), "ü");
  EXPECT_THAT(file.problems(), IsEmpty());
}

}  // namespace
}  // namespace fixwright
