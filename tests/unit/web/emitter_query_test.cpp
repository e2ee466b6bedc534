#include "server/web/http/emitter_query.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::web {
namespace {

Result<EmitterFilter> filter_of(const std::string& query) {
  return emitter_filter(parse_target("/api/emitters?" + query).value());
}

TEST(EmitterQuery, EveryKeyReachesTheFilter) {
  const auto filter = filter_of(
      "state=confirmed&state=silent&min_frequency_hz=430e6&max_frequency_hz=440000000"
      "&heard_since=2030-01-01T00:00:00Z&limit=7");
  ASSERT_TRUE(filter.ok()) << filter.error();
  EXPECT_THAT(filter->states, testing::ElementsAre(EmitterState::confirmed, EmitterState::silent));
  EXPECT_EQ(filter->min_frequency_hz, 430e6);
  EXPECT_EQ(filter->max_frequency_hz, 440e6);
  EXPECT_EQ(filter->heard_since, parse_rfc3339("2030-01-01T00:00:00Z").value());
  EXPECT_EQ(filter->limit, 7U);
}

TEST(EmitterQuery, WithoutAQueryAThousandEmittersOfEveryLivingStateAreAsked) {
  const auto filter = filter_of("");
  EXPECT_TRUE(filter->states.empty());
  EXPECT_EQ(filter->limit, 1000U);
}

struct Refused {
  const char* query;
  const char* line;
};

class EmitterQueryRefuses : public testing::TestWithParam<Refused> {};

TEST_P(EmitterQueryRefuses, WithOneLineThatNamesKeyValueAndRule) {
  const auto filter = filter_of(GetParam().query);
  ASSERT_FALSE(filter.ok());
  EXPECT_EQ(filter.error(), GetParam().line);
}

INSTANTIATE_TEST_SUITE_P(
    BadValues, EmitterQueryRefuses,
    testing::Values(
        Refused{"limit=0", "query: limit = 0: must be 1 to 10000"},
        Refused{"limit=10001", "query: limit = 10001: must be 1 to 10000"},
        Refused{"limit=-1", "query: limit = -1: must be 1 to 10000"},
        Refused{"limit=5x", "query: limit = 5x: must be 1 to 10000"},
        Refused{"limit=", "query: limit = : must be 1 to 10000"},
        Refused{"state=loud",
                "query: state = loud: must be tentative, confirmed, silent or retired"},
        Refused{"min_frequency_hz=nan", "query: min_frequency_hz = nan: must be hertz, 0 or more"},
        Refused{"max_frequency_hz=-5", "query: max_frequency_hz = -5: must be hertz, 0 or more"},
        Refused{"limit=1&limit=2", "query: limit = 2: given twice"},
        Refused{"colour=red", "query: colour: unknown key"}));

TEST(EmitterQuery, ATimeWithoutAZoneIsRefused) {
  const auto filter = filter_of("heard_since=2030-01-01T00:00:00");
  ASSERT_FALSE(filter.ok());
  EXPECT_THAT(filter.error(), testing::StartsWith("query: heard_since = 2030-01-01T00:00:00: "));
}

}  // namespace
}  // namespace fixwright::web
