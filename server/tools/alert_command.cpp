#include "server/tools/alert_command.hpp"

#include <fmt/core.h>

#include "server/base/clock.hpp"
#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/alert_book.hpp"
#include "server/store/reader.hpp"
#include "server/store/result_writer.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

std::string state_of(const AlertView& view) {
  std::string text = view.alert.ended_at ? "ended" : "goes on";
  if (view.alert.muted) text += ", muted";
  if (view.acknowledged_at) text += ", seen by " + view.acknowledged_by;
  return text;
}

std::string names_of(const std::vector<StationId>& ids, const Stations& stations) {
  std::string text;
  for (const StationId id : ids) {
    const auto found = stations.find(id);
    text += (text.empty() ? "" : ", ") +
            (found == stations.end() ? fmt::format("station {}", id) : found->second.name);
  }
  return text;
}

void print_line(std::ostream& out, std::string_view what, const std::string& text) {
  if (!text.empty()) out << fmt::format("{:<14}{}\n", what, text);
}

std::string region_text(const AlertEvidence& e) {
  if (!e.region) return {};
  return fmt::format("{:.0f} x {:.0f} m, major axis at {:.0f} deg, holds it with {:g} %",
                     e.region->semi_major_m, e.region->semi_minor_m, e.region->orientation_deg,
                     100.0 * e.region->probability);
}

void print(const AlertView& view, const Stations& stations, std::ostream& out) {
  const Alert& a = view.alert;
  const AlertEvidence& e = a.evidence;
  print_line(out, "alert", a.id);
  print_line(out, "severity", std::string(to_string(a.severity)));
  print_line(out, "raised", format_rfc3339(a.raised_at));
  print_line(out, "ended", a.ended_at ? format_rfc3339(*a.ended_at) : "it goes on");
  print_line(out, "says", a.message);
  print_line(out, "stations", names_of(e.stations, stations));
  if (e.position) {
    print_line(out, "position",
               fmt::format("{:.5f} {:.5f}", e.position->latitude_deg, e.position->longitude_deg));
  }
  print_line(out, "ellipse", region_text(e));
  if (e.posterior) print_line(out, "posterior", fmt::format("{:.3f}", *e.posterior));
  print_line(out, "would change", e.would_change);
  if (a.muted) print_line(out, "muted", "somebody asked not to be told of such");
  if (view.acknowledged_at) {
    print_line(
        out, "acknowledged",
        fmt::format("{} by {}", format_rfc3339(*view.acknowledged_at), view.acknowledged_by));
  }
  if (e.region) out << "An ellipse is evidence, never proof of who transmits.\n";
}

int no_such_alert(const std::string& id, std::ostream& err) {
  err << fmt::format(
      "alert: there is no alert \"{}\": `fixwright alert list` names those there are\n",
      one_line(id, 100));
  return 1;
}

}  // namespace

int run_alert_list(const AlertListOptions& options, std::ostream& out, std::ostream& err) {
  std::optional<TimePoint> since;
  if (!options.since.empty()) {
    since = given_time("--since", options.since, {}, err);
    if (!since) return 2;
  }
  return with_database("alert", options.database, err, [&](store::Database& database) {
    std::vector<std::vector<std::string>> rows{{"RAISED", "SEVERITY", "STATE", "ALERT", "SAYS"}};
    for (const AlertView& view : store::AlertBook(database).alerts(since, !options.all)) {
      rows.push_back({format_rfc3339(view.alert.raised_at, 0),
                      std::string(to_string(view.alert.severity)), state_of(view), view.alert.id,
                      view.alert.message});
    }
    out << report::text_table(rows);
    return 0;
  });
}

int run_alert_show(const AlertNameOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("alert", options.database, err, [&](store::Database& database) {
    const auto view = store::AlertBook(database).alert(options.id);
    if (!view) return no_such_alert(options.id, err);
    print(*view, store::Reader(database).stations(), out);
    return 0;
  });
}

int run_alert_acknowledge(const AlertNameOptions& options, std::ostream& out, std::ostream& err) {
  if (options.by.empty()) {
    err << "alert ack: nobody acknowledges; give --by NAME\n";
    return 2;
  }
  return with_database("alert", options.database, err, [&](store::Database& database) {
    const auto view = store::AlertBook(database).alert(options.id);
    if (!view) return no_such_alert(options.id, err);
    if (!store::ResultWriter(database).acknowledge_alert(options.id, SystemClock().now(),
                                                         options.by)) {
      err << fmt::format("alert: {} was acknowledged already, by {}\n", options.id,
                         view->acknowledged_by);
      return 1;
    }
    out << fmt::format("{} is acknowledged by {}\n", options.id, options.by);
    return 0;
  });
}

}  // namespace fixwright::tools
