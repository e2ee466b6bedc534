#include "server/tools/cli/examples.hpp"

#include <sstream>

namespace fixwright::tools::cli {

namespace {

constexpr auto kEmitter = "12/1893456000000000123";

std::vector<Example> of_logs() {
  return {{"locate", "my-log.csv --format geojson"},
          {"explain", "my-log.csv --fix 3 --svg fix.svg"},
          {"replay", "my-log.csv --every 60"},
          {"calibrate", "my-log.csv --joint"},
          {"accuracy", "--config server.toml --box -150.8,40.9,-149.9,41.6 --suggest"},
          {"completion", "> /etc/bash_completion.d/fixwright"}};
}

std::vector<Example> of_calibrations() {
  return {{"calibration propose", "--joint --since 2031-05-01T00:00:00Z --database \"...\""},
          {"calibration list", "--database \"...\""},
          {"calibration accept", "3 --note \"mast turned back on Tuesday\" --database \"...\""},
          {"calibration refuse", "4 --note \"a crane stood in the way\" --database \"...\""}};
}

std::vector<Example> of_the_register() {
  return {{"register import", "licences.csv --mapping regulator.toml --dry-run --database \"...\""},
          {"register list", "--frequency 156.8 --database \"...\""},
          {"register show", "OSM-12 --database \"...\""},
          {"register history", "OSM-12 --database \"...\""},
          {"register imports", "--database \"...\""},
          {"register decide", std::string(kEmitter) +
                                  " registered --licence OSM-12 --note \"its mast was moved\" "
                                  "--database \"...\""}};
}

std::vector<Example> of_alerts() {
  const std::string id = std::string("new_unregistered_emitter/") + kEmitter;
  return {{"alert list", "--all --since 2031-05-01T00:00:00Z --database \"...\""},
          {"alert show", id + " --database \"...\""},
          {"alert ack", id + " --by mara --database \"...\""},
          {"alert mute",
           "--rule station_silent --station MOSS-RIDGE --hours 48 --note \"mast work\" "
           "--database \"...\""},
          {"alert unmute", "7 --database \"...\""},
          {"alert settings", "--database \"...\""},
          {"alert rule set", "emitter_moved --severity warning --hold-down 600 --database \"...\""},
          {"alert rule clear", "emitter_moved --database \"...\""},
          {"alert area add", "harbour --at 41.2 -150.3 --radius 2 --database \"...\""},
          {"alert area remove", "harbour --database \"...\""},
          {"alert try", "--config server.toml --since 2031-05-01T00:00:00Z --database \"...\""}};
}

std::vector<Example> of_emitters() {
  const std::string e = kEmitter;
  return {{"emitters", "--limit 20"},
          {"emitter rename", e + " \"harbour mast\" --database \"...\""},
          {"emitter note", e + " \"red light, seen from the quay\" --database \"...\""},
          {"emitter watch", e + " --database \"...\""},
          {"emitter unwatch", e + " --database \"...\""},
          {"emitter merge", e + " 12/1893459600000000456 --database \"...\""},
          {"emitter split", "12/1893459600000000456 --database \"...\""},
          {"emitter undo", "7 --database \"...\""},
          {"emitter history", e + " --database \"...\""}};
}

std::vector<Example> of_questions() {
  const std::string emitter = "--channel 12 --emitter 1893456000000000123";
  return {{"query bearing_only", "--days 30"},
          {"query busy_hours", "--channel 12 --days 28"},
          {"query complaints", "--log complaints.csv"},
          {"query emitter_life", emitter},
          {"query first_seen", "--days 7 --format csv"},
          {"query heard_by", emitter},
          {"query hearing", "--days 7"},
          {"query in_area", "--west -150.5 --south 41.0 --east -150.1 --north 41.3"},
          {"query near", "--latitude 41.2 --longitude -150.31"},
          {"query nights", emitter + " --zone Pacific/Honolulu"},
          {"query occupancy", "--channel 12 --hours 24"},
          {"query on_at", "--at 2031-05-04T09:00:00Z"},
          {"query station_hours", "--hours 24"}};
}

std::vector<Example> of_cases_and_papers() {
  const std::string e = kEmitter;
  return {{"case open",
           "\"What disturbs the ferry?\" --frequency 156.8 --place 41.2,-150.3 --database \"...\""},
          {"case list", "--database \"...\""},
          {"case show", "1 --database \"...\""},
          {"case report", "1 --output case.html --database \"...\""},
          {"case add", "1 " + e + " --note \"the same hum\" --database \"...\""},
          {"case note", "1 \"the hum stops at six\" --database \"...\""},
          {"case close", "1 \"handed to the authority\" --database \"...\""},
          {"report", e + " --since 2031-05-01T00:00:00Z --output report.html"},
          {"handover", e + " --basemap osmere.geojson --output way.html"}};
}

std::vector<Example> of_layers_and_upkeep() {
  return {{"export alerts", "--format csv --since 2031-05-01T00:00:00Z"},
          {"export emitters", "--format kml --output emitters.kml"},
          {"export fixes", "--format geojsonseq --since 2031-05-04T00:00:00Z"},
          {"export licences", "--box -150.6,41.0,-150.0,41.5"},
          {"export lines", "--format geojson"},
          {"export regions", "--format geojson --output regions.geojson"},
          {"export stations", "--format gpx --output stations.gpx"},
          {"export tracks", "--format gpx --output drive.gpx"},
          {"recompute",
           "--since 2031-05-01T00:00:00Z --config server.toml --dry-run --database \"...\""},
          {"retention", "--days 365 --plan --database \"...\""}};
}

}  // namespace

const std::vector<Example>& examples() {
  static const std::vector<Example> kAll = [] {
    std::vector<Example> all;
    for (const auto& some :
         {of_logs(), of_calibrations(), of_the_register(), of_alerts(), of_emitters(),
          of_questions(), of_cases_and_papers(), of_layers_and_upkeep()}) {
      all.insert(all.end(), some.begin(), some.end());
    }
    return all;
  }();
  return kAll;
}

void add_examples(CLI::App& app) {
  for (const Example& example : examples()) {
    CLI::App* command = &app;
    std::istringstream words(example.command);
    for (std::string word; words >> word;) command = command->get_subcommand(word);
    command->footer("Example:\n  fixwright " + example.command + " " + example.arguments);
  }
}

}  // namespace fixwright::tools::cli
