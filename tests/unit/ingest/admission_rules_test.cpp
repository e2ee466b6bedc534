/// Every rule on one bearing: one value just outside and one just inside, and the word it gets.
/// Ranges are those of proto/fixwright/station/v1/station.proto.

#include <gmock/gmock.h>

#include <cmath>
#include <functional>
#include <ostream>
#include <set>
#include <string>
#include <vector>

#include "tests/unit/ingest/ingest_fixture.hpp"

namespace fixwright::ingest {
namespace {

using std::chrono::hours;
using std::chrono::nanoseconds;
using std::chrono::seconds;
using testing::HasSubstr;

struct Case {
  std::string name;
  std::function<void(Bearing&)> break_it;
  std::string reason;  // empty: still admitted
  std::string says;    // part of the message
};
void PrintTo(const Case& c, std::ostream* os) { *os << c.name; }

std::string case_name(const testing::TestParamInfo<Case>& info) { return info.param.name; }

class BearingRule : public AdmissionTest, public testing::WithParamInterface<Case> {};

TEST_P(BearingRule, IsHeldAtItsEdge) {
  Admission a = admission();
  Bearing b = sound();
  GetParam().break_it(b);
  const auto outcome = a.admit(b);
  if (GetParam().reason.empty()) {
    EXPECT_TRUE(std::holds_alternative<Bearing>(outcome));
    return;
  }
  ASSERT_TRUE(std::holds_alternative<BearingRefusal>(outcome));
  const auto& refusal = std::get<BearingRefusal>(outcome);
  EXPECT_EQ(to_string(refusal.reason), GetParam().reason);
  EXPECT_THAT(refusal.message, testing::StartsWith("station QUILL-POINT: bearing 1 refused: "));
  EXPECT_THAT(refusal.message, HasSubstr(GetParam().says));
  EXPECT_THAT(refusal.message, HasSubstr("; ")) << "says nothing about what to do";
  EXPECT_THAT(refusal.message, testing::Not(HasSubstr("\n")));
  EXPECT_EQ(refused(GetParam().reason), 1U);
  EXPECT_EQ(a.handled_sequence(), 1U) << "a refused bearing is handled";
}

std::vector<Case> azimuth_and_sigma() {
  return {
      {"azimuth_361_5", [](Bearing& b) { b.azimuth_deg = 361.5; }, "azimuth_range",
       "azimuth 361.5 deg is outside [0, 360)"},
      {"azimuth_360", [](Bearing& b) { b.azimuth_deg = 360.0; }, "azimuth_range", "360"},
      {"azimuth_below_360", [](Bearing& b) { b.azimuth_deg = std::nextafter(360.0, 0.0); }, "", ""},
      {"azimuth_0", [](Bearing& b) { b.azimuth_deg = 0.0; }, "", ""},
      {"azimuth_minus", [](Bearing& b) { b.azimuth_deg = -1e-9; }, "azimuth_range", "-1e-09"},
      {"azimuth_nan", [](Bearing& b) { b.azimuth_deg = kNan; }, "azimuth_range", "nan"},
      {"azimuth_inf", [](Bearing& b) { b.azimuth_deg = kInf; }, "azimuth_range", "inf"},
      {"sigma_0", [](Bearing& b) { b.sigma_deg = 0.0; }, "sigma_range", "sigma 0 deg"},
      {"sigma_nan", [](Bearing& b) { b.sigma_deg = kNan; }, "sigma_range", "nan"},
      {"sigma_90", [](Bearing& b) { b.sigma_deg = 90.0; }, "", ""},
      {"sigma_past_90", [](Bearing& b) { b.sigma_deg = 90.001; }, "sigma_range", "90.001"},
      {"alternatives_8",
       [](Bearing& b) {
         b.alternatives.assign(8, {10.0, 0.5});
       },
       "", ""},
      {"alternatives_9",
       [](Bearing& b) {
         b.alternatives.assign(9, {10.0, 0.5});
       },
       "alternative_range", "9 alternative azimuths"},
      {"alternative_azimuth",
       [](Bearing& b) {
         b.alternatives = {{10.0, 1.0}, {400.0, 0.5}};
       },
       "alternative_range", "400 deg of weight 0.5"},
      {"alternative_weight_0",
       [](Bearing& b) {
         b.alternatives = {{10.0, 0.0}};
       },
       "alternative_range", "weight 0"},
      {"alternative_weight_nan",
       [](Bearing& b) {
         b.alternatives = {{10.0, kNan}};
       },
       "alternative_range", "weight nan"}};
}
INSTANTIATE_TEST_SUITE_P(Azimuths, BearingRule, testing::ValuesIn(azimuth_and_sigma()), case_name);

std::vector<Case> signal() {
  return {
      {"frequency_0", [](Bearing& b) { b.frequency_hz = 0.0; }, "frequency_range",
       "frequency 0 Hz is outside (0, 3e11]"},
      {"frequency_nan", [](Bearing& b) { b.frequency_hz = kNan; }, "frequency_range", "nan"},
      {"frequency_300_ghz", [](Bearing& b) { b.frequency_hz = 3e11; }, "", ""},
      {"frequency_past_300_ghz", [](Bearing& b) { b.frequency_hz = 3.1e11; }, "frequency_range",
       "outside"},
      {"bandwidth_0", [](Bearing& b) { b.bandwidth_hz = 0.0; }, "bandwidth_range", "bandwidth 0"},
      {"bandwidth_nan", [](Bearing& b) { b.bandwidth_hz = kNan; }, "bandwidth_range", "nan"},
      {"snr_nan", [](Bearing& b) { b.snr_db = kNan; }, "level_range", "SNR nan"},
      {"level_0", [](Bearing& b) { b.level_dbfs = 0.0; }, "", ""},
      {"level_above_full_scale", [](Bearing& b) { b.level_dbfs = 0.5; }, "level_range",
       "level 0.5 dBFS"},
      {"field_strength_inf", [](Bearing& b) { b.field_strength_dbuv_per_m = -kInf; }, "level_range",
       "field strength"},
      {"label_64", [](Bearing& b) { b.label = std::string(64, 'a'); }, "", ""},
      {"label_65", [](Bearing& b) { b.label = std::string(65, 'a'); }, "label_range", "65 bytes"},
      {"label_forges_a_log_line", [](Bearing& b) { b.label = "a\nstation X: lost"; }, "label_range",
       "control characters"},
      {"channel_of_the_plan", [](Bearing& b) { b.channel = 12; }, "", ""},
      {"channel_unknown", [](Bearing& b) { b.channel = 13; }, "channel",
       "channel 13 does not hold 156800000 Hz"},
      {"channel_negative", [](Bearing& b) { b.channel = -1; }, "channel", "-1"},
      {"channel_elsewhere", [](Bearing& b) { b.channel = 12, b.frequency_hz = 156.9e6; }, "channel",
       "156900000"}};
}
INSTANTIATE_TEST_SUITE_P(Signals, BearingRule, testing::ValuesIn(signal()), case_name);

std::vector<Case> time_and_place() {
  return {{"no_start", [](Bearing& b) { b.start = TimePoint::min(); }, "time_range", "missing"},
          {"start_past_2261", [](Bearing& b) { b.start = TimePoint::max(); }, "time_range", "2261"},
          {"nearly_no_start", [](Bearing& b) { b.start = TimePoint::min() + hours{24 * 110}; },
           "clock", "days old"},
          {"no_clock_error", [](Bearing& b) { b.clock_error = Duration::min(); },
           "clock_error_range", "no clock error"},
          {"clock_error_negative", [](Bearing& b) { b.clock_error = nanoseconds{-1}; },
           "clock_error_range", "outside [0, 3600]"},
          {"an_hour_ahead", [](Bearing& b) { b.start += hours{1}; }, "clock", "ahead"},
          {"two_seconds_ahead", [](Bearing& b) { b.start += seconds{2}; }, "", ""},
          {"ahead_within_its_own_error",
           [](Bearing& b) { b.start += seconds{9}, b.clock_error = seconds{8}; }, "", ""},
          {"ahead_past_its_own_error",
           [](Bearing& b) { b.start += seconds{11}, b.clock_error = seconds{8}; }, "clock",
           "at most 10.000"},
          {"a_year_old", [](Bearing& b) { b.start -= hours{24 * 365}; }, "", ""},
          {"too_old", [](Bearing& b) { b.start -= hours{24 * 401}; }, "clock", "401.0 days old"},
          {"integration_negative", [](Bearing& b) { b.integration = nanoseconds{-1}; },
           "integration_range", "outside [0, 60]"},
          {"integration_60", [](Bearing& b) { b.integration = seconds{60}; }, "", ""},
          {"integration_huge", [](Bearing& b) { b.integration = Duration::max(); },
           "integration_range", "outside [0, 60]"},
          {"fixed_station_with_position", [](Bearing& b) { b.station_moves = true; }, "position",
           "registered as fixed"}};
}
INSTANTIATE_TEST_SUITE_P(TimesAndPlaces, BearingRule, testing::ValuesIn(time_and_place()),
                         case_name);

TEST(RefusalReasonWords, AreAllDifferentAndFitForALabel) {
  std::set<std::string_view> words;
  for (const RefusalReason r : kRefusalReasons) {
    EXPECT_THAT(std::string(to_string(r)), testing::MatchesRegex("[a-z_]+"));
    words.insert(to_string(r));
  }
  EXPECT_EQ(words.size(), kRefusalReasons.size());
}

}  // namespace
}  // namespace fixwright::ingest
