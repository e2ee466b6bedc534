#pragma once
/// `fixwright alert try`: the rules, over the stored bearings.

#include <ostream>
#include <string>

namespace fixwright::tools {

struct AlertTryOptions {
  std::string database;  // as libpq takes it
  std::string config;    // the server's configuration: its rules
  std::string since;     // RFC 3339
  std::string until;     // empty: up to now
};

/// Plays the stored bearings of that time through the pipeline, the register and the rules of
/// alerts, those that people set among them, and prints what would have been raised. It writes
/// nothing. Heartbeats, drifts and disks are not stored: rules about them are not tried.
///
/// \return 0; 1 when there are no bearings; 2 when an option, the configuration or the database
/// can't be used; each with its lines on `err`.
int run_alert_try(const AlertTryOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
