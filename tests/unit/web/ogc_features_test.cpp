/// OGC API - Features, part 1: core (OGC 17-069r4); the numbers below are its requirements.

#include "server/web/http/ogc_features.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/unit/web/fake_page_port.hpp"

namespace fixwright::web {
namespace {

using nlohmann::json;
using testing::Contains;
using testing::HasSubstr;

class OgcFeatures : public testing::Test {
 protected:
  OgcFeatures() {
    for (int i = 0; i < 5; ++i) {
      port_.add_feature(R"({"id": "12/)" + std::to_string(i) +
                        R"(", "type": "Feature", "geometry": {"type":"Point","coordinates":[)"
                        R"(-150.3,41.2]}, "properties": {}})");
    }
  }
  Answer get(const std::string& target, const std::string& host = "club.example:7480") {
    return ogc_answer(port_, parse_target(target).value(), host);
  }
  json get_json(const std::string& target) { return json::parse(*get(target).body); }
  static std::string href(const json& page, const std::string& relation) {
    for (const auto& link : page["links"]) {
      if (link["rel"] == relation) return link["href"];
    }
    return "none";
  }

  FakePagePort port_;
};

TEST_F(OgcFeatures, LandingPageLeadsToAllThatTheStandardAsksFor) {  // 2
  const auto page = get_json("/ogc");
  EXPECT_EQ(href(page, "service-desc"), "http://club.example:7480/ogc/api");
  EXPECT_EQ(href(page, "conformance"), "http://club.example:7480/ogc/conformance");
  EXPECT_EQ(href(page, "data"), "http://club.example:7480/ogc/collections");
  EXPECT_EQ(get_json("/ogc/"), page);
}

TEST_F(OgcFeatures, ItSaysWhatItConformsTo) {  // 6
  EXPECT_THAT(get_json("/ogc/conformance")["conformsTo"],
              Contains("http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core"));
}

TEST_F(OgcFeatures, DescriptionNamesEveryPath) {  // 3
  const auto api = get_json("/ogc/api");
  EXPECT_EQ(api["openapi"], "3.0.3");
  EXPECT_TRUE(api["paths"].contains("/collections/emitters/items"));
  EXPECT_EQ(get("/ogc/api").content_type, "application/vnd.oai.openapi+json;version=3.0");
}

TEST_F(OgcFeatures, EachCollectionLeadsToItsItems) {  // 11, 15
  const auto list = get_json("/ogc/collections");
  ASSERT_EQ(list["collections"].size(), 1U);
  EXPECT_EQ(list["collections"][0]["id"], "emitters");
  EXPECT_EQ(href(list["collections"][0], "items"),
            "http://club.example:7480/ogc/collections/emitters/items");
  EXPECT_EQ(get_json("/ogc/collections/emitters"), list["collections"][0]);
}

TEST_F(OgcFeatures, ItemsComeInPagesThatLeadOn) {  // 28 to 31
  std::string next = "/ogc/collections/emitters/items?limit=2";
  int seen = 0;
  for (int page = 0; page < 3; ++page) {
    const auto items = get_json(next);
    EXPECT_EQ(items["type"], "FeatureCollection");
    EXPECT_EQ(items["numberMatched"], 5);
    EXPECT_EQ(items["numberReturned"], items["features"].size());
    EXPECT_TRUE(items.contains("timeStamp"));
    seen += static_cast<int>(items["features"].size());
    const std::string link = href(items, "next");
    if (page < 2)
      next = link.substr(std::string("http://club.example:7480").size());
    else
      EXPECT_EQ(link, "none");
  }
  EXPECT_EQ(seen, 5);
}

TEST_F(OgcFeatures, BoxAndTimeAreHandedOn) {  // 23, 26
  get("/ogc/collections/emitters/items?bbox=-151,41,-150,42&datetime=2031-05-04T00:00:00Z/..");
  const auto filter = port_.last_feature_filter();
  ASSERT_TRUE(filter.box);
  EXPECT_EQ(filter.box->west_deg, -151.0);
  EXPECT_EQ(filter.box->north_deg, 42.0);
  EXPECT_EQ(filter.from, parse_rfc3339("2031-05-04T00:00:00Z").value());
  EXPECT_FALSE(filter.until);
  get("/ogc/collections/emitters/items?datetime=2031-05-04T00:00:00Z");
  EXPECT_EQ(port_.last_feature_filter().until, port_.last_feature_filter().from);
}

TEST_F(OgcFeatures, LimitThatIsTooHighIsLowered) {  // 22
  EXPECT_EQ(get("/ogc/collections/emitters/items?limit=1000000").status, 200);
  EXPECT_EQ(port_.last_feature_filter().limit, 10'000U);
}

TEST_F(OgcFeatures, OneFeatureIsAskedForByItsId) {  // 32
  EXPECT_EQ(get("/ogc/collections/emitters/items/12%2F0").content_type, "application/geo+json");
  EXPECT_EQ(port_.last_feature_filter().id, "12/0");
}

TEST_F(OgcFeatures, WhatCannotBeAnsweredSaysWhy) {  // 8, 9
  const auto why = [&](const std::string& target) {
    const Answer answer = get(target);
    return std::to_string(answer.status) + " " +
           json::parse(*answer.body)["error"].get<std::string>();
  };
  const std::string items = "/ogc/collections/emitters/items";
  EXPECT_EQ(why(items + "?colour=red"), "400 query: colour: unknown key");
  EXPECT_EQ(why("/ogc/collections?colour=red"), "400 query: colour: unknown key");
  EXPECT_EQ(why(items + "?limit=0"), "400 query: limit = 0: must be 1 to 100000000");
  EXPECT_EQ(why(items + "?limit=1&limit=2"), "400 query: limit = 2: given twice");
  EXPECT_THAT(why(items + "?bbox=1,2,3"), HasSubstr("400 query: bbox = 1,2,3: must be WEST"));
  EXPECT_THAT(why(items + "?bbox=0,50,1,40"), HasSubstr("south before north"));
  EXPECT_THAT(why(items + "?datetime=../.."), HasSubstr("400 query: datetime = ../.."));
  EXPECT_THAT(why(items + "?datetime=noon"), HasSubstr("400 query: datetime = noon"));
  EXPECT_EQ(why("/ogc/collections/ships"), "404 collection ships: there is none");
  EXPECT_EQ(why("/ogc/collections/emitters/pieces"),
            "404 /ogc/collections/emitters/pieces: there is nothing here");
}

TEST_F(OgcFeatures, AHostThatIsNoneLeadsNowhere) {
  const auto page = json::parse(*get("/ogc", "evil.example/\"><script>").body);
  EXPECT_EQ(href(page, "data"), "http://localhost/ogc/collections");
}

}  // namespace
}  // namespace fixwright::web
