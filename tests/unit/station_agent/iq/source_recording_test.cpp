// A scene written as SigMF, with the truth beside it, and read back through the whole chain.
#include <gmock/gmock.h>

#include <cmath>
#include <fstream>
#include <map>

#include "station_agent/app/simulate.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/scene/scene_config.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"
#include "tests/unit/station_agent/iq/source_fixture.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::iq {
namespace {

constexpr const char* kScene = R"(
seed = 3
start = "2031-05-04T10:15:00Z"
[[station]]
name = "QUILL-POINT"
latitude_deg = 41.020
longitude_deg = -150.120
rate_hz = 2e5
centre_hz = 156.75e6
[station.array]
radius_m = 0.67
orientation_deg = 100.0
[[emitter]]
name = "OSM-12"
frequency_hz = 156.8e6
azimuth_deg = 321.0
level_dbfs = -20.0
modulation = "fm"
deviation_hz = 3000.0
[[emitter]]
name = "OSM-14"
frequency_hz = 156.7e6
azimuth_deg = 45.0
level_dbfs = -25.0
modulation = "noise"
bandwidth_hz = 8000.0
period_s = 1.0
on_s = 0.4
offset_s = 0.25
)";

class WrittenScene : public testing::Test {
 protected:
  void SetUp() override {
    config.scenario = folder.path() / "scene.toml";
    std::ofstream(config.scenario) << kScene;
    config.out = folder.path() / "recordings";
    config.lasts = std::chrono::seconds{3};
    const auto written = simulate(config);
    ASSERT_TRUE(written) << written.error();
    ASSERT_THAT(*written, testing::ElementsAre("QUILL-POINT"));
    parse = read_sigmf(config.out / "QUILL-POINT.sigmf-meta", Annotations::keep);
    ASSERT_THAT(parse.problems, testing::IsEmpty());
  }

  TempFolder folder;
  SimulateConfig config;
  SigmfParse parse;
};

TEST_F(WrittenScene, AnnotationsTellTheTruth) {
  std::map<std::string, std::vector<SigmfAnnotation>> by_name;
  for (const SigmfAnnotation& a : parse.metadata.annotations) by_name[a.label].push_back(a);
  ASSERT_EQ(by_name["OSM-12"].size(), 1U);
  ASSERT_EQ(by_name["OSM-14"].size(), 3U);
  const SigmfAnnotation& steady = by_name["OSM-12"].front();
  EXPECT_EQ(steady.sample_start, 0U);
  EXPECT_EQ(steady.sample_count, 600'000U);
  // From the array's boresight, which is at 100 degrees.
  EXPECT_NEAR(steady.signal_azimuth_deg.value_or(-1.0), 221.0, 1e-9);
  EXPECT_NEAR(*steady.freq_upper_edge_hz - *steady.freq_lower_edge_hz, 2.0 * (3000.0 + 2617.0),
              1e-6);  // Carson
  const SigmfAnnotation& second = by_name["OSM-14"][1];
  EXPECT_EQ(second.sample_start, 250'000U);
  EXPECT_EQ(second.sample_count, 80'000U);
}

TEST_F(WrittenScene, ReadBackItGivesBearingsOfTheAnnotatedAzimuths) {
  RecordingConfig recording;
  recording.path = (config.out / "QUILL-POINT.sigmf-meta").string();
  auto stream = open_recording(recording, host_clock());
  ASSERT_TRUE(stream) << stream.error();
  IqSourceConfig chain;  // geometry and orientation are the recording's own
  chain.channels = {{156.7e6, 16'000.0}, {156.8e6, 16'000.0}};
  chain.calibration.method = array::CalibrationMethod::common_reference;
  chain.calibration.elements.resize(5);
  auto opened = IqSource::open(chain, std::move(stream).value(), nullptr, host_clock());
  ASSERT_TRUE(opened) << opened.error();
  const auto source = std::move(opened).value();
  const Played p = played(*source);
  int heard = 0;
  for (const SourceBearing& b : p.bearings) {
    const auto frame = static_cast<std::uint64_t>(
        seconds(b.start + b.integration / 2 - *parse.metadata.captures[0].datetime) * 2e5);
    bool annotated = false;
    for (const SigmfAnnotation& a : parse.metadata.annotations) {
      if (b.frequency_hz < *a.freq_lower_edge_hz || b.frequency_hz > *a.freq_upper_edge_hz) {
        continue;
      }
      // An end is good to one analysis step, 2.56 ms: so far a last look may lie beyond.
      if (frame < a.sample_start || frame > a.sample_start + *a.sample_count + 512) continue;
      const double truth_deg = *a.signal_azimuth_deg + 100.0;
      EXPECT_LT(std::abs(wrap_180(b.azimuth_deg - truth_deg)), 3.0 * b.sigma_deg) << a.label;
      annotated = true;
    }
    heard += annotated ? 1 : 0;
    EXPECT_TRUE(annotated) << b.frequency_hz << " Hz at frame " << frame << " for "
                           << seconds(b.integration) << " s, " << b.snr_db.value_or(0.0) << " dB";
  }
  EXPECT_GE(heard, 18);  // fifteen looks at the one, two at each burst of the other
  EXPECT_THAT(p.complaints, testing::IsEmpty()) << p.all_complaints();
}

TEST_F(WrittenScene, ARecordingOfAnotherNumberOfChannelsIsRefused) {
  RecordingConfig recording;
  recording.path = (config.out / "QUILL-POINT.sigmf-meta").string();
  IqSourceConfig chain;
  chain.geometry = array::circular_array(7, 0.67);
  auto stream = open_recording(recording, host_clock());
  ASSERT_TRUE(stream) << stream.error();
  const auto opened = IqSource::open(chain, std::move(stream).value(), nullptr, host_clock());
  ASSERT_FALSE(opened);
  EXPECT_THAT(opened.error(), testing::HasSubstr("5 channels"));
}

TEST(Simulate, WhatItCannotDoIsToldInOneLine) {
  const TempFolder folder;
  SimulateConfig config;
  config.scenario = folder.path() / "scene.toml";
  std::ofstream(config.scenario) << kScene;
  config.out = folder.path();
  config.stations = {"MOSS-RIDGE"};
  EXPECT_THAT(simulate(config).error(), testing::HasSubstr("no station named MOSS-RIDGE"));
  config.stations.clear();
  config.type = "rf32_le";
  EXPECT_THAT(simulate(config).error(), testing::HasSubstr("complex"));
}

TEST(SceneFile, EveryMistakeIsALine) {
  const auto problems = scene::parse_scene(
                            "[[station]]\nname = \"A\"\nlatitude_deg = 41\nlongitude_deg = -150\n"
                            "rate_hz = 10\ncentre_hz = 1e8\n[[station.fault]]\nkind = \"broken\"\n"
                            "[[station.echo]]\nemitter = \"X\"\nazimuth_deg = 3\nratio = 0.1\n"
                            "[[emitter]]\nname = \"E\"\nfrequency_hz = 1e8\nmodulation = \"fsk\"\n",
                            "scene.toml")
                            .problems;
  EXPECT_THAT(problems, testing::IsSupersetOf(
                            {testing::HasSubstr("rate_hz"), testing::HasSubstr("fault"),
                             testing::HasSubstr("symbol_rate_hz"),
                             testing::HasSubstr("deviation_hz"), testing::HasSubstr("waypoint")}));
  EXPECT_THAT(problems, testing::Contains(testing::HasSubstr("names no emitter of this file")));
}

}  // namespace
}  // namespace fixwright::agent::iq
