/// A SoapySDR module of the tests' own: a coherent receiver behind a circle of elements, on which a
/// carrier falls. Element e stands at azimuth 360 e / elements degrees, 0.4 wavelengths from the
/// middle; the carrier comes from 70 degrees, a sixteenth of the rate above the centre, at half of
/// full scale.
///
/// Arguments: driver=fixwright_array, elements (5), format (CS16: also CS8, CU8, CF32, CS12),
/// full_scale (2048 for CS16), time (1: it has a clock), per_read (500: frames a read gives at
/// most), overflow_at and lost (frame at which an overflow is told, and how many are lost there),
/// quiet_loss (1: it is not told), fail_at (frame at which the device breaks), end_at (frame from
/// which no sample comes any more), rate_error (1: another rate than asked for), skewed (1: channel
/// 1 stands 1 kHz off), first_hz and second_hz (carriers that stay at their frequency, from 70 and
/// 180 degrees, in place of the other; heard while within the sampled band), line (1: a line of the
/// receiver's own in the middle of the band, alike in all channels), noise (1: -50 dBFS of it in
/// each channel), step_hz (the tuner's), highest_hz (what is above can't be tuned to), tunings (a
/// file that gets a line for each centre that is set).

#include <SoapySDR/Device.hpp>
#include <SoapySDR/Errors.hpp>
#include <SoapySDR/Formats.hpp>
#include <SoapySDR/Registry.hpp>
#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <numbers>
#include <random>
#include <stdexcept>

namespace {

constexpr double kRadius_wavelengths = 0.4;
constexpr double kAzimuth_deg = 70.0;
constexpr double kSecondAzimuth_deg = 180.0;
constexpr double kAmplitude = 0.5;
constexpr double kLine = 0.1;
constexpr double kNoise = 0.00316;  // rms of I and Q together: -50 dBFS
constexpr long long kClockStart_ns = 1'000'000'000;

double radians(double deg) { return deg * std::numbers::pi / 180.0; }

/// As a converter does it: what is too large stays at the end of its scale.
template <typename T>
T converted(double x, double scale, double middle) {
  return static_cast<T>(std::nearbyint(std::clamp(x, -1.0, 1.0) * scale + middle));
}

template <typename T>
void put(void* to, std::size_t i, std::complex<double> x, double scale, double middle) {
  const T pair[2] = {converted<T>(x.real(), scale, middle), converted<T>(x.imag(), scale, middle)};
  std::memcpy(static_cast<std::byte*>(to) + i * sizeof pair, pair, sizeof pair);
}

class SimulatedArray final : public SoapySDR::Device {
 public:
  explicit SimulatedArray(SoapySDR::Kwargs args) : args_(std::move(args)) {
    if (number("absent", 0) != 0) throw std::runtime_error("no such device");
  }

  std::string getDriverKey() const override { return "fixwright_array"; }
  size_t getNumChannels(const int direction) const override {
    return direction == SOAPY_SDR_RX ? static_cast<size_t>(elements()) : 0;
  }

  std::string getNativeStreamFormat(const int, const size_t, double& fullScale) const override {
    fullScale = static_cast<double>(number("full_scale", format() == SOAPY_SDR_CS16 ? 2048 : 0));
    return format();
  }

  SoapySDR::Stream* setupStream(const int, const std::string& format, const std::vector<size_t>&,
                                const SoapySDR::Kwargs&) override {
    stream_format_ = format;
    return reinterpret_cast<SoapySDR::Stream*>(this);
  }
  void closeStream(SoapySDR::Stream*) override {}
  int activateStream(SoapySDR::Stream*, const int, const long long, const size_t) override {
    return 0;
  }
  int deactivateStream(SoapySDR::Stream*, const int, const long long) override { return 0; }

  int readStream(SoapySDR::Stream*, void* const* buffs, const size_t numElems, int& flags,
                 long long& timeNs, const long) override {
    const long long overflow_at = number("overflow_at", -1);
    if (frame_ == number("fail_at", -1)) return SOAPY_SDR_STREAM_ERROR;
    if (frame_ == number("end_at", -1)) return SOAPY_SDR_TIMEOUT;
    if (frame_ == overflow_at && !overflown_) {
      overflown_ = true;
      lost_ = number("lost", 0);
      if (number("quiet_loss", 0) == 0) return SOAPY_SDR_OVERFLOW;
    }
    const long long n = frames_to_give(static_cast<long long>(numElems), overflow_at);
    if (number("time", 1) != 0) {
      flags |= SOAPY_SDR_HAS_TIME;
      timeNs = kClockStart_ns + std::llround(static_cast<double>(frame_ + lost_) * 1e9 / rate_);
    }
    for (long long i = 0; i < n; ++i) give_frame(buffs, static_cast<size_t>(i));
    return static_cast<int>(n);
  }

