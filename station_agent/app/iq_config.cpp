#include "station_agent/app/iq_config.hpp"

#include "station_agent/app/iq_array_config.hpp"
#include "station_agent/source/iq/scene/scene_config.hpp"
#include "station_agent/source/iq/scene/scene_stream.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"

namespace fixwright::agent {

namespace {

void read_device(const ConfigTable& t, double rate_hz, double centre_hz, IqConfig& config) {
  iq::DeviceSettings& s = config.device.settings;
  s.arguments = t.text("arguments");
  s.rate_hz = rate_hz;
  s.centre_hz = centre_hz;
  const double gain = t.number("gain_db", {.min = -100.0, .max = 200.0});
  if (t.has("gain_db")) s.gain_db = gain;
  s.antenna = t.text("antenna");
  s.clock_source = t.text("clock_source");
  const std::string time =
      t.text("time", {.fallback = "host", .required = false, .one_of = {"host", "device"}});
  config.device.time = time == "device" ? iq::DeviceTime::device : iq::DeviceTime::host;
  config.chain.tune_to_channels = t.flag("tune_to_channels", false);
}

void read_recording(const ConfigTable& t, double centre_hz, IqConfig& config) {
  config.recording.path = t.text("path");
  const std::string pace = t.text(
      "pace",
      {.fallback = "recorded", .required = false, .one_of = {"fast", "recorded", "present"}});
  config.recording.pace = pace == "fast"      ? iq::Pace::fast
                          : pace == "present" ? iq::Pace::present
                                              : iq::Pace::recorded;
  config.recording.hints.centre_hz = centre_hz;
  const std::string start = t.text("start");
  if (start.empty()) return;
  const auto time = parse_rfc3339(start);
  if (!time || *time < iq::kEarliestRecording || *time >= iq::kLatestRecording) {
    return t.complain("start", "must be a time such as 2031-05-04T10:15:02Z, 1920 to 2199");
  }
  config.recording.hints.start = *time;
}

void read_feed(const ConfigTable& t, double rate_hz, double centre_hz, IqConfig& config) {
  const std::string from =
      t.text("from", {.fallback = "stdin", .required = false, .one_of = {"stdin", "pipe", "tcp"}});
  config.feed.address.kind = from == "pipe"  ? iq::FeedKind::pipe
                             : from == "tcp" ? iq::FeedKind::tcp
                                             : iq::FeedKind::descriptor;
  config.feed.address.place = t.text("place");
  const auto type =
      iq::parse_sample_type(t.text("type", {.fallback = "cu8", .required = false, .one_of = {}}));
  if (!type) {
    t.complain("type", type.error());
  } else {
    config.feed.type = *type;
  }
  config.feed.rate_hz = rate_hz;
  config.feed.centre_hz = centre_hz;
}

/// The scene's own truth is the station's calibration, as if it had measured it.
void take_truth(const scene::SceneStation& station, IqConfig& config) {
  array::ArrayCalibration& c = config.chain.calibration;
  c.method = array::CalibrationMethod::common_reference;
  c.date = config.scene.start;
  c.reference_hz = station.centre_hz;
  c.elements = station.responses;
}

void read_scene(const ConfigTable& t, bool wanted, IqConfig& config,
                std::vector<std::string>& problems) {
  const std::string path = t.text("file");
  const bool calibrated = t.flag("calibrated", true);
  config.scene_lasts = from_seconds(t.number("lasts_s", {.min = 0.0, .max = 3.2e7}));
  if (!wanted) return;
  if (path.empty()) return t.complain("file", "source.iq.input = \"scene\" needs a file");
  scene::SceneFile file = scene::load_scene(path);
  problems.insert(problems.end(), file.problems.begin(), file.problems.end());
  config.scene = std::move(file.scene);
  config.chain.simulated = true;
  const scene::SceneStation* station = config.scene.station(config.station);
  if (station == nullptr) {
    if (file.problems.empty()) t.complain("file", "holds no station named " + config.station);
    return;
  }
  if (calibrated && config.chain.calibration.elements.empty()) take_truth(*station, config);
}

/// What only some inputs need.
void check_input(const ConfigTable& t, const IqConfig& config) {
  const bool bare = config.input == IqInput::device || config.input == IqInput::feed;
  if (bare && !config.chain.geometry) {
    t.table("array").complain("shape", "a device or feed tells no array: circle, line or free");
  }
  if (bare && config.feed.rate_hz <= 0.0) t.complain("rate_hz", "a device or feed needs it");
  if (bare && config.feed.centre_hz <= 0.0) t.complain("centre_hz", "a device or feed needs it");
  if (config.input == IqInput::recording && config.recording.path.empty()) {
    t.table("recording").complain("path", "source.iq.input = \"recording\" needs a file");
  }
  const bool placed = config.feed.address.kind != iq::FeedKind::descriptor;
  if (config.input == IqInput::feed && placed && config.feed.address.place.empty()) {
    t.table("feed").complain("place", "a pipe needs its path, tcp host:port");
  }
}

IqInput input_of(const std::string& word) {
  return word == "recording" ? IqInput::recording
         : word == "feed"    ? IqInput::feed
         : word == "scene"   ? IqInput::scene
                             : IqInput::device;
}

}  // namespace

IqConfig read_iq_config(const ConfigTable& table, bool wanted, const std::string& station,
                        std::vector<std::string>& problems) {
  IqConfig config;
  config.station = station;
  config.input =
      input_of(table.text("input", {.fallback = "device",
                                    .required = false,
                                    .one_of = {"device", "recording", "feed", "scene"}}));
  const double rate_hz = table.number("rate_hz", {.min = 1e3, .max = 1e8});
  const double centre_hz = table.number("centre_hz", {.min = 1.0, .max = 3e11});
  read_iq_array(table.table("array"), wanted, config.chain, problems);
  config.chain.detect = read_iq_detect(table.table("detect"));
  config.chain.channels = read_iq_channels(table);
  read_device(table.table("device"), rate_hz, centre_hz, config);
  read_recording(table.table("recording"), centre_hz, config);
  read_feed(table.table("feed"), rate_hz, centre_hz, config);
  read_scene(table.table("scene"), wanted && config.input == IqInput::scene, config, problems);
  if (config.chain.geometry) {
    const std::size_t elements = config.chain.geometry->elements.size();
    config.device.settings.elements = elements;
    config.feed.elements = elements;
    config.recording.hints.elements = elements;
  }
  if (wanted) check_input(table, config);
  return config;
}

Result<std::unique_ptr<iq::SampleStream>> open_iq_stream(const IqConfig& config,
                                                         const Clock& clock) {
  switch (config.input) {
    case IqInput::recording:
      return iq::open_recording(config.recording, clock);
    case IqInput::feed:
      return iq::open_feed(config.feed, clock);
    case IqInput::scene: {
      scene::SceneStreamConfig play;
      play.scene = config.scene;
      play.station = config.station;
      play.lasts = config.scene_lasts;
      return std::unique_ptr<iq::SampleStream>(
          std::make_unique<scene::SceneStream>(std::move(play), clock));
    }
    case IqInput::device:
      break;
  }
  return iq::open_device(config.device, clock);
}

}  // namespace fixwright::agent
