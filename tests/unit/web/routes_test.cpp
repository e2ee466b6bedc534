#include "server/web/http/routes.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/unit/web/fake_page_port.hpp"
#include "tests/unit/web/page_folder.hpp"

namespace fixwright::web {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::Not;

class RoutesTest : public testing::Test {
 protected:
  Answer get(const std::string& target) { return routes_.answer({"GET", target, ""}); }
  json get_json(const std::string& target) { return json::parse(*get(target).body); }

  PageFolder folder_;
  FakePagePort port_;
  Metrics metrics_;
  PageFiles files_ = PageFiles::read(folder_.path()).value();
  Routes routes_{port_, files_, metrics_};
};

TEST_F(RoutesTest, EmittersAreAGeoJsonFeatureCollection) {
  port_.store(osmere_emitter(12));
  port_.store(osmere_emitter(13));
  const Answer answer = get("/api/emitters");
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.content_type, "application/geo+json");  // RFC 7946, section 12
  const json body = json::parse(*answer.body);
  EXPECT_EQ(body["type"], "FeatureCollection");
  EXPECT_EQ(body["features"].size(), 2U);
  EXPECT_FALSE(body.contains("crs"));
}

TEST_F(RoutesTest, TheQueryReachesThePort) {
  get("/api/emitters?state=tentative&limit=3");
  EXPECT_EQ(port_.last_filter().limit, 3U);
  EXPECT_THAT(port_.last_filter().states, testing::ElementsAre(EmitterState::tentative));
}

TEST_F(RoutesTest, ABadQueryIsAnswered400WithTheRule) {
  const Answer answer = get("/api/emitters?limit=0");
  EXPECT_EQ(answer.status, 400);
  EXPECT_EQ(json::parse(*answer.body)["error"], "query: limit = 0: must be 1 to 10000");
}

TEST_F(RoutesTest, OneEmitterComesWithItsOwnFixesOnly) {
  port_.store(osmere_emitter(12));
  FixView mine;
  mine.fix.emitter = osmere_emitter(12).emitter.key;
  FixView other;
  other.fix.emitter = EmitterKey{13, 1};
  port_.add(mine);
  port_.add(other);
  const json body = get_json("/api/emitters/12/1893456000000000123");
  EXPECT_EQ(body["emitter"]["id"], "12/1893456000000000123");
  EXPECT_EQ(body["fixes"].size(), 1U);
}

TEST_F(RoutesTest, AnEmitterThatIsNotThereIs404AndAnIllSpelledOne400) {
  EXPECT_EQ(get("/api/emitters/12/5").status, 404);
  for (const char* spelled : {"/api/emitters/12", "/api/emitters/x/5", "/api/emitters/12/",
                              "/api/emitters/12/5/6", "/api/emitters/12/99999999999999999999"}) {
    EXPECT_EQ(get(spelled).status, 400) << spelled;
  }
}

TEST_F(RoutesTest, StationsAlertsAndBearingsAreListed) {
  port_.store(osmere_alert("a1"));
  Bearing bearing;
  bearing.key = {2, 7, 8};
  bearing.azimuth_deg = 211.5;
  port_.store(bearing);
  EXPECT_EQ(get_json("/api/stations")["features"].size(), 4U);
  EXPECT_EQ(get_json("/api/alerts")["alerts"][0]["id"], "a1");
  EXPECT_EQ(get_json("/api/bearings?limit=5")["bearings"][0]["station"], "MOSS-RIDGE");
  EXPECT_EQ(get("/api/bearings?limit=1001").status, 400);
}

TEST_F(RoutesTest, AlertsAreAFeedAndCapDocuments) {
  Alert alert;
  alert.id = "station_silent/1/2031-05-04T12:00:30.000Z";
  alert.rule = "station_silent";
  port_.store(AlertView{alert, {}, {}});
  const Answer feed = get("/alerts.atom");
  EXPECT_EQ(feed.content_type, "application/atom+xml; charset=utf-8");
  EXPECT_THAT(*feed.body, testing::HasSubstr("<identifier>" + alert.id + "</identifier>"));
  const Answer cap = get("/alerts/" + alert.id + ".cap");
  EXPECT_EQ(cap.content_type, "application/cap+xml; charset=utf-8");
  EXPECT_EQ(get("/alerts/no-such.cap").status, 404);
}

