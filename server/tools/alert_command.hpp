#pragma once
/// `fixwright alert`: what was raised, and what people do about it.

#include <ostream>
#include <string>

namespace fixwright::tools {

/// All: \return 0; 1 when nothing came of it; 2 when an option or the database can't be used; each
/// with one line on `err`.

struct AlertListOptions {
  std::string database;  // as libpq takes it
  std::string since;     // RFC 3339; empty: however old
  bool all = false;      // acknowledged ones too
};
int run_alert_list(const AlertListOptions& options, std::ostream& out, std::ostream& err);

struct AlertNameOptions {
  std::string database;
  std::string id;
  std::string by;  // of an acknowledgement
};
/// One alert with its evidence.
int run_alert_show(const AlertNameOptions& options, std::ostream& out, std::ostream& err);
int run_alert_acknowledge(const AlertNameOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
