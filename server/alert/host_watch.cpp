#include "server/alert/host_watch.hpp"

#include <fmt/core.h>

#include <optional>
#include <string>
#include <utility>

namespace fixwright::alert {

namespace {

/// A low mark is left behind only when there is so much more room than raised it: a disk that
/// hovers at the mark is one event.
constexpr double kLeftBehind = 1.25;

/// What there is, against what is the least of it.
struct Room {
  double free_share = 1.0;
  double least_share = 0.0;
  std::string message;
  std::string would_change;
};

Room room_of(const DiskState& disk, double least_share) {
  const double free = static_cast<double>(disk.free_bytes);
  const double share = free / static_cast<double>(disk.total_bytes);
  return {share, least_share,
          fmt::format("disk {}: {:.1f} GB free, {:.1f} % (alert.disk_free_share = {:g}); when it "
                      "is full nothing more is kept",
                      disk.path, free / 1e9, 100.0 * share, least_share),
          fmt::format("{:.0f} % of it free", 100.0 * kLeftBehind * least_share)};
}

Room connections_of(const DatabaseState& d, double used_share) {
  const double used = static_cast<double>(d.connections) / d.most_connections;
  return {1.0 - used, 1.0 - used_share,
          fmt::format("database: {} of {} connections in use (alert.database_used_share = {:g})",
                      d.connections, d.most_connections, used_share),
          "connections given back, or max_connections raised"};
}

Room size_of(const DatabaseState& d, double most_bytes, double used_share) {
  const double size = static_cast<double>(d.size_bytes);
  return {1.0 - size / most_bytes, 1.0 - used_share,
          fmt::format("database: takes {:.1f} of {:.1f} GB (alert.database_gb, "
                      "alert.database_used_share = {:g})",
                      size / 1e9, most_bytes / 1e9, used_share),
          "old history dropped, or more room given to it"};
}

std::vector<Alert> follow(EventBook& book, const AlertRule& rule, AlertKind kind,
                          std::string_view what, TimePoint at, Room room) {
  const Subject subject = subject_of(kind, what);
  if (room.free_share > kLeftBehind * room.least_share) {
    return book.end(subject, at, fmt::format("{:.1f} % free", 100.0 * room.free_share));
  }
  if (!rule.enabled || room.free_share >= room.least_share || book.is_open(subject)) return {};
  Alert alert;
  alert.raised_at = at;
  alert.message = std::move(room.message);
  alert.evidence.would_change = std::move(room.would_change);
  return {book.raise(rule, kind, subject, std::move(alert))};
}

}  // namespace

std::vector<Alert> HostWatch::on_host(const AlertRules& rules, const HostState& state) {
  std::vector<Alert> alerts;
  for (const DiskState& disk : state.disks) {
    append(alerts, follow(book_, rules.of(AlertKind::disk_low), AlertKind::disk_low, disk.path,
                          state.at, room_of(disk, rules.disk_free_share)));
  }
  if (!state.database) return alerts;
  const AlertRule& rule = rules.of(AlertKind::database_low);
  append(alerts, follow(book_, rule, AlertKind::database_low, "connections", state.at,
                        connections_of(*state.database, rules.database_used_share)));
  if (rules.database_bytes > 0.0) {
    append(alerts,
           follow(book_, rule, AlertKind::database_low, "size", state.at,
                  size_of(*state.database, rules.database_bytes, rules.database_used_share)));
  }
  return alerts;
}

}  // namespace fixwright::alert