  void setSampleRate(const int, const size_t, const double rate) override { rate_ = rate; }
  double getSampleRate(const int, const size_t) const override {
    return rate_ * (number("rate_error", 0) != 0 ? 1.01 : 1.0);
  }
  void setFrequency(const int, const size_t channel, const double frequency,
                    const SoapySDR::Kwargs&) override {
    if (frequency > static_cast<double>(number("highest_hz", 6'000'000'000))) {
      throw std::runtime_error("no such frequency");
    }
    const double step_hz = static_cast<double>(number("step_hz", 1));
    frequency_ = std::round(frequency / step_hz) * step_hz;
    if (channel == 0 && args_.count("tunings") != 0) {
      std::ofstream(args_.at("tunings"), std::ios::app) << std::llround(frequency_) << "\n";
    }
  }
  double getFrequency(const int, const size_t channel) const override {
    return frequency_ + (channel == 1 && number("skewed", 0) != 0 ? 1000.0 : 0.0);
  }
  SoapySDR::Range getGainRange(const int, const size_t) const override { return {0.0, 40.0}; }
  void setGain(const int, const size_t, const double value) override { gain_db_ = value; }
  double getGain(const int, const size_t) const override { return gain_db_; }
  bool hasHardwareTime(const std::string&) const override { return number("time", 1) != 0; }

 private:
  long long number(const char* key, long long fallback) const {
    const auto at = args_.find(key);
    return at == args_.end() ? fallback : std::stoll(at->second);
  }
  long long elements() const { return number("elements", 5); }
  std::string format() const {
    const auto at = args_.find("format");
    return at == args_.end() ? SOAPY_SDR_CS16 : at->second;
  }

  /// Reads end where something is to happen.
  long long frames_to_give(long long wanted, long long overflow_at) const {
    long long n = std::min(wanted, number("per_read", 500));
    for (const long long stop : {overflow_at, number("fail_at", -1), number("end_at", -1)}) {
      if (stop > frame_) n = std::min(n, stop - frame_);
    }
    return n;
  }

  void give_frame(void* const* buffs, size_t i) {
    for (size_t e = 0; e < static_cast<size_t>(elements()); ++e) {
      std::complex<double> x = emitters(e);
      if (number("line", 0) != 0) x += kLine;
      if (number("noise", 0) != 0) x += std::complex(noise_(chance_), noise_(chance_));
      give_sample(buffs[e], i, gain() * x);
    }
    ++frame_;
  }

  std::complex<double> emitters(size_t e) const {
    const long long first_hz = number("first_hz", 0);
    const long long second_hz = number("second_hz", 0);
    if (first_hz == 0 && second_hz == 0) return carrier(e, rate_ / 16.0, kAzimuth_deg);
    return carrier(e, static_cast<double>(first_hz) - frequency_, kAzimuth_deg) +
           carrier(e, static_cast<double>(second_hz) - frequency_, kSecondAzimuth_deg);
  }

  std::complex<double> carrier(size_t e, double offset_hz, double azimuth_deg) const {
    if (std::abs(offset_hz) > rate_ / 2.0) return {};  // the receiver's filter
    const double turns = std::fmod(offset_hz / rate_ * static_cast<double>(frame_ + lost_), 1.0);
    const double at_deg = 360.0 * static_cast<double>(e) / static_cast<double>(elements());
    const double path = kRadius_wavelengths * std::cos(radians(azimuth_deg - at_deg));
    return std::polar(kAmplitude, 2.0 * std::numbers::pi * (turns + path));
  }

  void give_sample(void* to, size_t i, std::complex<double> x) const {
    if (stream_format_ == SOAPY_SDR_CS8) return put<std::int8_t>(to, i, x, 127.0, 0.0);
    if (stream_format_ == SOAPY_SDR_CU8) return put<std::uint8_t>(to, i, x, 127.0, 128.0);
    const double full_scale = static_cast<double>(number("full_scale", 2048));
    if (stream_format_ == SOAPY_SDR_CS16) return put<std::int16_t>(to, i, x, full_scale - 1.0, 0.0);
    const std::complex<float> sample(x);
    std::memcpy(static_cast<std::byte*>(to) + i * sizeof sample, &sample, sizeof sample);
  }
  /// 20 dB is the gain at which the carrier has its level.
  double gain() const { return std::pow(10.0, (gain_db_ - 20.0) / 20.0); }

  SoapySDR::Kwargs args_;
  std::string stream_format_;
  double rate_ = 1e6;
  double frequency_ = 0.0;
  double gain_db_ = 20.0;
  long long frame_ = 0;  // given so far
  long long lost_ = 0;
  bool overflown_ = false;
  std::minstd_rand chance_;
  std::normal_distribution<double> noise_{0.0, kNoise / std::numbers::sqrt2};
};

SoapySDR::KwargsList find(const SoapySDR::Kwargs& args) {
  const auto driver = args.find("driver");
  if (driver == args.end() || driver->second != "fixwright_array") return {};
  SoapySDR::Kwargs found = args;
  return {found};
}

SoapySDR::Device* make(const SoapySDR::Kwargs& args) { return new SimulatedArray(args); }

const SoapySDR::Registry kRegistration("fixwright_array", &find, &make, SOAPY_SDR_ABI_VERSION);

}  // namespace
