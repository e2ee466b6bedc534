#include "server/tools/cli/commands.hpp"

namespace fixwright::tools::cli {

void add_input(CLI::App& command, std::string& input) {
  command.add_option("input", input, "CSV file, or - for standard input")->capture_default_str();
}

void add_database(CLI::App& command, std::string& database) {
  command.add_option("--database", database,
                     "As libpq takes it: \"host=/run/fixwright dbname=fixwright "
                     "user=fixwright_writer\"");
}

void add_transmission_rules(CLI::App& command, TransmissionRules& rules) {
  command
      .add_option("--frequency-tolerance", rules.frequency_tolerance_hz,
                  "Hz: bearings this near in frequency are one transmission")
      ->check(CLI::Range(1e-3, 1e9))
      ->capture_default_str();
  command.add_option("--gap", rules.gap_s, "Seconds: a longer pause ends a transmission")
      ->check(CLI::Range(1e-3, 1e6))
      ->capture_default_str();
}

void add_locate_rules(CLI::App& command, locate::LocateRules& rules) {
  command.add_option("--min-crossing", rules.min_crossing_deg, "Degrees: least crossing angle")
      ->check(CLI::Range(1.0, 45.0))
      ->capture_default_str();
  command.add_option("--max-range", rules.max_range_m, "Metres: farthest a station may be")
      ->check(CLI::Range(1e3, 1.9e7))
      ->capture_default_str();
  command
      .add_option("--gross-errors", rules.gross_error_share,
                  "Share of bearings that are reflections or other signals")
      ->check(CLI::Range(0.001, 0.5))
      ->capture_default_str();
  command
      .add_option("--site-sigma", rules.default_site_sigma_deg,
                  "Degrees: part of a sigma that many bearings of a station do not average away")
      ->check(CLI::Range(0.0, 30.0))
      ->capture_default_str();
}

}  // namespace fixwright::tools::cli
