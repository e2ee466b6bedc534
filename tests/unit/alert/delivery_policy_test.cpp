#include "server/alert/delivery_policy.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::alert {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

TimePoint at(const char* text) { return *parse_rfc3339(text); }

Alert alert_of(AlertSeverity severity, AlertKind kind = AlertKind::station_silent) {
  Alert a;
  a.id = "x";
  a.rule = to_string(kind);
  a.severity = severity;
  return a;
}

DeliveryRule to(const char* name) {
  DeliveryRule rule;
  rule.destination = name;
  return rule;
}

TEST(DeliveryPolicy, WithoutWishesEverybodyIsToldAtOnce) {
  const TimePoint now = at("2031-05-04T12:00:00Z");
  EXPECT_THAT(plan(alert_of(AlertSeverity::notice), {to("club"), to("duty")}, now),
              ElementsAre(Delivery{"x", "club", DeliveryOccasion::raised, now, false},
                          Delivery{"x", "duty", DeliveryOccasion::raised, now, false}));
}

TEST(DeliveryPolicy, QuieterOtherAndMutedAlertsAreNotForIt) {
  const TimePoint now = at("2031-05-04T12:00:00Z");
  DeliveryRule rule = to("duty");
  rule.least = AlertSeverity::warning;
  rule.kinds = {AlertKind::station_silent};
  EXPECT_THAT(plan(alert_of(AlertSeverity::notice), {rule}, now), IsEmpty());
  EXPECT_THAT(plan(alert_of(AlertSeverity::warning, AlertKind::clock_bad), {rule}, now), IsEmpty());
  EXPECT_EQ(plan(alert_of(AlertSeverity::urgent), {rule}, now).size(), 1U);
  Alert muted = alert_of(AlertSeverity::urgent);
  muted.muted = true;
  EXPECT_THAT(plan(muted, {rule}, now), IsEmpty());
}

TEST(DeliveryPolicy, InQuietHoursOnlyUrgentOnesAreTold) {
  DeliveryRule rule = to("duty");
  rule.quiet = QuietHours{22 * 60, 6 * 60 + 30, hours{2}};  // 20:00 to 04:30 UTC
  const auto told = [&](const char* now, AlertSeverity severity = AlertSeverity::warning) {
    return format_rfc3339(plan(alert_of(severity), {rule}, at(now)).at(0).not_before, 0);
  };
  EXPECT_EQ(told("2031-05-04T19:59:59Z"), "2031-05-04T19:59:59Z");
  EXPECT_EQ(told("2031-05-04T20:00:00Z"), "2031-05-05T04:30:00Z");
  EXPECT_EQ(told("2031-05-04T23:30:00Z"), "2031-05-05T04:30:00Z");
  EXPECT_EQ(told("2031-05-05T01:00:00Z"), "2031-05-05T04:30:00Z");
  EXPECT_EQ(told("2031-05-05T04:30:00Z"), "2031-05-05T04:30:00Z");
  EXPECT_EQ(told("2031-05-04T23:30:00Z", AlertSeverity::urgent), "2031-05-04T23:30:00Z");
}

TEST(DeliveryPolicy, GatheredOnesHaveOneTime) {
  DeliveryRule rule = to("club");
  rule.gather = minutes{15};
  const auto first = plan(alert_of(AlertSeverity::notice), {rule}, at("2031-05-04T12:01:00Z"));
  const auto second = plan(alert_of(AlertSeverity::notice), {rule}, at("2031-05-04T12:14:59Z"));
  EXPECT_EQ(first.at(0).not_before, at("2031-05-04T12:15:00Z"));
  EXPECT_EQ(second.at(0).not_before, first.at(0).not_before);
  EXPECT_TRUE(first.at(0).gathered);
  const auto urgent = plan(alert_of(AlertSeverity::urgent), {rule}, at("2031-05-04T12:01:00Z"));
  EXPECT_EQ(urgent.at(0).not_before, at("2031-05-04T12:01:00Z"));
  EXPECT_FALSE(urgent.at(0).gathered);
}

TEST(DeliveryPolicy, AnEscalationComesLater) {
  DeliveryRule rule = to("chair");
  rule.escalate_after = minutes{30};
  EXPECT_THAT(plan(alert_of(AlertSeverity::warning), {rule}, at("2031-05-04T12:00:00Z")),
              ElementsAre(Delivery{"x", "chair", DeliveryOccasion::escalated,
                                   at("2031-05-04T12:30:00Z"), false}));
}

TEST(DeliveryPolicy, TriesComeEverMoreSeldomUpToAnHour) {
  EXPECT_EQ(retry_after(1, 0.5), seconds{10});
  EXPECT_EQ(retry_after(2, 0.5), seconds{20});
  EXPECT_EQ(retry_after(9, 0.5), seconds{2560});
  EXPECT_EQ(retry_after(10, 0.5), seconds{3600});
  EXPECT_EQ(retry_after(1000, 0.5), seconds{3600});
  EXPECT_EQ(retry_after(3, 0.0), seconds{30});
  EXPECT_LT(retry_after(3, 0.999), seconds{50});
}

}  // namespace
}  // namespace fixwright::alert
