/// From an alert to its receiver, through a real database, a mail server and a web server of the
/// test's own.

#include "server/store/outbox.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "server/app/courier.hpp"
#include "server/store/result_writer.hpp"
#include "tests/db/samples.hpp"
#include "tests/support/receivers/receivers.hpp"

namespace fixwright::test {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

const TimePoint noon = *parse_rfc3339("2021-05-04T12:00:00Z");  // long ago, by any clock

Alert alert_named(const std::string& id) {
  Alert a;
  a.id = id;
  a.rule = "station_silent";
  a.severity = AlertSeverity::warning;
  a.raised_at = noon;
  a.station = 1;
  a.message = "station QUILL-POINT: no heartbeat";
  a.evidence.stations = {1};
  a.evidence.would_change = "its next heartbeat";
  return a;
}

Delivery to(const std::string& destination, const std::string& alert, TimePoint not_before = noon,
            bool gathered = false) {
  return {alert, destination, DeliveryOccasion::raised, not_before, gathered};
}

class OutboxTest : public testing::Test {
 protected:
  void write(std::vector<Alert> alerts, std::vector<Delivery> deliveries) {
    store::ResultBatch batch;
    batch.alerts = std::move(alerts);
    batch.deliveries = std::move(deliveries);
    store::ResultWriter(pool).write(batch);
  }

  /// All that is due, as a courier would take it. \return the keys.
  std::vector<std::string> deliver(TimePoint now, const store::Told& told = {}) {
    std::vector<std::string> keys;
    store::Outbox outbox(pool);
    while (outbox.deliver_one(now, [&](const store::DueMessage& m) {
      keys.push_back(m.key());
      return told;
    })) {
    }
    return keys;
  }

  app::NotifyConfig both_receivers() {
    notify::MailRoute mail;
    mail.server = receivers.mail_url();
    mail.starttls = false;
    mail.from = "fixwright@osmere.example";
    mail.to = {"duty@osmere.example"};
    mail.subject = *notify::Template::parse(notify::kUsualSubject);
    mail.text = *notify::Template::parse(notify::kUsualText);
    app::NotifyConfig config;
    config.destinations = {{{}, mail}, {{}, notify::WebhookRoute{receivers.web_url(), "secret"}}};
    config.destinations[0].rule.destination = "duty";
    config.destinations[1].rule.destination = "board";
    return config;
  }

  std::unique_ptr<app::Courier> courier() {
    return std::make_unique<app::Courier>(
        both_receivers(),
        notify::Surroundings{[](StationId) { return std::string("QUILL-POINT"); }, ""}, pool, clock,
        metrics);
  }

  /// Waits for it; a minute is for a machine that is very busy.
  template <typename It>
  static bool comes_true(It it) {
    for (int i = 0; i < 600; ++i) {
      if (it()) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds{100});
    }
    return false;
  }