TEST_F(RoutesTest, WithoutTheDatabaseTheServerIsAliveButNotReady) {
  EXPECT_EQ(get("/readyz").status, 200);
  port_.lose_database(true);
  EXPECT_EQ(get("/healthz").status, 200);
  EXPECT_EQ(get("/readyz").status, 503);
  EXPECT_EQ(get("/").status, 200);
}

TEST_F(RoutesTest, ALostDatabaseIs503AndItsAddressIsNotTold) {
  port_.lose_database(true);
  for (const char* target :
       {"/api/emitters", "/api/emitters/1/2", "/api/stations", "/api/alerts", "/api/bearings"}) {
    const Answer answer = get(target);
    EXPECT_EQ(answer.status, 503) << target;
    EXPECT_THAT(*answer.body, Not(HasSubstr("secret"))) << target;
  }
}

TEST_F(RoutesTest, OnlyGetAndHeadAreTaken) {
  for (const char* method : {"POST", "PUT", "DELETE", "OPTIONS", "TRACE"}) {
    EXPECT_EQ(routes_.answer({method, "/api/emitters", ""}).status, 405) << method;
  }
  EXPECT_EQ(routes_.answer({"HEAD", "/api/stations", ""}).status, 200);
}

TEST_F(RoutesTest, UnknownPathsAre404WhateverTheyLookLike) {
  for (const char* target : {"/nothing", "/api", "/api/", "/api/emitter", "/index.htm", "//"}) {
    EXPECT_EQ(get(target).status, 404) << target;
  }
}

TEST_F(RoutesTest, ClimbingOutOfThePageFolderIs400) {
  EXPECT_EQ(get("/../../etc/passwd").status, 400);
  EXPECT_EQ(get("/%2e%2e/%2e%2e/etc/passwd").status, 400);
}

TEST_F(RoutesTest, AFileKnownToTheBrowserIs304WithoutABody) {
  const Answer first = get("/");
  ASSERT_EQ(first.status, 200);
  const Answer again = routes_.answer({"GET", "/", first.etag});
  EXPECT_EQ(again.status, 304);
  EXPECT_TRUE(again.body->empty());
  EXPECT_EQ(routes_.answer({"GET", "/", "\"other\""}).status, 200);
}

TEST_F(RoutesTest, AnswersOfTheMomentAreNotStored) {
  EXPECT_EQ(get("/api/emitters").caching, Caching::never);
  EXPECT_EQ(get("/").caching, Caching::revalidate);
}

TEST_F(RoutesTest, SettingsNameTheBasemapOnlyWhereThereIsOne) {
  EXPECT_TRUE(get_json("/api/settings")["basemap"].is_null());
  folder_.write("map.geojson", "{}");
  ASSERT_TRUE(files_.add("/basemap.geojson", folder_.path() / "map.geojson").ok());
  EXPECT_EQ(get_json("/api/settings")["basemap"], "/basemap.geojson");
}

TEST_F(RoutesTest, MetricsAreOpenMetricsText) {
  metrics_.counter("fixwright_web_requests", "Requests.").add(3);
  const Answer answer = get("/metrics");
  // OpenMetrics 1.0: media type and the closing line.
  EXPECT_EQ(answer.content_type, "application/openmetrics-text; version=1.0.0; charset=utf-8");
  EXPECT_THAT(*answer.body, HasSubstr("fixwright_web_requests_total 3"));
  EXPECT_THAT(*answer.body, testing::EndsWith("# EOF\n"));
}

TEST_F(RoutesTest, LiveWithoutAnUpgradeSaysHowToAsk) { EXPECT_EQ(get("/live").status, 426); }

TEST_F(RoutesTest, PapersRunNothingAndBringTheirOwnStyles) {
  port_.store(osmere_emitter(12, 77));
  for (const std::string kind : {"report", "handover"}) {
    const Answer paper = get("/" + kind + "/12/77");
    EXPECT_EQ(paper.status, 200);
    EXPECT_EQ(paper.content_type, "text/html; charset=utf-8");
    EXPECT_EQ(paper.content, Content::paper);
    EXPECT_THAT(*paper.body, HasSubstr("<title>" + kind));
    EXPECT_EQ(get("/" + kind + "/12/78").status, 404);
    EXPECT_EQ(get("/" + kind + "/harbour").status, 400);
  }
  EXPECT_EQ(get("/api/emitters").content, Content::page);
}

}  // namespace
}  // namespace fixwright::web
