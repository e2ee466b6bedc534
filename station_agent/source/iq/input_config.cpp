#include "station_agent/source/iq/input_config.hpp"

#include <unistd.h>

#include <optional>
#include <string>

#include "station_agent/source/iq/sigmf_metadata.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent::iq {

namespace {

constexpr double kMostHz = 3e11;

/// What all inputs share.
struct Common {
  std::string input;
  std::string path;
  std::string address;
  std::optional<SampleType> type;
  std::size_t elements = 0;
  double rate_hz = 0.0;
  double centre_hz = 0.0;
  std::size_t block_frames = 0;
};

Common read_common(const ConfigTable& t) {
  Common c;
  c.input = t.text("input", {.fallback = "recording",
                             .required = false,
                             .one_of = {"recording", "stdin", "pipe", "tcp", "device"}});
  c.path = t.text("path");
  c.address = t.text("address");
  const std::string type = t.text("type", {.fallback = "cu8", .required = false, .one_of = {}});
  if (const auto parsed = parse_sample_type(type)) {
    c.type = *parsed;
  } else {
    t.complain("type", parsed.error());
  }
  c.elements = static_cast<std::size_t>(t.integer(
      "elements", {.min = 1, .max = static_cast<std::int64_t>(kMaxElements), .fallback = 0}));
  c.rate_hz = t.number("rate_hz", {.min = 1.0, .max = 1e9, .fallback = 0.0});
  c.centre_hz = t.number("centre_hz", {.min = 1.0, .max = kMostHz, .fallback = 0.0});
  c.block_frames = static_cast<std::size_t>(
      t.integer("block_frames", {.min = 64, .max = 1'048'576, .fallback = 0}));
  return c;
}

RecordingConfig read_recording(const ConfigTable& t, const Common& c) {
  RecordingConfig r;
  r.path = c.path;
  r.hints.elements = c.elements;
  r.hints.centre_hz = c.centre_hz;
  r.block_frames = c.block_frames;
  const std::string pace = t.text(
      "pace", {.fallback = "fast", .required = false, .one_of = {"fast", "recorded", "present"}});
  r.pace = pace == "recorded" ? Pace::recorded : pace == "present" ? Pace::present : Pace::fast;
  const std::string start = t.text("start");
  if (start.empty()) return r;
  const auto time = parse_rfc3339(start);
  if (time && *time >= kEarliestRecording && *time < kLatestRecording) {
    r.hints.start = *time;
  } else {
    t.complain("start", "must be a time such as 2031-05-04T10:15:02Z, 1920 to 2199");
  }
  return r;
}

FeedConfig feed_of(const Common& c) {
  FeedConfig f;
  f.address.kind = c.input == "tcp"    ? FeedKind::tcp
                   : c.input == "pipe" ? FeedKind::pipe
                                       : FeedKind::descriptor;
  f.address.place = c.input == "tcp" ? c.address : c.path;
  f.address.descriptor = STDIN_FILENO;
  f.type = c.type.value_or(SampleType{});
  f.rate_hz = c.rate_hz;
  f.centre_hz = c.centre_hz;
  f.elements = c.elements;
  f.block_frames = c.block_frames;
  return f;
}

DeviceConfig read_device(const ConfigTable& t, const Common& c) {
  DeviceConfig d;
  d.settings.arguments = t.text("arguments");
  if (t.has("gain_db")) d.settings.gain_db = t.number("gain_db", {.min = -100.0, .max = 200.0});
  d.settings.antenna = t.text("antenna");
  d.settings.clock_source = t.text("clock_source");
  d.settings.rate_hz = c.rate_hz;
  d.settings.centre_hz = c.centre_hz;
  d.settings.elements = c.elements;
  d.block_frames = c.block_frames;
  const std::string time =
      t.text("time", {.fallback = "host", .required = false, .one_of = {"host", "device"}});
  d.time = time == "device" ? DeviceTime::device : DeviceTime::host;
  return d;
}

void need_address(const ConfigTable& t, const Common& c) {
  const auto address = parse_address(c.address);
  if (!address || address->host.empty() || address->port == "0") {
    t.complain("address", "must be host:port, with a port of 1 to 65535, for this input");
  }
}

void check_complete(const ConfigTable& t, const Common& c) {
  if ((c.input == "recording" || c.input == "pipe") && c.path.empty()) {
    t.complain("path", "must name a file for this input");
  }
  if (c.input == "tcp") need_address(t, c);
  if (c.input == "recording") return;
  if (c.elements == 0) t.complain("elements", "must say how many the array has, for this input");
  if (c.rate_hz == 0.0) t.complain("rate_hz", "must be given for this input, Hz");
  if (c.centre_hz == 0.0) t.complain("centre_hz", "must be given for this input, Hz");
}

}  // namespace

IqInputConfig read_iq_input_config(const ConfigTable& iq, bool chosen) {
  const Common common = read_common(iq);
  IqInputConfig config;
  config.kind = common.input == "recording" ? IqInputKind::recording
                : common.input == "device"  ? IqInputKind::device
                                            : IqInputKind::feed;
  config.recording = read_recording(iq.table("recording"), common);
  config.feed = feed_of(common);
  config.device = read_device(iq.table("device"), common);
  if (chosen) check_complete(iq, common);
  return config;
}

Result<std::unique_ptr<SampleStream>> open_iq_input(const IqInputConfig& config,
                                                    const Clock& clock) {
  switch (config.kind) {
    case IqInputKind::recording:
      return open_recording(config.recording, clock);
    case IqInputKind::feed:
      return open_feed(config.feed, clock);
    case IqInputKind::device:
      break;
  }
  return open_device(config.device, clock);
}

}  // namespace fixwright::agent::iq
