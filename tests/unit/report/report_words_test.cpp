#include "server/report/report_words.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/report/station_summary.hpp"

namespace fixwright::report {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

EvidenceBearing bearing(const std::string& station, double azimuth_deg, double residual_deg,
                        bool used = true) {
  EvidenceBearing b;
  b.station = station;
  b.azimuth_deg = azimuth_deg;
  b.residual_deg = residual_deg;
  b.used = used;
  return b;
}

TEST(StationSummary, AzimuthsAreAveragedOverNorth) {
  const auto all = summarise({bearing("B", 359.0, -1.0), bearing("B", 1.0, 1.0),
                              bearing("B", 90.0, 90.0, false), bearing("A", 45.0, 0.5)});
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].name, "A");
  EXPECT_EQ(all[1].used, 2U);
  EXPECT_EQ(all[1].set_aside, 1U);
  // The mean direction of the two unit vectors (Mardia and Jupp, Directional Statistics, 2.2).
  EXPECT_NEAR(all[1].mean_azimuth_deg, 0.0, 1e-9);
  EXPECT_NEAR(all[1].mean_residual_deg, 0.0, 1e-9);
  EXPECT_NEAR(all[1].rms_residual_deg, 1.0, 1e-9);
}

TEST(ReportWords, NumbersAreForPeople) {
  EXPECT_EQ(kilometres(819.6), "820 m");
  EXPECT_EQ(kilometres(12'360.0), "12.4 km");
  EXPECT_EQ(megahertz(433'920'000.0), "433.92000 MHz");
}

TEST(ReportWords, WhoAgreesAndWhatWasSetAsideIsSaid) {
  EmitterEvidence e;
  e.heard_by = {"A", "B", "D"};
  e.region = {{{41.0, -150.0}}};
  e.position = {-41.25, 150.5};
  e.probability = 0.95;
  e.semi_major_m = 820.0;
  e.bearings = {bearing("A", 1, 0), bearing("B", 2, 0), bearing("C", 3, 40, false),
                bearing("D", 4, 0)};
  const auto words = summary_words(e);
  ASSERT_EQ(words.size(), 3U);
  EXPECT_THAT(words[0], HasSubstr("by A, B and D."));
  EXPECT_THAT(words[1], HasSubstr("41.25000° S, 150.50000° E"));
  EXPECT_THAT(words[1], HasSubstr("19 times in 20"));
  EXPECT_EQ(words[2],
            "Bearings of A, B and D agree on the place. Set aside, as reflections or another "
            "transmitter's: 1 of C.");
}

TEST(ReportWords, TwoStationsAreSaidToBeUnchecked) {
  EmitterEvidence e;
  e.grade = "unchecked";
  e.region = {{{41.0, -150.0}}};
  EXPECT_THAT(method_words(e).back(), HasSubstr("nobody could check"));
}

}  // namespace
}  // namespace fixwright::report
