#include "station_agent/app/check_command.hpp"

#include <algorithm>
#include <thread>

#include "server/base/log.hpp"
#include "station_agent/app/agent.hpp"
#include "station_agent/app/agent_config.hpp"
#include "station_agent/app/agent_parts.hpp"
#include "station_agent/check/host_checks.hpp"
#include "station_agent/check/report_json.hpp"
#include "station_agent/check/report_text.hpp"
#include "station_agent/check/sample_check.hpp"

namespace fixwright::agent {

namespace {

using check::Finding;
using check::Severity;

constexpr Duration kServerPatience = std::chrono::seconds{5};
/// chrony is asked by a program of its own, a navigation receiver speaks once a second.
constexpr Duration kClockPatience = std::chrono::milliseconds{500};
constexpr Duration kNavigationPatience = std::chrono::seconds{3};

int write(const check::Report& report, const CheckOptions& options, std::ostream& out) {
  out << (options.json ? check::json_of(report) : check::text_of(report));
  return check::exit_code(report.severity());
}

/// Nothing can be checked: one finding a line.
int write_unusable(check::Report report, const std::vector<std::string>& lines,
                   const CheckOptions& options, std::ostream& out) {
  for (const std::string& line : lines) {
    report.findings.push_back(
        {"config", Severity::fault, line, "mend it; nothing else was checked"});
  }
  write(report, options, out);
  return kExitOperator;
}

std::vector<Finding> sample_findings(const AgentConfig& config, const CheckOptions& options,
                                     const std::optional<check::KnownTransmitter>& transmitter,
                                     const std::vector<PlannedChannel>& plan, const Clock& clock) {
  if (config.source != SourceKind::iq) return check::no_samples();
  auto stream = open_iq_stream(config.iq, clock);
  if (!stream) {
    return {{"samples", Severity::fault, stream.error(),
             "if an agent of this station runs, it has the receiver: stop it for the check"}};
  }
  check::SampleQuestion question{.config = config.iq.chain};
  question.plan = plan;
  question.transmitter = transmitter;
  question.lasts = from_seconds(options.sample_seconds);
  if (const auto& place = config.uplink.position) {
    question.station = GeoPoint{place->latitude_deg, place->longitude_deg};
  }
  return check::check_samples_of(**stream, question);
}

Finding position_finding(const AgentConfig& config, const Clock& clock) {
  if (config.navigation.feed == NavFeed::none) {
    return check::check_fixed_position(config.uplink.position);
  }
  const auto navigation = Navigation::open(config.navigation, clock);
  if (!navigation) {
    return {"position", Severity::fault, navigation.error(), "mend [position]"};
  }
  const auto until = std::chrono::steady_clock::now() + kNavigationPatience;
  Whereabouts now;
  while (std::chrono::steady_clock::now() < until && !(now.place && now.heading)) {
    std::this_thread::sleep_for(std::chrono::milliseconds{50});
    now = (*navigation)->at(clock.now());
  }
  return check::check_moving_position(now);
}

/// Read last, so that chrony has had time to answer.
Finding clock_finding(const ClockMonitor& monitor, std::chrono::steady_clock::time_point began) {
  std::this_thread::sleep_until(began + kClockPatience);
  return check::check_clock(monitor.read());
}

}  // namespace

int run_check(const CheckOptions& options, const Clock& clock, std::ostream& out) {
  log::start("fixwright-station", log::Level::error);  // what warnings say the report says too
  AgentConfigFile file = load_agent_config(options.config_path);
  AgentConfig& config = file.config;
  config.uplink.agent_version = options.agent_version;
  check::Report report{config.uplink.station, std::string(word(config.source)), clock.now(), {}};
  std::vector<std::string> problems = file.problems;
  std::optional<check::KnownTransmitter> transmitter;
  if (!options.transmitter.empty()) {
    const auto parsed = check::parse_transmitter(options.transmitter);
    if (!parsed) problems.push_back(parsed.error());
    if (parsed) transmitter = *parsed;
  }
  if (!problems.empty()) return write_unusable(report, problems, options, out);

  const auto began = std::chrono::steady_clock::now();
  const auto monitor = make_clock_monitor(config);
  const ServerProbe probe = probe_server(config.uplink, kServerPatience);
  report.findings = sample_findings(config, options, transmitter, probe.plan, clock);
  report.findings.push_back(position_finding(config, clock));
  report.findings.push_back(clock_finding(*monitor, began));
  report.findings.push_back(check::check_server(probe, config.uplink));
  report.findings.push_back(
      check::check_spool(check::look_at_spool(config.spool_path, config.spool)));
  return write(report, options, out);
}

}  // namespace fixwright::agent
