/// CAP documents against the facts of the standard (tests/published/data/cap_1_2.rng, checked by
/// xmllint), and the feed against those of Atom.

#include "server/web/http/alert_feed.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <pugixml.hpp>

#include "server/web/http/cap.hpp"

namespace fixwright::web {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

constexpr auto kSender = "alerts@osmere.example";

TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00.250Z"); }

Alert about_an_emitter() {
  Alert a;
  a.id = "new_unregistered_emitter/12/5";
  a.rule = "new_unregistered_emitter";
  a.severity = AlertSeverity::warning;
  a.raised_at = noon();
  a.emitter = EmitterKey{12, 5};
  a.message = "emitter 12/5 <on> 156.8000 MHz & near: not found in the register";
  a.evidence = {{1},
                GeoPoint{41.25, -150.5},
                ErrorEllipse{900.0, 300.0, 30.0, 0.95},
                0.97,
                "an entry of the register at this place"};
  return a;
}

Alert about_a_disk() {
  Alert a;
  a.id = "disk_low//var/lib, the big one/2031-05-04T12:00:00.000Z";
  a.rule = "disk_low";
  a.severity = AlertSeverity::urgent;
  a.raised_at = noon();
  a.message = "disk /var/lib, the big one: 1.0 GB free";
  return a;
}

StationNames names() { return StationNames{std::vector<StationView>{}}; }

/// What xmllint says of a document.
bool is_cap(const std::string& document) {
  const std::string path =
      testing::TempDir() + testing::UnitTest::GetInstance()->current_test_info()->name() + ".cap";
  std::ofstream(path) << document;
  const std::string command = std::string("xmllint --noout --relaxng ") + FIXWRIGHT_CAP_GRAMMAR +
                              " " + path + " >/dev/null 2>&1";
  return std::system(command.c_str()) == 0;
}

std::string with(const std::string& document, const std::string& old, const std::string& other) {
  std::string text = document;
  const auto at = text.find(old);
  EXPECT_NE(at, std::string::npos) << old;
  if (at != std::string::npos) text.replace(at, old.size(), other);
  return text;
}

TEST(Cap, EveryDocumentKeepsToTheStandard) {
  Alert ended = about_an_emitter();
  ended.ended_at = noon() + std::chrono::minutes{5};
  Alert unsure = about_an_emitter();
  unsure.evidence.posterior = 0.6;
  for (const Alert& a : {about_an_emitter(), ended, unsure, about_a_disk()}) {
    const std::string document = cap_document(a, kSender, names());
    EXPECT_TRUE(is_cap(document)) << document;
  }
}

TEST(Cap, TheStandardsFactsAreFoundBroken) {
  const std::string good = cap_document(about_an_emitter(), kSender, names());
  ASSERT_TRUE(is_cap(good));
  EXPECT_FALSE(is_cap(with(good, "-00:00</sent>", "Z</sent>")));
  EXPECT_FALSE(is_cap(with(good, "<status>Actual", "<status>Real")));
  EXPECT_FALSE(is_cap(with(good, "<identifier>new_", "<identifier>new ")));
  EXPECT_FALSE(is_cap(with(good, "<urgency>Expected</urgency>", "")));
  EXPECT_FALSE(is_cap(with(good, "<category>Other</category>", "<category>Radio</category>")));
  EXPECT_FALSE(is_cap(with(good, "<areaDesc>", "<circle>1,2 3</circle><areaDesc>")));
  EXPECT_FALSE(is_cap(with(good, "emergency:cap:1.2", "emergency:cap:1.1")));
  EXPECT_FALSE(is_cap(with(good, "<language>en</language>", "<event>early</event>")));
}

TEST(Cap, APolygonIsClosedAndLatitudeComesFirst) {
  pugi::xml_document document;
  document.load_string(cap_document(about_an_emitter(), kSender, names()).c_str());
  const std::string polygon =
      document.child("alert").child("info").child("area").child("polygon").text().get();
  EXPECT_EQ(polygon.substr(0, polygon.find(' ')), polygon.substr(polygon.rfind(' ') + 1));
  EXPECT_THAT(polygon, StartsWith("41.2"));
}

TEST(Cap, AcrossTheAntimeridianItIsACircle) {
  Alert there = about_an_emitter();
  there.evidence.position = GeoPoint{41.25, 179.999};
  const std::string document = cap_document(there, kSender, names());
  EXPECT_THAT(document, HasSubstr("<circle>41.25000,179.99900 0.900</circle>"));
  EXPECT_THAT(document, Not(HasSubstr("<polygon>")));
  EXPECT_TRUE(is_cap(document));
}

TEST(Cap, WhatARegisterSaysIsNeverObserved) {
  const std::string sure = cap_document(about_an_emitter(), kSender, names());
  EXPECT_THAT(sure, HasSubstr("<certainty>Likely</certainty>"));
  EXPECT_THAT(sure, HasSubstr("An ellipse is evidence, never proof of who transmits."));
  EXPECT_THAT(sure, HasSubstr("<scope>Restricted</scope>"));
  Alert unsure = about_an_emitter();
  unsure.evidence.posterior = 0.94;
  EXPECT_THAT(cap_document(unsure, kSender, names()), HasSubstr("<certainty>Possible</certainty>"));
}

TEST(Cap, OneThatEndedUpdatesItsFirstDocument) {
  Alert ended = about_an_emitter();
  ended.ended_at = noon() + std::chrono::minutes{5};
  const std::string document = cap_document(ended, kSender, names());
  EXPECT_THAT(document, HasSubstr("<identifier>new_unregistered_emitter/12/5/ended</identifier>"));
  EXPECT_THAT(document, HasSubstr("<sent>2031-05-04T12:05:00-00:00</sent>"));
  EXPECT_THAT(document, HasSubstr("<msgType>Update</msgType>"));
  EXPECT_THAT(document, HasSubstr("<references>alerts@osmere.example,new_unregistered_emitter/12/5,"
                                  "2031-05-04T12:00:00-00:00</references>"));
}

TEST(AlertFeed, HasWhatAtomAsksFor) {
  Alert muted = about_a_disk();
  muted.muted = true;
  Alert ended = about_a_disk();
  ended.ended_at = noon() + std::chrono::minutes{5};
  pugi::xml_document document;
  ASSERT_TRUE(document.load_string(
      alert_feed({{about_an_emitter(), {}, {}}, {muted, {}, {}}, {ended, {}, {}}}, kSender, names())
          .c_str()));
  const pugi::xml_node feed = document.child("feed");
  EXPECT_STREQ(feed.attribute("xmlns").value(), "http://www.w3.org/2005/Atom");
  // RFC 4287, section 4.1.1: one id, title and updated; an author, where entries have none; and
  // section 4.1.2 of each entry. Section 3.3: times as RFC 3339.
  for (const char* name : {"id", "title", "updated", "author"}) {
    const auto all = feed.children(name);
    EXPECT_EQ(std::distance(all.begin(), all.end()), 1) << name;
  }
  EXPECT_STREQ(feed.child("updated").text().get(), "2031-05-04T12:05:00Z");
  int entries = 0;
  for (const pugi::xml_node entry : feed.children("entry")) {
    ++entries;
    for (const char* name : {"id", "title", "updated"}) EXPECT_TRUE(entry.child(name)) << name;
    // Section 4.1.3.1 to 4.1.3.3: a content whose type ends in +xml has one child element.
    EXPECT_STREQ(entry.child("content").attribute("type").value(), "application/cap+xml");
    EXPECT_STREQ(entry.child("content").child("alert").attribute("xmlns").value(), kCapNamespace);
  }
  EXPECT_EQ(entries, 2) << "a muted alert is told to nobody";
}

TEST(AlertFeed, AnEntryThatIsUpdatedStaysTheSameEntry) {
  Alert ended = about_an_emitter();
  ended.ended_at = noon() + std::chrono::minutes{5};
  const auto id = [](const std::string& feed) {
    const auto at = feed.find("<id>tag:", feed.find("<entry>"));
    return feed.substr(at, feed.find("</id>", at) - at);
  };
  EXPECT_EQ(id(alert_feed({{about_an_emitter(), {}, {}}}, kSender, names())),
            id(alert_feed({{ended, {}, {}}}, kSender, names())));
}

TEST(AlertFeed, WithoutAlertsItIsAFeedAllTheSame) {
  EXPECT_THAT(alert_feed({}, kSender, names()),
              HasSubstr("<updated>1970-01-01T00:00:00Z</updated>"));
}

}  // namespace
}  // namespace fixwright::web
