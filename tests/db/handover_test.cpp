/// `fixwright handover`: cautions first, the place as the database has it, and the way by the road.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "server/tools/handover_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr auto kBasemap = FIXWRIGHT_SOURCE_DIR "/server/web/page/public/basemap/osmere.geojson";

class HandoverTest : public testing::Test {
 protected:
  HandoverTest() {
    rows(database.owner(), text_of("tests/db/questions_seed.sql"));
    options.emitter = "12/1";
    options.database = database.reader();
    options.basemap = kBasemap;
    options.report_to = "the duty officer, channel 3";
    options.by = "mara";
  }
  std::string told() {
    std::ostringstream out;
    err.str("");
    status = tools::run_handover(options, out, err);
    return out.str();
  }

  const ScratchDatabase database;
  tools::HandoverOptions options;
  std::ostringstream err;
  int status = -1;
};

TEST_F(HandoverTest, CautionsComeBeforeThePlace) {
  const std::string html = told();
  ASSERT_EQ(status, 0) << err.str();
  const auto place = html.find("Most likely place");
  ASSERT_NE(place, std::string::npos);
  for (const std::string caution :
       {"One drives, another operates", "No trespass", "Keep off towers", "Don't go alone",
        "Never confront", "never transmit to disturb", "never proof of who transmits"}) {
    EXPECT_LT(html.find(caution), place) << caution;
  }
}

TEST_F(HandoverTest, PlaceAndWayAreThereForTheEyeAndForThePhone) {
  const std::string html = told();
  EXPECT_THAT(html, HasSubstr("41° 12.000' N, 150° 18.000' W (WGS84); in decimals 41.20000, "
                              "-150.30000."));
  EXPECT_THAT(html, HasSubstr("href=\"geo:41.20000,-150.30000;u=490\""));
  EXPECT_THAT(html, HasSubstr("Come from the "));
  EXPECT_THAT(html, HasSubstr("Navigate to the road"));
  EXPECT_THAT(html, HasSubstr("156.80001 MHz"));
  EXPECT_THAT(html, HasSubstr("Tell the duty officer, channel 3, and leave the rest"));
  EXPECT_THAT(html, HasSubstr("width=device-width"));
  for (const std::string outside : {"http:", "https:", "src="}) {
    EXPECT_THAT(html, Not(HasSubstr(outside)));
  }
}

TEST_F(HandoverTest, WithoutRoadsItSaysSo) {
  options.basemap.clear();
  EXPECT_THAT(told(), HasSubstr("The basemap shows no road near it"));
}

TEST_F(HandoverTest, WhatIsWrongIsOneLine) {
  options.basemap = "/nowhere.geojson";
  EXPECT_EQ(told(), "");
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "handover: /nowhere.geojson: can't be read\n");
  options.basemap = FIXWRIGHT_SOURCE_DIR "/README.md";
  told();
  EXPECT_THAT(err.str(), HasSubstr("it is no GeoJSON FeatureCollection"));
  options.basemap.clear();
  options.emitter = "here";
  told();
  EXPECT_EQ(status, 2);
  EXPECT_THAT(err.str(), HasSubstr("handover: emitter = \"here\": must be CHANNEL/ID"));
  options.emitter = "12/99";
  told();
  EXPECT_EQ(err.str(), "handover: emitter 12/99: there is none\n");
  options.emitter = "14/5";  // retired: its region is no longer told
  told();
  EXPECT_EQ(err.str(), "handover: emitter 14/5: its place is not known\n");
}

}  // namespace
}  // namespace fixwright::test
