#include "server/rpc/emitter_paging.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <limits>

#include "tests/rpc/views.hpp"

namespace fixwright::rpc {
namespace {

using testing::HasSubstr;

std::string problem(const query_v1::ListEmittersRequest& request) {
  const auto filter = filter_of(request);
  return filter.ok() ? "accepted" : filter.error();
}

TEST(PageToken, ComesBackAtTheEdges) {
  constexpr std::int64_t kMin = std::numeric_limits<std::int64_t>::min();
  constexpr std::int64_t kMax = std::numeric_limits<std::int64_t>::max();
  for (const PagePlace& place : {PagePlace{TimePoint{Duration{kMin}}, {kMin, kMin}},
                                 PagePlace{TimePoint{Duration{kMax}}, {kMax, kMax}},
                                 PagePlace{at_second(1'900'000'000), {12, -5}}}) {
    EXPECT_EQ(parse_page_token(page_token(place)), place);
  }
}

TEST(PageToken, OfNobodyIsRefused) {
  for (const char* wrong :
       {"", "1", "1.2", "1.2.", "1.2.3.", "1.2.3.4", "1.2.x", "1.2.3 ", " 1.2.3", "+1.2.3", "1..3",
        "99999999999999999999.1.1", "..", "1.2.3\n"}) {
    EXPECT_EQ(parse_page_token(wrong), std::nullopt) << wrong;
  }
}

TEST(EmitterFilterOf, AnEmptyRequestAsksForAHundredOfAllButTheRetired) {
  const EmitterFilter filter = filter_of({}).value();
  EXPECT_TRUE(filter.states.empty());
  EXPECT_EQ(filter.limit, 100U);
  EXPECT_FALSE(filter.min_frequency_hz || filter.max_frequency_hz);
  EXPECT_FALSE(filter.heard_since.has_value());
  EXPECT_FALSE(filter.after.has_value());
}

TEST(EmitterFilterOf, EachFieldThatIsOffIsNamedWithValueAndRule) {
  query_v1::ListEmittersRequest r;
  r.add_states(query_v1::EMITTER_STATE_SILENT);
  r.add_states(query_v1::EMITTER_STATE_UNSPECIFIED);
  EXPECT_THAT(problem(r), HasSubstr("states[1] = 0: is no state"));
  r.Clear();
  r.set_min_frequency_hz(-1.0);
  EXPECT_THAT(problem(r), HasSubstr("min_frequency_hz = -1"));
  r.Clear();
  r.set_max_frequency_hz(std::numeric_limits<double>::infinity());
  EXPECT_THAT(problem(r), HasSubstr("max_frequency_hz = inf"));
  r.Clear();
  r.set_min_frequency_hz(2e8);
  r.set_max_frequency_hz(1e8);
  EXPECT_THAT(problem(r), HasSubstr("not below min_frequency_hz = 200000000"));
  r.Clear();
  r.mutable_heard_since()->set_seconds(253'402'300'799);  // year 9999
  EXPECT_THAT(problem(r), HasSubstr("heard_since = 253402300799 s"));
  r.Clear();
  r.set_page_size(1001);
  EXPECT_THAT(problem(r), HasSubstr("page_size = 1001"));
  r.set_page_size(1000);
  EXPECT_EQ(problem(r), "accepted");
}

}  // namespace
}  // namespace fixwright::rpc
