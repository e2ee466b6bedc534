#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "server/web/http/live_hub.hpp"
#include "tests/unit/web/fake_page_port.hpp"

namespace fixwright::web {
namespace {

using nlohmann::json;

LiveText text(const std::string& words) { return std::make_shared<const std::string>(words); }

EmitterView revision(std::uint32_t number) {
  EmitterView view = osmere_emitter();
  view.emitter.revision = number;
  return view;
}

TEST(LiveMailbox, OnlyTheLatestOfAnEmitterWaits) {
  LiveMailbox mailbox(10);
  mailbox.put(revision(1));
  mailbox.put(osmere_emitter(99));
  mailbox.put(revision(2));
  const Changes changes = mailbox.take();
  ASSERT_EQ(changes.emitters.size(), 2U);
  EXPECT_EQ(changes.emitters[0].emitter.revision, 2U);
  EXPECT_TRUE(mailbox.take().empty());
}

TEST(LiveMailbox, WhenFullItSaysThatChangesWereLostButKeepsUpdatingWhatWaits) {
  LiveMailbox mailbox(1);
  mailbox.put(revision(1));
  mailbox.put(revision(2));
  EXPECT_FALSE(mailbox.take().overflowed);
  mailbox.put(revision(3));
  mailbox.put(osmere_alert("a1"));
  EXPECT_TRUE(mailbox.take().overflowed);
  EXPECT_FALSE(mailbox.take().overflowed);
}

TEST(LiveWriter, LostChangesBecomeReload) {
  FakePagePort port;
  Changes changes;
  changes.overflowed = true;
  EXPECT_EQ(json::parse(*LiveWriter(port).write(changes))["type"], "reload");
}

TEST(LiveWriter, ChangesCarryEmittersWithStationNamesAndAlerts) {
  FakePagePort port;
  Changes changes;
  changes.emitters = {osmere_emitter()};
  changes.alerts = {osmere_alert("a1")};
  const json message = json::parse(*LiveWriter(port).write(changes));
  EXPECT_EQ(message["type"], "changes");
  EXPECT_EQ(message["emitters"][0]["properties"]["stations"][0], "LANTERN-HEAD");
  EXPECT_EQ(message["alerts"][0]["id"], "a1");
}

TEST(LiveWriter, WithoutTheDatabaseChangesGoOutWithStationNumbers) {
  FakePagePort port;
  port.lose_database(true);
  Changes changes;
  changes.emitters = {osmere_emitter()};
  const json message = json::parse(*LiveWriter(port).write(changes));
  EXPECT_EQ(message["emitters"][0]["properties"]["stations"][0], "station 1");
}

TEST(LiveQueue, AFullQueueEndsTooSlowAndForgetsWhatItHeld) {
  int woken = 0;
  LiveQueue queue(2, [&] { ++woken; });
  queue.push(text("a"));
  queue.push(text("b"));
  EXPECT_EQ(queue.ended(), LiveQueue::End::none);
  queue.push(text("c"));
  EXPECT_EQ(queue.ended(), LiveQueue::End::too_slow);
  EXPECT_EQ(queue.pop(), nullptr);
  EXPECT_EQ(woken, 3);
}

TEST(LiveHub, EachBrowserGetsHelloThenEveryMessageInOrder) {
  Metrics metrics;
  LiveHub hub(metrics);
  const auto queue = std::make_shared<LiveQueue>(8, [] {});
  hub.join(queue);
  hub.publish(text("one"));
  hub.publish(text("two"));
  EXPECT_EQ(*queue->pop(), *hello_message());
  EXPECT_EQ(*queue->pop(), "one");
  EXPECT_EQ(*queue->pop(), "two");
}

TEST(LiveHub, OneSlowBrowserIsDroppedAndCountedAndTheOthersGoOn) {
  Metrics metrics;
  LiveHub hub(metrics);
  const auto slow = std::make_shared<LiveQueue>(2, [] {});
  const auto quick = std::make_shared<LiveQueue>(8, [] {});
  hub.join(slow);
  hub.join(quick);
  for (int i = 0; i < 4; ++i) hub.publish(text("x"));
  EXPECT_EQ(slow->ended(), LiveQueue::End::too_slow);
  EXPECT_EQ(quick->ended(), LiveQueue::End::none);
  EXPECT_THAT(metrics.openmetrics(), testing::HasSubstr("fixwright_web_live_dropped_total 1"));
}

TEST(LiveHub, AfterCloseWhoeverJoinsIsSentAway) {
  Metrics metrics;
  LiveHub hub(metrics);
  const auto early = std::make_shared<LiveQueue>(8, [] {});
  const auto late = std::make_shared<LiveQueue>(8, [] {});
  hub.join(early);
  hub.close();
  hub.join(late);
  EXPECT_EQ(early->ended(), LiveQueue::End::going_away);
  EXPECT_EQ(late->ended(), LiveQueue::End::going_away);
}

}  // namespace
}  // namespace fixwright::web