  std::string waiting() {
    return value(database.owner(), "SELECT count(*) FROM alert_outbox WHERE ended_at IS NULL");
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  Receivers receivers;
  SystemClock clock;
  Metrics metrics;
};

TEST_F(OutboxTest, ANewAlertIsToldOnceAndARevisionToNobody) {
  write({alert_named("a")}, {to("duty", "a"), to("board", "a")});
  write({alert_named("a")}, {to("duty", "a"), to("late", "a")});
  EXPECT_THAT(deliver(noon), testing::UnorderedElementsAre("raised/duty/a", "raised/board/a"));
  EXPECT_THAT(deliver(noon + hours{9}), IsEmpty());
}

TEST_F(OutboxTest, NothingIsToldBeforeItsTime) {
  write({alert_named("a")}, {to("duty", "a", noon + minutes{10})});
  EXPECT_THAT(deliver(noon + minutes{9}), IsEmpty());
  EXPECT_THAT(deliver(noon + minutes{10}), ElementsAre("raised/duty/a"));
}

TEST_F(OutboxTest, WhatIsGatheredComesAsOneAndWhatIsNotDoesNot) {
  write(
      {alert_named("a"), alert_named("b")},
      {to("club", "a", noon, true), to("club", "b", noon, true), to("duty", "a"), to("duty", "b")});
  EXPECT_THAT(deliver(noon),
              testing::UnorderedElementsAre("raised/duty/a", "raised/duty/b",
                                            "raised/club/2021-05-04T12:00:00.000000Z/a"));
}

TEST_F(OutboxTest, AnEscalationThatSomebodySawToIsNeedless) {
  Alert ended = alert_named("ended");
  ended.ended_at = noon;
  std::vector<Delivery> deliveries;
  for (const char* id : {"seen", "ended", "open"}) {
    deliveries.push_back(to("chair", id));
    deliveries.back().occasion = DeliveryOccasion::escalated;
  }
  write({alert_named("seen"), ended, alert_named("open")}, deliveries);
  store::ResultWriter(pool).acknowledge_alert("seen", noon, "ana");
  EXPECT_THAT(deliver(noon), ElementsAre("escalated/chair/open"));
  EXPECT_THAT(rows(database.owner(), "SELECT alert_id, outcome FROM alert_outbox ORDER BY 1"),
              ElementsAre("ended|needless", "open|delivered", "seen|needless"));
}

TEST_F(OutboxTest, AFailureIsTriedAgainUntilItIsGivenUp) {
  write({alert_named("a")}, {to("duty", "a")});
  EXPECT_THAT(deliver(noon, {"no route", noon + minutes{1}}), SizeIs(1));
  EXPECT_THAT(deliver(noon), IsEmpty());
  EXPECT_THAT(deliver(noon + minutes{1}, {"no route", std::nullopt}), ElementsAre("raised/duty/a"));
  EXPECT_THAT(deliver(noon + hours{9}), IsEmpty());
  EXPECT_THAT(rows(database.owner(), "SELECT tries, last_error, outcome FROM alert_outbox"),
              ElementsAre("1|no route|given_up"));
}

TEST_F(OutboxTest, WhoeverListensIsTold) {
  struct Heard : pqxx::notification_receiver {
    explicit Heard(pqxx::connection& c) : pqxx::notification_receiver(c, "fixwright_alert") {}
    void operator()(const std::string& payload, int /*pid*/) override { all.push_back(payload); }
    std::vector<std::string> all;
  };
  pqxx::connection listener(database.reader());
  Heard heard(listener);
  Alert huge = alert_named("huge");
  for (int i = 0; i < 9000; ++i) huge.message += "\xc3\xb8";
  write({alert_named("a"), huge}, {});
  write({alert_named("a")}, {});  // a revision
  while (heard.all.size() < 2 && listener.await_notification(20, 0) > 0) {
  }
  ASSERT_THAT(heard.all, SizeIs(2));
  EXPECT_EQ(nlohmann::json::parse(heard.all[0])["alert"], "a");
  EXPECT_EQ(listener.await_notification(0, 200'000), 0) << "a revision is told to nobody";
}

TEST_F(OutboxTest, ReceiversGetExactlyOneEach) {
  write({alert_named("a")}, {to("duty", "a"), to("board", "a")});
  const auto running = courier();
  EXPECT_TRUE(comes_true([&] { return waiting() == "0"; }));
  ASSERT_THAT(receivers.mails(), SizeIs(1));
  ASSERT_THAT(receivers.requests(), SizeIs(1));
  EXPECT_THAT(receivers.mails()[0], HasSubstr("Subject: warning: station QUILL-POINT"));
  EXPECT_THAT(receivers.requests()[0], HasSubstr("raised/board/a"));
}

TEST_F(OutboxTest, AReceiverThatIsDownGetsItsOneWhenItIsBack) {
  receivers.refuse(503);
  write({alert_named("a")}, {to("duty", "a"), to("board", "a", clock.now())});
  // Told of long ago, "duty" is given up at once; "board" is tried again.
  const auto running = courier();
  EXPECT_TRUE(comes_true([&] {
    return value(database.owner(), "SELECT count(*) FROM alert_outbox WHERE tries > 0") == "1";
  }));
  EXPECT_EQ(value(database.owner(), "SELECT outcome FROM alert_outbox WHERE destination = 'duty'"),
            "given_up");
  receivers.refuse(0);
  rows(database.owner(), "UPDATE alert_outbox SET next_try_at = now() WHERE ended_at IS NULL");
  EXPECT_TRUE(comes_true([&] { return waiting() == "0"; }));
  EXPECT_THAT(receivers.requests(), SizeIs(1));
}

/// A process that dies by SIGKILL, once `before` the message is sent and once after it.
class KilledCourier : public OutboxTest {
 protected:
  void die(bool sends) {
    const pid_t process = fork();
    ASSERT_GE(process, 0);
    if (process == 0) {
      store::Database own{{database.writer(), 1, std::chrono::seconds(5)}};
      const auto config = both_receivers();
      store::Outbox(own).deliver_one(noon, [&](const store::DueMessage& m) {
        notify::Notification n{m.key(), noon, false, {m.alerts[0].alert}};
        const auto& route = std::get<notify::WebhookRoute>(config.destinations[1].route);
        if (sends) {
          static_cast<void>(notify::send_webhook(
              route, n, {[](StationId) { return std::string("QUILL-POINT"); }, ""}));
        }
        raise(SIGKILL);
        return store::Told{};
      });
      _exit(1);
    }
    int status = 0;
    waitpid(process, &status, 0);
    EXPECT_TRUE(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
  }

  /// Of what the web server got, each key once: as a receiver that drops what comes twice.
  std::set<std::string> keys() {
    std::set<std::string> all;
    for (const std::string& text : receivers.requests()) {
      all.insert(nlohmann::json::parse(text)["headers"]["idempotency-key"].get<std::string>());
    }
    return all;
  }
};

TEST_F(KilledCourier, BeforeItSendsLosesNothing) {
  write({alert_named("a")}, {to("board", "a")});
  die(false);
  EXPECT_THAT(receivers.requests(), IsEmpty());
  const auto running = courier();
  EXPECT_TRUE(comes_true([&] { return waiting() == "0"; }));
  EXPECT_THAT(receivers.requests(), SizeIs(1));
}

TEST_F(KilledCourier, AfterItSentRepeatsTheSameKey) {
  write({alert_named("a")}, {to("board", "a")});
  die(true);
  const auto running = courier();
  EXPECT_TRUE(comes_true([&] { return waiting() == "0"; }));
  EXPECT_THAT(receivers.requests(), SizeIs(2));
  EXPECT_THAT(keys(), ElementsAre("raised/board/a"));
}

}  // namespace
}  // namespace fixwright::test
