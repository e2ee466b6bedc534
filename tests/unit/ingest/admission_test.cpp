/// What a session adds to the rules of one bearing: order, rate, place, counting.

#include <gmock/gmock.h>

#include "tests/unit/ingest/ingest_fixture.hpp"

namespace fixwright::ingest {
namespace {

using testing::HasSubstr;

RefusalReason reason_of(const std::variant<Bearing, BearingRefusal>& outcome) {
  return std::get<BearingRefusal>(outcome).reason;
}

TEST_F(AdmissionTest, AnAdmittedBearingHasStationStreamChannelAndPlaceFilledIn) {
  Admission a = admission();
  const auto outcome = a.admit(sound(5));
  Bearing expected = sound(5);
  expected.key = {kStation, kStream, 5};
  expected.channel = 12;
  expected.station_position = {41.020, -150.120};
  ASSERT_TRUE(std::holds_alternative<Bearing>(outcome));
  EXPECT_EQ(std::get<Bearing>(outcome), expected);
  EXPECT_EQ(
      metrics.counter("fixwright_bearings_admitted", "", {{"station", "QUILL-POINT"}}).value(), 1U);
}

TEST_F(AdmissionTest, ASequenceThatGoesBackOrRepeatsIsRefusedAndMovesNothing) {
  Admission a = admission();
  ASSERT_TRUE(std::holds_alternative<Bearing>(a.admit(sound(8))));
  EXPECT_EQ(reason_of(a.admit(sound(8))), RefusalReason::sequence_order);
  const auto back = a.admit(sound(3));
  EXPECT_EQ(reason_of(back), RefusalReason::sequence_order);
  EXPECT_THAT(std::get<BearingRefusal>(back).message, HasSubstr("the last was 8"));
  EXPECT_EQ(a.handled_sequence(), 8U);
  EXPECT_TRUE(std::holds_alternative<Bearing>(a.admit(sound(9)))) << "nothing else is lost";
}

TEST_F(AdmissionTest, ASequenceOutsideOneToInt64MaxIsRefusedAndNotAcknowledged) {
  Admission a = admission();
  EXPECT_EQ(reason_of(a.admit(sound(0))), RefusalReason::sequence_order);
  EXPECT_EQ(reason_of(a.admit(sound(1ULL << 63U))), RefusalReason::sequence_order);
  EXPECT_EQ(a.handled_sequence(), 0U);
}

TEST_F(AdmissionTest, AGapInTheSequenceIsNotARefusal) {
  Admission a = admission();
  ASSERT_TRUE(std::holds_alternative<Bearing>(a.admit(sound(1))));
  EXPECT_TRUE(std::holds_alternative<Bearing>(a.admit(sound(1000))));
}

TEST_F(AdmissionTest, TheRateCountsAcrossSessionsOfTheStation) {
  RateLimiter tight{1.0, 2.0, clock};  // two at once, then one a second
  Admission first(quill_point(), 1, {}, channels, tight, clock, metrics);
  Admission second(quill_point(), 2, {}, channels, tight, clock, metrics);
  ASSERT_TRUE(std::holds_alternative<Bearing>(first.admit(sound(1))));
  ASSERT_TRUE(std::holds_alternative<Bearing>(first.admit(sound(2))));
  EXPECT_EQ(reason_of(second.admit(sound(1))), RefusalReason::rate);
  EXPECT_EQ(refused("rate"), 1U);
  clock.advance(std::chrono::seconds{1});
  EXPECT_TRUE(std::holds_alternative<Bearing>(second.admit(sound(2))));
}

TEST_F(AdmissionTest, AMovingStationKeepsThePlaceEachBearingStates) {
  Admission a = of_vehicle();
  Bearing b = sound(1);
  b.station_moves = true;
  b.station_position = {41.1, -150.3};
  b.station_sigma_m = 4.5;
  const auto outcome = a.admit(b);
  ASSERT_TRUE(std::holds_alternative<Bearing>(outcome));
  EXPECT_EQ(std::get<Bearing>(outcome).station_sigma_m, 4.5);
  EXPECT_EQ(std::get<Bearing>(outcome).station_position, (GeoPoint{41.1, -150.3}));
}

TEST_F(AdmissionTest, AMovingStationWithoutAPlaceOrWithNoneOnEarthIsRefused) {
  Admission a = of_vehicle();
  EXPECT_EQ(reason_of(a.admit(sound(1))), RefusalReason::position);
  Bearing b = sound(2);
  b.station_moves = true;
  for (const GeoPoint wrong :
       {GeoPoint{90.1, 0.0}, GeoPoint{0.0, 180.0}, GeoPoint{kNan, 0.0}, GeoPoint{0.0, kNan}}) {
    b.station_position = wrong;
    EXPECT_EQ(reason_of(a.admit(b)), RefusalReason::position);
    ++b.key.sequence;
  }
  b.station_position = {41.1, -150.3};
  for (const double wrong : {-1.0, 100'001.0, kNan}) {
    b.station_sigma_m = wrong;
    EXPECT_EQ(reason_of(a.admit(b)), RefusalReason::position);
    ++b.key.sequence;
  }
}

TEST_F(AdmissionTest, AHeartbeatAheadOfTheServersClockMayNotMoveTheWatermark) {
  const Admission a = admission();
  Heartbeat h;
  h.low_watermark = clock.now() + std::chrono::seconds{1};
  EXPECT_FALSE(a.heartbeat_problem(h).has_value());
  h.low_watermark = clock.now() + std::chrono::hours{1};
  EXPECT_THAT(a.heartbeat_problem(h).value(), HasSubstr("3600.000 s ahead"));
  h.clock_error = std::chrono::hours{1};
  EXPECT_FALSE(a.heartbeat_problem(h).has_value()) << "its own bound admits it";
  h.low_watermark = TimePoint::min();
  EXPECT_THAT(a.heartbeat_problem(h).value(), HasSubstr("missing"));
}

}  // namespace
}  // namespace fixwright::ingest
