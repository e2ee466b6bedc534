#include "server/store/outbox.hpp"

#include <algorithm>
#include <tuple>

#include "server/store/alert_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameter = std::optional<std::string>;

/// So many alerts go in one message; more go in the next.
constexpr auto kMostTogether = "50";

/// Ids as the literal of an array.
std::string only(const pqxx::row& row) {
  TextArray ids;
  ids.add(row["alert_id"].as<std::string>());
  return ids.literal();
}

std::string gathered_with(pqxx::transaction_base& tx, const pqxx::row& row) {
  TextArray ids;
  for (const pqxx::row& one :
       execute(tx,
               "SELECT alert_id FROM alert_outbox WHERE ended_at IS NULL AND gathered AND "
               "destination = $1 AND occasion = $2 AND not_before = $3::timestamptz AND "
               "tries = $4::integer ORDER BY alert_id LIMIT " +
                   std::string(kMostTogether) + " FOR UPDATE SKIP LOCKED",
               {row["destination"].as<std::string>(), row["occasion"].as<std::string>(),
                row["at"].as<std::string>(), row["tries"].as<std::string>()})) {
    ids.add(one["alert_id"].as<std::string>());
  }
  return ids.literal();
}

/// The oldest that is due, and what was gathered with it: the same destination, occasion and time.
std::optional<DueMessage> take(pqxx::transaction_base& tx, TimePoint now) {
  const auto first =
      execute(tx,
              "SELECT alert_id, destination, occasion, tries, gathered, not_before::text AS at, " +
                  as_microseconds("not_before", "not_before_us") +
                  " FROM alert_outbox WHERE ended_at IS NULL AND next_try_at <= $1::timestamptz "
                  "ORDER BY next_try_at, alert_id LIMIT 1 FOR UPDATE SKIP LOCKED",
              {format_rfc3339(now, 6)});
  if (first.empty()) return std::nullopt;
  const pqxx::row row = first[0];
  DueMessage message;
  message.destination = row["destination"].as<std::string>();
  message.occasion = word<DeliveryOccasion>(row["occasion"], DeliveryOccasion::escalated);
  message.tries = row["tries"].as<int>();
  message.not_before = time(row["not_before_us"]);
  const std::string ids = row["gathered"].as<bool>() ? gathered_with(tx, row) : only(row);
  message.alerts = select_alerts(tx, "alert_id = ANY($1::text[])", {ids});
  std::sort(
      message.alerts.begin(), message.alerts.end(), [](const AlertView& a, const AlertView& b) {
        return std::tie(a.alert.raised_at, a.alert.id) < std::tie(b.alert.raised_at, b.alert.id);
      });
  return message;
}

void finish(pqxx::transaction_base& tx, const DueMessage& message, const std::string& set,
            std::vector<Parameter> values) {
  TextArray ids;
  for (const AlertView& a : message.alerts) ids.add(a.alert.id);
  std::vector<Parameter> parameters{ids.literal(), std::string(to_string(message.occasion)),
                                    message.destination};
  parameters.insert(parameters.end(), values.begin(), values.end());
  execute(tx,
          "UPDATE alert_outbox SET " + set +
              " WHERE alert_id = ANY($1::text[]) AND occasion = $2 AND destination = $3",
          parameters);
}

void end(pqxx::transaction_base& tx, const DueMessage& message, TimePoint now,
         const std::string& outcome, const std::string& error) {
  finish(tx, message, "ended_at = $4::timestamptz, outcome = $5, last_error = $6",
         {format_rfc3339(now, 6), outcome, error});
}

bool is_needless(const AlertView& view) {
  return view.acknowledged_at.has_value() || view.alert.ended_at.has_value();
}

void write_down(pqxx::transaction_base& tx, const DueMessage& message, TimePoint now,
                const Told& told) {
  if (!told.error) return end(tx, message, now, "delivered", "");
  if (!told.try_again) return end(tx, message, now, "given_up", *told.error);
  finish(tx, message, "tries = tries + 1, next_try_at = $4::timestamptz, last_error = $5",
         {format_rfc3339(*told.try_again, 6), *told.error});
}

}  // namespace

std::string DueMessage::key() const {
  std::string key = std::string(to_string(occasion)) + "/" + destination;
  if (alerts.size() == 1) return key + "/" + alerts.front().alert.id;
  return key + "/" + format_rfc3339(not_before, 6) + "/" + alerts.front().alert.id;
}

bool Outbox::deliver_one(TimePoint now, const std::function<Told(const DueMessage&)>& tell) {
  return change(database_, [&](pqxx::work& tx) {
    auto message = take(tx, now);
    if (!message) return false;
    if (message->occasion == DeliveryOccasion::escalated) {
      DueMessage needless = *message;
      std::erase_if(needless.alerts, [](const AlertView& v) { return !is_needless(v); });
      std::erase_if(message->alerts, is_needless);
      if (!needless.alerts.empty()) end(tx, needless, now, "needless", "");
    }
    if (!message->alerts.empty()) write_down(tx, *message, now, tell(*message));
    return true;
  });
}

}  // namespace fixwright::store
