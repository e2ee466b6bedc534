// Sentences of NMEA 0183 from print.
#include "station_agent/position/nmea.hpp"

#include <gtest/gtest.h>

#include "tests/published/table.hpp"

namespace fixwright::published {
namespace {

TEST(PublishedNmea, SentencesWithTheRightSumTellTheirPlaceAndOthersAreRefused) {
  int accepted = 0;
  for (const Row& row : table("nmea_sentences.csv")) {
    SCOPED_TRACE(row.text("sentence"));
    const auto sentence = agent::parse_sentence(row.text("sentence"));
    ASSERT_EQ(sentence.ok(), row.number("accepted") == 1.0);
    if (!sentence) continue;
    ++accepted;
    const auto report = agent::read_sentence(*sentence);
    ASSERT_TRUE(report.ok());
    ASSERT_TRUE(report->position.has_value());
    EXPECT_NEAR(report->position->latitude_deg, row.number("latitude"), 1e-9);  // printed digits
    EXPECT_NEAR(report->position->longitude_deg, row.number("longitude"), 1e-9);
  }
  EXPECT_EQ(accepted, 2);
}

TEST(PublishedNmea, TheSumFoundWrongInPrintIsNamedWithTheRightOne) {
  const auto sentence = agent::parse_sentence("$HEHDT,178.3,T*1E");
  ASSERT_FALSE(sentence.ok());
  EXPECT_NE(sentence.error().find("should be 22"), std::string::npos) << sentence.error();
  const auto right = agent::parse_sentence("$HEHDT,178.3,T*22");
  ASSERT_TRUE(right.ok());
  EXPECT_EQ(agent::read_sentence(*right)->heading_deg, 178.3);
}

}  // namespace
}  // namespace fixwright::published
