#pragma once
/// `fixwright alert mute|unmute|mutes|rule|area`: what people set for alerts; a running server
/// notices within some seconds.

#include <cstdint>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

namespace fixwright::tools {

/// All: \return 0; 1 when nothing came of it; 2 when an option or the database can't be used; each
/// with one line on `err`.

struct AlertMuteOptions {
  std::string database;  // as libpq takes it
  std::string rule;      // empty: any
  std::string emitter;   // CHANNEL/ID; empty: any
  std::string station;   // its name; empty: any
  double hours = 0.0;    // from now; > 0
  std::string by;
  std::string note;
};
int run_alert_mute(const AlertMuteOptions& options, std::ostream& out, std::ostream& err);

struct AlertUnmuteOptions {
  std::string database;
  std::int64_t id = 0;
  std::string by;
};
int run_alert_unmute(const AlertUnmuteOptions& options, std::ostream& out, std::ostream& err);

struct AlertSettingsOptions {
  std::string database;
};
/// Rules that people set, watched areas and mutes.
int run_alert_settings(const AlertSettingsOptions& options, std::ostream& out, std::ostream& err);

struct AlertRuleOptions {
  std::string database;
  std::string rule;
  bool enabled = true;
  std::string severity = "notice";
  double hold_down_s = 600.0;
  std::string by;
  bool clear = false;  // the configured rule holds again
};
int run_alert_rule(const AlertRuleOptions& options, std::ostream& out, std::ostream& err);

struct AlertAreaOptions {
  std::string database;
  std::string name;
  std::vector<double> at;  // latitude and longitude, degrees
  double radius_km = 1.0;
  std::vector<std::string> days;  // mon, tue, ...; none: every day
  std::string from = "00:00";     // UTC
  std::string to = "00:00";       // not after `from`: of the next day
  double low_mhz = 0.0;
  double high_mhz = 1e6;
  std::string by;
  bool remove = false;
};
int run_alert_area(const AlertAreaOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
