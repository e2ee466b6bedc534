#pragma once
/// What people set for alerts, and what was raised.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/alert_settings.hpp"
#include "server/model/views.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Each call is one transaction. Throws DatabaseAway (call again) or DatabaseRefused.
/// Where a value can't be, it fails with one line and nothing is changed.
class AlertBook {
 public:
  explicit AlertBook(Database& database) : database_(database) {}

  /// Mutes that ended or were ended are not among them.
  AlertSettings settings();

  Result<std::string> set_rule(AlertKind kind, const AlertRule& rule, std::string_view by);
  /// The configured rule holds again. \return false when none was set.
  bool clear_rule(AlertKind kind);

  /// A new one, or another shape of the one of that name.
  Result<std::string> set_area(const WatchedArea& area);
  /// \return false when there is none of that name.
  bool remove_area(std::string_view name);

  /// \return its number.
  Result<std::int64_t> mute(const AlertMute& mute);
  /// \return false when there is no such mute, or it has ended.
  bool unmute(std::int64_t id, std::string_view by);

  /// Raised at `since` or later, newest first; or of those only the ones nobody acknowledged.
  std::vector<AlertView> alerts(std::optional<TimePoint> since, bool open_only);
  std::optional<AlertView> alert(std::string_view id);

 private:
  Database& database_;
};

}  // namespace fixwright::store
