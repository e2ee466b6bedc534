#include "station_agent/check/host_checks.hpp"

#include <fmt/core.h>
#include <unistd.h>

#include <algorithm>
#include <system_error>

namespace fixwright::agent::check {

namespace {

std::string_view name_of(ClockReference reference) {
  switch (reference) {
    case ClockReference::kernel:
      return "the kernel's word";
    case ClockReference::chrony:
      return "chrony's word";
    case ClockReference::fixed:
      return "as configured";
    case ClockReference::none:
      break;
  }
  return "nobody's word";
}

constexpr double kMega = 1e6;

/// Where the file will grow: its folder, behind a link too.
std::filesystem::path folder_of(const std::filesystem::path& path) {
  const std::filesystem::path parent = path.parent_path();
  return parent.empty() ? std::filesystem::path{"."} : parent;
}

}  // namespace

Finding check_clock(const ClockReading& reading) {
  Finding f{.area = "clock", .figures = {{"clock_error_s", seconds(reading.error)}}};
  const std::string bound =
      fmt::format("to {:.3f} s, {}", seconds(reading.error), name_of(reading.reference));
  if (reading.state == ClockState::unsynchronised) {
    f.severity = Severity::warning;
    f.what = fmt::format("unsynchronised, good {}: nothing that moves can be located", bound);
    f.to_do = "run a time service, such as chrony, with a reference it can reach";
    return f;
  }
  const bool holdover = reading.state == ClockState::holdover;
  f.what = fmt::format("{}, good {}", holdover ? "holdover" : "synchronised", bound);
  if (reading.error > kBadClockError) {
    f.severity = Severity::warning;
    f.to_do = "look why the time service hears no better reference";
  } else if (holdover || reading.error > kGoodClockError) {
    f.severity = Severity::advice;
    f.to_do = holdover ? "the reference is lost: look at the time service and its network"
                       : "a nearer time server or a GNSS receiver gives a smaller bound";
  }
  return f;
}

Finding check_fixed_position(const std::optional<StationPosition>& position) {
  if (!position) {
    return {"position", Severity::advice,
            "not configured: the server's registered place counts, and nobody compares",
            "measure where the antenna stands and set station.latitude_deg and longitude_deg"};
  }
  Finding f{.area = "position",
            .what = fmt::format("configured, {:.5f} {:.5f}", position->latitude_deg,
                                position->longitude_deg)};
  if (position->position_sigma_m) {
    f.what += fmt::format(", to {:.1f} m", *position->position_sigma_m);
    f.figures.emplace_back("position_sigma_m", *position->position_sigma_m);
  }
  return f;
}

Finding check_moving_position(const Whereabouts& now) {
  if (!now.place) {
    return {"position", Severity::warning,
            "the navigation receiver gives no position: bearings are withheld",
            "look at its antenna's view of the sky, and at [position] in the configuration"};
  }
  Finding f{.area = "position",
            .what = fmt::format("{:.5f} {:.5f}, to {:.1f} m", now.place->position.latitude_deg,
                                now.place->position.longitude_deg, now.place->sigma_m),
            .figures = {{"position_sigma_m", now.place->sigma_m}}};
  if (now.heading) {
    f.what += fmt::format("; heading {:.1f} deg, to {:.1f}", now.heading->azimuth_deg,
                          now.heading->sigma_deg);
    f.figures.emplace_back("heading_sigma_deg", now.heading->sigma_deg);
    return f;
  }
  f.severity = Severity::advice;
  f.what += "; no heading: bearings are withheld";
  f.to_do = "drive on, or give it a compass: standing still it cannot know its heading";
  return f;
}

Finding check_server(const ServerProbe& probe, const UplinkConfig& uplink) {
  Finding f{.area = "server", .severity = Severity::fault, .what = "", .to_do = ""};
  const std::string said = probe.message.empty() ? "" : " (" + probe.message + ")";
  switch (probe.outcome) {
    case ProbeOutcome::welcomed:
      f.severity = Severity::ok;
      f.what = fmt::format("{} knows {}: version {}, {} channels planned, answered in {:.0f} ms",
                           uplink.server, uplink.station, probe.server_version, probe.plan.size(),
                           seconds(probe.took) * 1e3);
      f.figures = {{"answer_s", seconds(probe.took)},
                   {"planned_channels", static_cast<double>(probe.plan.size())}};
      return f;
    case ProbeOutcome::already_connected:
      f.severity = Severity::ok;
      f.what =
          fmt::format("{}: an agent of the name {} is connected", uplink.server, uplink.station);
      f.to_do = "if that is not your own, two stations have one name: ask the server's operator";
      return f;
    case ProbeOutcome::away:
      f.what = fmt::format("{} can't be reached{}", uplink.server, said);
      f.to_do = "look at the network, server.address and the server; bearings wait in the spool";
      return f;
    case ProbeOutcome::silent:
      f.what = fmt::format("{} does not answer{}", uplink.server, said);
      f.to_do = "look whether server.address is right and no firewall swallows the connection";
      return f;
    case ProbeOutcome::unknown_station:
      f.what = fmt::format("{} knows no station {}{}", uplink.server, uplink.station, said);
      f.to_do = "have its operator register the station, or mend station.name";
      return f;
    case ProbeOutcome::disagrees:
      f.what = fmt::format("{} disagrees{}", uplink.server, said);
      f.to_do = "make this configuration and the server's agree";
      return f;
    case ProbeOutcome::no_credentials:
      f.what = fmt::format("{} does not accept this agent's credentials{}", uplink.server, said);
      f.to_do = "ask the server's operator for credentials that it accepts";
      return f;
    case ProbeOutcome::no_fixwright:
      break;
  }
  f.what = fmt::format("{} is no Fixwright server of this version{}", uplink.server, said);
  f.to_do = "mend server.address, or bring agent and server to versions that fit";
  return f;
}

SpoolSpace look_at_spool(const std::filesystem::path& path, const SpoolLimits& limits) {
  SpoolSpace space{.path = path.string(), .problem = "", .max_bearings = limits.max_bearings};
  const std::filesystem::path folder = folder_of(path);
  std::error_code failed;
  const std::filesystem::space_info info = std::filesystem::space(folder, failed);
  if (failed) {
    space.problem = fmt::format("{}: {}", folder.string(), failed.message());
    return space;
  }
  space.free_bytes = static_cast<double>(info.available);
  const auto size = std::filesystem::file_size(path, failed);
  if (!failed) space.file_bytes = static_cast<double>(size);
  const std::filesystem::path written = failed ? folder : path;
  if (access(written.c_str(), W_OK) != 0) {
    space.problem = fmt::format("{}: this user may not write there", written.string());
  }
  return space;
}

Finding check_spool(const SpoolSpace& space) {
  Finding f{.area = "spool", .what = ""};
  if (!space.problem.empty()) {
    f.severity = Severity::fault;
    f.what = space.problem;
    f.to_do = "make the folder of spool.path and let the agent's user write there";
    return f;
  }
  const double needed = static_cast<double>(space.max_bearings) * kSpoolBytesPerBearing;
  const double room = space.free_bytes + space.file_bytes;
  const double holds = room / kSpoolBytesPerBearing;
  f.figures = {{"needed_bytes", needed}, {"free_bytes", space.free_bytes}};
  f.what = fmt::format("{:.0f} MB free; spool.max_bearings = {} may need {:.0f} MB",
                       space.free_bytes / kMega, space.max_bearings, needed / kMega);
  if (room >= needed) return f;
  // Under a tenth the disk is as good as full: the agent would soon stop taking bearings.
  f.severity = room < 0.1 * needed ? Severity::fault : Severity::warning;
  f.to_do = fmt::format("free disk, or set spool.max_bearings to {:.0f} or less", holds * 0.8);
  return f;
}

}  // namespace fixwright::agent::check
