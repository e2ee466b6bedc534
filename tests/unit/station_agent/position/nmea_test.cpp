// What each sentence says, and what is refused.
#include "station_agent/position/nmea.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>

#include "station_agent/position/gpsd_report.hpp"

namespace fixwright::agent {
namespace {

using testing::HasSubstr;

/// A sentence of this body with its right sum.
std::string sentence(const std::string& body) {
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  return fmt::format("${}*{:02X}", body, sum);
}

NavReport report(const std::string& body) {
  const auto parsed = parse_sentence(sentence(body));
  EXPECT_TRUE(parsed.ok()) << body;
  const auto read = read_sentence(*parsed);
  EXPECT_TRUE(read.ok()) << (read.ok() ? "" : read.error());
  return read.ok() ? *read : NavReport{};
}

std::string refusal(const std::string& body) {
  const auto parsed = parse_sentence(sentence(body));
  if (!parsed) return parsed.error();
  const auto read = read_sentence(*parsed);
  return read ? "" : read.error();
}

constexpr double kKnot = 1852.0 / 3600.0;  // m/s, the international nautical mile

TEST(Nmea, FrameIsDollarAddressFieldsAndSum) {
  const auto parsed = parse_sentence("$GNGLL,1,,x*2B\r\n");
  ASSERT_TRUE(parsed.ok()) << parsed.error();
  EXPECT_EQ(parsed->talker, "GN");
  EXPECT_EQ(parsed->type, "GLL");
  EXPECT_THAT(parsed->fields, testing::ElementsAre("1", "", "x"));
  EXPECT_TRUE(parse_sentence("$HEHDT,178.3,T*22").ok());
  EXPECT_TRUE(parse_sentence(sentence("PABCD,1")).ok()) << "a maker's own";
}

TEST(Nmea, AnotherFrameIsRefusedInOneLine) {
  for (const std::string line : {"", "HEHDT,178.3,T*22", "$HEHDT,178.3,T", "$HEHDT,178.3,T*2",
                                 "$HEHDT,178.3,T*222", "$HEHDT,178.3,T*2G", "$HEHDT,178.4,T*22"}) {
    const auto parsed = parse_sentence(line);
    ASSERT_FALSE(parsed.ok()) << line;
    EXPECT_EQ(parsed.error().find('\n'), std::string::npos);
  }
  EXPECT_THAT(parse_sentence("$HEHDT,178.3,T").error(), HasSubstr("no checksum"));
  EXPECT_FALSE(parse_sentence(sentence("GPGLL," + std::string(300, '1'))).ok());
  EXPECT_FALSE(parse_sentence(sentence("HDT,178.3,T")).ok());
}

TEST(Nmea, GgaTellsPlaceTimeHdopAndHeight) {
  const NavReport r = report("GPGGA,101502.25,4112.345,N,15018.030,W,1,08,0.9,25.4,M,-10.0,M,,");
  EXPECT_EQ(r.time_of_day,
            std::chrono::hours{10} + std::chrono::minutes{15} + std::chrono::milliseconds{2250});
  EXPECT_NEAR(r.position->latitude_deg, 41.0 + 12.345 / 60.0, 1e-12);
  EXPECT_NEAR(r.position->longitude_deg, -150.0 - 18.030 / 60.0, 1e-12);
  EXPECT_EQ(r.hdop, 0.9);
  EXPECT_NEAR(*r.height_m, 15.4, 1e-9);
}

TEST(Nmea, RmcTellsDateSpeedCourseAndVariation) {
  const NavReport r = report("GNRMC,101502,A,4112.0,S,15018.0,E,20.0,359.5,040531,9.5,W,A");
  EXPECT_EQ(r.date, std::chrono::sys_days{std::chrono::May / 4 / 2031});
  EXPECT_NEAR(*r.speed_m_per_s, 20.0 * kKnot, 1e-12);
  EXPECT_EQ(r.course_deg, 359.5);
  EXPECT_EQ(r.variation_deg, -9.5);
  EXPECT_LT(r.position->latitude_deg, 0.0);
}

TEST(Nmea, VtgGstHdtThsAndHdgTellWhatIsTheirs) {
  const NavReport vtg = report("IIVTG,54.7,T,34.4,M,5.5,N,10.2,K,A");
  EXPECT_EQ(vtg.course_deg, 54.7);
  EXPECT_NEAR(*vtg.speed_m_per_s, 5.5 * kKnot, 1e-12);
  // Per axis: the root of the mean of both variances.
  EXPECT_NEAR(*report("GPGST,101502,1.1,2,1,30,3.0,4.0,5.0").sigma_m, std::sqrt(12.5), 1e-12);
  EXPECT_EQ(report("HEHDT,360.0,T").heading_deg, 0.0);
  EXPECT_EQ(report("HETHS,181.2,A").heading_deg, 181.2);
  const NavReport hdg = report("HCHDG,358.0,3.0,E,9.5,E");
  EXPECT_EQ(hdg.magnetic_heading_deg, 1.0);
  EXPECT_EQ(hdg.variation_deg, 9.5);
}

TEST(Nmea, NoFixSimulatedTypedInOrVoidTellsNothing) {
  for (const char* body : {"GPGGA,101502,4112.0,N,15018.0,W,0,00,99.9,,M,,M,,",
                           "GPGGA,101502,4112.0,N,15018.0,W,7,08,0.9,5,M,1,M,,",
                           "GPGGA,101502,4112.0,N,15018.0,W,8,08,0.9,5,M,1,M,,",
                           "GPRMC,101502,V,4112.0,N,15018.0,W,1,2,040531,,",
                           "GPRMC,101502,A,4112.0,N,15018.0,W,1,2,040531,,,N",
                           "GPRMC,101502,A,4112.0,N,15018.0,W,1,2,040531,,,S",
                           "GPGLL,4112.0,N,15018.0,W,101502,V", "GPVTG,54.7,T,,M,5.5,N,10.2,K,N",
                           "HETHS,181.2,V", "HETHS,181.2,S", "GPGSV,1,1,00", "PGRME,1,M"}) {
    const NavReport r = report(body);
    EXPECT_FALSE(r.position || r.speed_m_per_s || r.course_deg || r.heading_deg) << body;
  }
}

TEST(Nmea, AFieldOutOfItsRangeIsNamed) {
  EXPECT_THAT(refusal("GPGLL,4160.0,N,15018.0,W,101502,A"), HasSubstr("\"4160.0\""));
  EXPECT_THAT(refusal("GPGLL,9000.1,N,15018.0,W,101502,A"), HasSubstr("degrees and minutes"));
  EXPECT_THAT(refusal("GPGLL,4112.0,X,15018.0,W,101502,A"), HasSubstr("must be N or S"));
  EXPECT_THAT(refusal("GPGLL,4112.0,N,15018.0,W,251502,A"), HasSubstr("hhmmss"));
  EXPECT_THAT(refusal("HEHDT,360.1,T"), HasSubstr("0 to 360"));
  EXPECT_THAT(refusal("HEHDT,nan,T"), HasSubstr("must be a number"));
  EXPECT_THAT(refusal("GPRMC,101502,A,4112.0,N,15018.0,W,1,2,310231,,"), HasSubstr("ddmmyy"));
}

// The objects' fields as in gpsd_json(5).
TEST(Gpsd, TpvTellsPlaceErrorSpeedAndTrackAndAttTheHeading) {
  const auto tpv = read_gpsd(
      R"({"class":"TPV","mode":3,"time":"2031-05-04T10:15:02.250Z","lat":41.2,"lon":-150.3,)"
      R"("altHAE":5.5,"epx":3.0,"epy":4.0,"track":90.5,"speed":10.25,"magvar":9.5})");
  ASSERT_TRUE(tpv.ok());
  EXPECT_EQ(tpv->position, (GeoPoint{41.2, -150.3}));
  EXPECT_EQ(TimePoint{*tpv->date} + *tpv->time_of_day, *parse_rfc3339("2031-05-04T10:15:02.250Z"));
  EXPECT_NEAR(*tpv->sigma_m, std::sqrt(12.5), 1e-12);
  EXPECT_EQ(tpv->speed_m_per_s, 10.25);
  EXPECT_EQ(tpv->course_deg, 90.5);
  EXPECT_EQ(read_gpsd(R"({"class":"ATT","heading":14.0})")->heading_deg, 14.0);
}

TEST(Gpsd, WithoutAFixItTellsNothingAndOtherTextIsRefused) {
  EXPECT_FALSE(read_gpsd(R"({"class":"TPV","mode":1,"lat":41.2,"lon":-150.3})")->position);
  EXPECT_FALSE(read_gpsd(R"({"class":"VERSION","release":"3.22"})")->position);
  EXPECT_FALSE(read_gpsd("$GPGGA").ok());
  EXPECT_FALSE(read_gpsd("[1]").ok());
  EXPECT_FALSE(read_gpsd(R"({"class":"TPV","mode":3,"lat":"x","lon":1})").ok());
  EXPECT_FALSE(read_gpsd(R"({"class":"ATT","heading":361})").ok());
}

}  // namespace
}  // namespace fixwright::agent
