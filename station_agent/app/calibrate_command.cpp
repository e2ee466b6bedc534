#include "station_agent/app/calibrate_command.hpp"

#include "station_agent/app/agent.hpp"
#include "station_agent/app/agent_config.hpp"
#include "station_agent/calibrate/calibration_out.hpp"
#include "station_agent/calibrate/measure.hpp"
#include "station_agent/calibrate/result_text.hpp"

namespace fixwright::agent {

namespace {

constexpr int kExitNotMeasured = 1;

int refuse(const std::vector<std::string>& lines, std::ostream& err) {
  for (const std::string& line : lines) err << line << '\n';
  return kExitOperator;
}

std::optional<GeoPoint> place_of(const AgentConfig& config) {
  const auto& place = config.uplink.position;
  if (!place) return std::nullopt;
  return GeoPoint{place->latitude_deg, place->longitude_deg};
}

}  // namespace

int run_calibrate(const CalibrateCommand& command, const Clock& clock, std::ostream& out,
                  std::ostream& err) {
  AgentConfigFile file = load_agent_config(command.config_path);
  if (!file.problems.empty()) return refuse(file.problems, err);
  const AgentConfig& config = file.config;
  if (config.source != SourceKind::iq) {
    return refuse(
        {command.config_path + ": source.kind: only \"iq\" has samples of an array to calibrate"},
        err);
  }
  const std::string blocked = calibrate::out_problem(command.out_path, command.force);
  if (!blocked.empty()) return refuse({blocked}, err);
  const auto references =
      calibrate::references_of(command.common_hz, command.transmitters, place_of(config));
  if (!references) return refuse({references.error()}, err);
  const auto stream = open_iq_stream(config.iq, clock);
  if (!stream) return refuse({stream.error()}, err);

  const calibrate::CalibrationQuestion question{config.iq.chain, *references,
                                                from_seconds(command.lasts_s), clock.now(),
                                                command.temperature_c};
  const calibrate::Measurement measured = calibrate::measure(**stream, question);
  if (measured.outcome != calibrate::Outcome::measured) {
    err << measured.refusal << "\nNothing was written.\n";
    return measured.outcome == calibrate::Outcome::unusable ? kExitOperator : kExitNotMeasured;
  }
  out << calibrate::text_of(measured, config.iq.chain.calibration);
  const std::string failed =
      calibrate::write_calibration(command.out_path, measured.calibration, command.force);
  if (!failed.empty()) return refuse({failed}, err);
  out << "Written: " << command.out_path
      << "; source.iq.array.calibration_file names the one in use.\n";
  return kExitDone;
}

}  // namespace fixwright::agent
