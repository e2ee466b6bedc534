/// Bearings from a device that is tuned by the channel plan (tests/support/soapy_array).

#include <gmock/gmock.h>

#include <cmath>
#include <cstdlib>
#include <fstream>

#include "station_agent/source/iq/chain/watched_channels.hpp"
#include "station_agent/source/iq/device_stream.hpp"
#include "tests/unit/station_agent/iq/source_fixture.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::iq {
namespace {

using std::chrono::milliseconds;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr TimePoint kStart = std::chrono::sys_days{std::chrono::year{2031} / 5 / 4};
constexpr double kRate_hz = 200'000.0;
constexpr double kConfigured_hz = 155e6;
constexpr double kFirst_hz = 156.8e6;  // from 70 degrees
constexpr double kSecond_hz = 162e6;   // from 180 degrees
constexpr double kSpeedOfLight_m_per_s = 299'792'458.0;
// The module's phases are those of 0.4 wavelengths at any frequency; ours of metres: up to 1.7 %
// of the radius, on a circle 5 elements wide and with a carrier alone no more than a fit that is
// some degrees worse and an azimuth that is off by a fraction of a degree.
constexpr double kTolerance_deg = 1.0;

PlannedChannel channel(double frequency_hz) { return {frequency_hz, 16'000.0}; }

class TunedDevice : public testing::Test {
 protected:
  // SoapySDR looks for modules once, when the first device is made.
  static void SetUpTestSuite() { setenv("SOAPY_SDR_PLUGIN_PATH", FIXWRIGHT_SOAPY_MODULES, 1); }

  void SetUp() override {
    device_.settings = {.rate_hz = kRate_hz, .centre_hz = kConfigured_hz, .elements = 5};
    device_.block_frames = 2000;
    chain_.tune_to_channels = true;
    const double middle_hz = (kFirst_hz + kSecond_hz) / 2.0;
    chain_.geometry = array::circular_array(5, 0.4 * kSpeedOfLight_m_per_s / middle_hz);
    chain_.calibration.method = array::CalibrationMethod::common_reference;
    chain_.calibration.elements.resize(5);
  }

  void open(const std::string& more = "") {
    device_.settings.arguments = "driver=fixwright_array,noise=1,first_hz=156800000," +
                                 ("second_hz=162000000,tunings=" + tunings_.string()) + more;
    auto opened = IqSource::open(chain_, open_device(device_, clock_), &board_, clock_);
    ASSERT_TRUE(opened) << opened.error();
    source_ = std::move(opened).value();
  }

  /// A second of samples, in blocks of 10 ms. No bearing may start before a watermark gone by.
  Played second() {
    Played p;
    for (int i = 0; i < 100; ++i) {
      clock_.advance(milliseconds{10});
      SourceBatch batch = source_->read(Duration{0});
      EXPECT_FALSE(batch.ended);
      for (const SourceBearing& b : batch.bearings) EXPECT_GE(b.start, promised_);
      EXPECT_GE(batch.low_watermark, promised_);
      promised_ = batch.low_watermark;
      for (auto& b : batch.bearings) p.bearings.push_back(std::move(b));
      for (auto& c : batch.complaints) p.complaints.push_back(std::move(c));
    }
    return p;
  }

  /// Every centre that the device was set to, in MHz.
  [[nodiscard]] std::vector<double> tunings_mhz() const {
    std::vector<double> all;
    std::ifstream file(tunings_);
    for (double hz = 0.0; file >> hz;) all.push_back(hz / 1e6);
    return all;
  }

  TempFolder folder_;
  std::filesystem::path tunings_ = folder_.path() / "tunings";
  DeviceConfig device_;
  IqSourceConfig chain_;
  ManualClock clock_{kStart};
  PlanBoard board_;
  std::unique_ptr<Source> source_;
  TimePoint promised_{};
};

void expect_all_of(const Played& p, double frequency_hz, double azimuth_deg) {
  // Five looks of 200 ms, less the one that is not over and the detector's first.
  EXPECT_GE(p.bearings.size(), 3U) << p.all_complaints();
  for (const SourceBearing& b : p.bearings) {
    EXPECT_NEAR(b.frequency_hz, frequency_hz, 500.0);
    EXPECT_NEAR(wrap_180(b.azimuth_deg - azimuth_deg), 0.0, kTolerance_deg);
    EXPECT_FALSE(b.overload);
  }
}

TEST_F(TunedDevice, APlanTunesItAndItsEmitterHasItsAzimuth) {
  open();
  const Played before = second();
  EXPECT_THAT(before.bearings, IsEmpty());
  board_.post({channel(kFirst_hz), channel(kFirst_hz - 100'000.0)});
  const Played p = second();
  expect_all_of(p, kFirst_hz, 70.0);
  EXPECT_THAT(p.complaints, IsEmpty()) << p.all_complaints();
  EXPECT_THAT(tunings_mhz(), ElementsAre(155.0, 156.75));
}

TEST_F(TunedDevice, APlanThatIsThereFirstOpensItOnItsCentre) {
  board_.post({channel(kFirst_hz), channel(kFirst_hz - 100'000.0)});
  open();
  const Played p = second();
  expect_all_of(p, kFirst_hz, 70.0);
  EXPECT_THAT(p.complaints, IsEmpty()) << p.all_complaints();
  EXPECT_THAT(tunings_mhz(), ElementsAre(156.75));
}

TEST_F(TunedDevice, GainOfTheConfigurationStaysWhenItIsTuned) {
  device_.settings.gain_db = 14.0;  // 6 dB below the one at which a carrier is half of full scale
  open();
  for (const double frequency_hz : {kFirst_hz, kSecond_hz}) {
    board_.post({channel(frequency_hz)});
    const Played p = second();
    ASSERT_GE(p.bearings.size(), 3U) << p.all_complaints();
    for (const SourceBearing& b : p.bearings) {
      ASSERT_TRUE(b.level_dbfs);
      EXPECT_NEAR(*b.level_dbfs, -6.02 - 6.0, 0.2);  // 0.2 dB: edges of the analysed width
    }
  }
}

TEST_F(TunedDevice, AnotherPlanTunesItOnceMoreAndNothingOfTheOldCentreIsHeard) {
  open();
  board_.post({channel(kFirst_hz), channel(kFirst_hz - 100'000.0)});
  const Played first = second();
  expect_all_of(first, kFirst_hz, 70.0);
  // The middle one, silent, is where samples of the old centre would show the first emitter:
  // 50 kHz above the centre.
  board_.post(
      {channel(kSecond_hz - 140'000.0), channel(kSecond_hz - 20'000.0), channel(kSecond_hz)});
  const Played p = second();
  EXPECT_THAT(p.complaints, IsEmpty()) << p.all_complaints();
  EXPECT_THAT(tunings_mhz(), ElementsAre(156.75, 161.93));
  std::vector<SourceBearing> rest;
  for (const SourceBearing& b : p.bearings) {
    const bool is_old = std::abs(b.frequency_hz - kFirst_hz) < 500.0;
    if (!is_old) {
      EXPECT_GE(b.start, kStart + milliseconds{1000});
      rest.push_back(b);
      continue;
    }
    // What was heard last at the old centre is over before the new one begins.
    EXPECT_LE(b.start + b.integration, kStart + milliseconds{1000});
    EXPECT_NEAR(wrap_180(b.azimuth_deg - 70.0), 0.0, kTolerance_deg);
  }
  expect_all_of({rest, {}, {}}, kSecond_hz, 180.0);
  board_.post({channel(kSecond_hz - 140'000.0), channel(kSecond_hz)});  // the same middle
  second();
  EXPECT_EQ(tunings_mhz().size(), 2U);
}

TEST_F(TunedDevice, APlanWiderThanTheSpanWatchesWhatFitsAndNamesTheRestOnce) {
  open();
  board_.post(
      {channel(kFirst_hz), channel(kFirst_hz + 100'000.0), channel(kSecond_hz), channel(433.92e6)});
  const Played p = second();
  expect_all_of(p, kFirst_hz, 70.0);
  ASSERT_EQ(p.complaints.size(), 1U) << p.all_complaints();
  EXPECT_THAT(p.complaints[0], HasSubstr("not watched: 162.000000, 433.920000 MHz"));
  EXPECT_THAT(second().complaints, IsEmpty());
  // Another plan is another matter, and soon enough to be told.
  board_.post({channel(kSecond_hz), channel(kSecond_hz + 100'000.0), channel(kFirst_hz)});
  const Played q = second();
  EXPECT_EQ(q.told({"not watched: 156.800000 MHz"}), 1) << q.all_complaints();
}

TEST_F(TunedDevice, ItsOwnLineInTheMiddleIsInNoChannel) {
  open(",line=1");
  for (const auto& plan :
       {std::vector{channel(158e6)},
        std::vector{channel(158e6), channel(158.05e6), channel(158.1e6)},
        std::vector{channel(157.9925e6), channel(158e6), channel(158.0175e6), channel(158.1e6)}}) {
    board_.post(plan);
    const Played p = second();
    EXPECT_THAT(p.bearings, IsEmpty()) << tunings_mhz().back();
    EXPECT_THAT(p.complaints, IsEmpty()) << p.all_complaints();
  }
}

TEST_F(TunedDevice, ATunerThatGoesInStepsIsAskedOnceForAPlan) {
  open(",step_hz=20000");
  board_.post({channel(kFirst_hz), channel(kFirst_hz - 110'000.0)});
  expect_all_of(second(), kFirst_hz, 70.0);
  board_.post({channel(kSecond_hz), channel(kSecond_hz - 110'000.0)});
  second();
  expect_all_of(second(), kSecond_hz, 180.0);
  EXPECT_THAT(tunings_mhz(), ElementsAre(156.74, 161.94));
}

TEST_F(TunedDevice, WhereTheTunerCanNotGoItStaysAndSaysSo) {
  open(",highest_hz=160000000");
  board_.post({channel(kFirst_hz), channel(kFirst_hz - 100'000.0)});
  second();
  board_.post({channel(kSecond_hz), channel(kSecond_hz + 60'000.0), channel(kFirst_hz)});
  const Played refused = second();
  EXPECT_EQ(
      refused.told({"can not be tuned to 162.030000 MHz: no such frequency: stays at 156.75"}), 1)
      << refused.all_complaints();
  EXPECT_EQ(refused.told({"not watched: 162.000000, 162.060000 MHz"}), 1)
      << refused.all_complaints();
  const Played p = second();
  expect_all_of(p, kFirst_hz, 70.0);
  EXPECT_THAT(p.complaints, IsEmpty()) << p.all_complaints();
}

TEST_F(TunedDevice, ListedChannelsTuneItWhateverThePlan) {
  chain_.channels = {{kFirst_hz, 16'000.0}, {kFirst_hz - 100'000.0, 16'000.0}};
  board_.post(
      {channel(kSecond_hz), channel(kSecond_hz + 20'000.0), channel(kSecond_hz + 40'000.0)});
  open();
  expect_all_of(second(), kFirst_hz, 70.0);
  EXPECT_THAT(tunings_mhz(), ElementsAre(156.75));
}

// Channels every 25 kHz, as in the maritime band (Rec. ITU-R M.1084): no place is clear by 1 %.
TEST(BestCentre, AmongDenseChannelsTheMiddleGoesBetweenTwo) {
  std::vector<detect::WatchedChannel> dense;
  for (int i = 0; i < 57; ++i) dense.push_back({156e6 + 25e3 * i, 16e3});
  const StreamFormat format{2.4e6, best_centre_hz(dense, 2.4e6), 5, {}};
  for (const auto& c : dense) {
    EXPECT_TRUE(is_within(c, format)) << c.frequency_hz;
    EXPECT_GE(std::abs(c.frequency_hz - format.centre_hz), 8e3);
  }
}

TEST(BestCentre, AWideChannelIsKeptClearToItsEdges) {
  // The middle of both, 158.014 MHz, is 7 % of the rate from the wide one's own, and within it.
  const std::vector<detect::WatchedChannel> two{{158e6, 50e3}, {158.049e6, 8e3}};
  const StreamFormat format{kRate_hz, best_centre_hz(two, kRate_hz), 5, {}};
  for (const auto& c : two) {
    EXPECT_TRUE(is_within(c, format)) << c.frequency_hz;
    EXPECT_GE(std::abs(c.frequency_hz - format.centre_hz), c.bandwidth_hz / 2.0);
  }
}

TEST(BestCentre, SpanThatIsFilledToItsEdgesIsHeldWhollyWhateverTheRounding) {
  for (int i = 0; i < 1000; ++i) {
    const double low_hz = 155e6 + 0.1 * i;
    const std::vector<detect::WatchedChannel> two{{low_hz, 16e3}, {low_hz + 164e3, 16e3}};
    const StreamFormat format{kRate_hz, best_centre_hz(two, kRate_hz), 5, {}};
    EXPECT_TRUE(is_within(two[0], format) && is_within(two[1], format)) << i;
  }
}

}  // namespace
}  // namespace fixwright::agent::iq
