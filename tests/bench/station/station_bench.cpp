/// What a station costs on one core: five elements at 2.4 MS/s, complex 8 bit, 40 watched channels
/// that are all active, from bytes to azimuths; and, block by block on the same samples, FFTW's
/// transforms alone. Times are CPU seconds of the one thread, so that a busy machine disturbs less.
///
/// Prints one JSON object:
///   real_time_factor        seconds of samples for one second of CPU; wanted: >= 4
///   over_bare_ffts          CPU of the whole over that of the same transforms (windows overlapping
///                           by half, all elements), plans chosen by FFTW_MEASURE; wanted: <= 2.5
///   over_ffts_no_overlap    the same over half as many transforms: each sample only once
///   resident_mib            largest resident memory of the program; wanted: <= 64

#include <fftw3.h>
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <ctime>
#include <fstream>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/detect/detector.hpp"
#include "station_agent/source/iq/converter.hpp"

namespace fixwright::agent {
namespace {

constexpr double kRate_hz = 2.4e6;
constexpr double kCentre_hz = 433.92e6;
constexpr std::size_t kElements = 5;
constexpr std::size_t kChannels = 40;
constexpr std::size_t kFrames = 32'768;  // of a block
constexpr std::size_t kBlocks = 16;      // made; played again and again
constexpr std::size_t kRounds = 40;

double cpu_s() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

detect::DetectorConfig config() {
  detect::DetectorConfig c;
  c.rate_hz = kRate_hz;
  c.centre_hz = kCentre_hz;
  c.elements = kElements;
  for (std::size_t i = 0; i < kChannels; ++i) {
    c.channels.push_back({kCentre_hz + (static_cast<double>(i) - 19.5) * 50e3, 12.5e3});
  }
  return c;
}

/// A narrow FM signal in each channel from an azimuth of its own, and noise, as bytes. Everything
/// repeats after all blocks, so that playing them again makes no jump.
std::vector<std::byte> make_bytes(const array::Manifold& manifold) {
  const std::size_t frames = kFrames * kBlocks;
  std::vector<std::complex<float>> wave(frames * kElements);
  const double cycle_hz = kRate_hz / static_cast<double>(frames);
  for (std::size_t i = 0; i < kChannels; ++i) {
    const double offset_hz = config().channels[i].frequency_hz - kCentre_hz;
    const double cycles = std::round(offset_hz / cycle_hz);
    const double tone = std::round(600.0 / cycle_hz) + static_cast<double>(i);
    const auto steering = manifold.steering(9.0 * static_cast<double>(i), kCentre_hz + offset_hz);
    for (std::size_t f = 0; f < frames; ++f) {
      const double turn =
          2.0 * std::numbers::pi * static_cast<double>(f) / static_cast<double>(frames);
      const auto x = std::polar(0.03, cycles * turn + 3.0 * std::sin(tone * turn));
      for (std::size_t e = 0; e < kElements; ++e) {
        wave[f * kElements + e] += std::complex<float>(x * steering(static_cast<Eigen::Index>(e)));
      }
    }
  }
  std::mt19937_64 random(1);
  std::normal_distribution<float> noise(0.0F, 0.05F);
  std::vector<std::byte> bytes;
  bytes.reserve(2 * wave.size());
  for (const auto x : wave) {
    for (const float part : {x.real() + noise(random), x.imag() + noise(random)}) {
      const float scaled = std::clamp(std::round(128.0F * part), -128.0F, 127.0F);
      bytes.push_back(static_cast<std::byte>(static_cast<std::int8_t>(scaled)));
    }
  }
  return bytes;
}

/// FFTW alone: every window of a block, all elements, into one buffer.
class BareFfts {
 public:
  explicit BareFfts(std::size_t size) : size_(size) {
    in_ = fftwf_alloc_complex(size);
    out_ = fftwf_alloc_complex(size);
    plan_ = fftwf_plan_dft_1d(static_cast<int>(size), in_, out_, FFTW_FORWARD,
                              FFTW_MEASURE | FFTW_PRESERVE_INPUT);
  }
  ~BareFfts() {
    fftwf_destroy_plan(plan_);
    fftwf_free(in_);
    fftwf_free(out_);
  }
  BareFfts(const BareFfts&) = delete;
  BareFfts& operator=(const BareFfts&) = delete;

  double transform(SampleBlock& block, std::size_t hop) {
    const double begin = cpu_s();
    for (std::size_t at = 0; at < block.frames; at += hop) {
      const std::size_t from = std::min(at, block.frames - size_);
      for (std::size_t e = 0; e < block.elements; ++e) {
        fftwf_execute_dft(plan_, reinterpret_cast<fftwf_complex*>(block.element(e).data() + from),
                          out_);
      }
    }
    return cpu_s() - begin;
  }

 private:
  std::size_t size_;
  fftwf_complex* in_;
  fftwf_complex* out_;
  fftwf_plan plan_;
};

struct Tally {
  double convert_s = 0.0;
  double detect_s = 0.0;
  double azimuth_s = 0.0;
  double bare_s = 0.0;
  double bare_no_overlap_s = 0.0;
  std::size_t looks = 0;
  std::size_t bearings = 0;
};

class Station {
 public:
  Station()
      : manifold_(array::circular_array(static_cast<int>(kElements), 0.3)),
        bytes_(make_bytes(manifold_)),
        converter_(iq::parse_sample_type("ci8").value(), kElements),
        detector_(config()),
        estimator_(manifold_),
        bare_(static_cast<std::size_t>(std::llround(kRate_hz / detector_.bin_hz()))),
        hop_(static_cast<std::size_t>(std::llround(0.5 * kRate_hz / detector_.bin_hz()))) {
    block_.resize(kElements, kFrames);
    estimator_.set_calibration_state(array::CalibrationState::calibrated);
  }

  void round() {
    const std::size_t size = kFrames * converter_.frame_bytes();
    for (std::size_t b = 0; b < kBlocks; ++b) {
      one_block(std::span(bytes_).subspan(b * size, size));
    }
  }

  Tally tally;

 private:
  void one_block(std::span<const std::byte> bytes) {
    const double begin = cpu_s();
    block_.resize(kElements, kFrames);
    block_.start = TimePoint{from_seconds(static_cast<double>(frame_) / kRate_hz)};
    converter_.convert(bytes, 0, block_);
    const double converted = cpu_s();
    list_.clear();
    detector_.process(block_, list_);
    const double detected = cpu_s();
    for (const detect::ChannelLook& look : list_) {
      azimuth(look);
    }
    tally.convert_s += converted - begin;
    tally.detect_s += detected - converted;
    tally.azimuth_s += cpu_s() - detected;
    tally.bare_s += bare_.transform(block_, hop_);
    tally.bare_no_overlap_s += bare_.transform(block_, 2 * hop_);
    tally.looks += list_.size();
    frame_ += kFrames;
  }

  void azimuth(const detect::ChannelLook& look) {
    covariance_.matrix = look.covariance;
    covariance_.noise_power = look.noise_power;
    covariance_.snapshots = look.snapshots;
    covariance_.frequency_hz = look.frequency_hz;
    tally.bearings += estimator_.estimate(covariance_).accepted() ? 1 : 0;
  }

  array::Manifold manifold_;
  std::vector<std::byte> bytes_;
  iq::Converter converter_;
  detect::Detector detector_;
  array::AzimuthEstimator estimator_;
  BareFfts bare_;
  std::size_t hop_;
  SampleBlock block_;
  detect::LookList list_;
  array::SpatialCovariance covariance_;
  std::size_t frame_ = 0;
};

/// Largest resident memory so far, MiB; Linux.
double resident_mib() {
  std::ifstream status("/proc/self/status");
  std::string line;
  while (std::getline(status, line)) {
    if (line.starts_with("VmHWM:")) {
      return std::stod(line.substr(6)) / 1024.0;
    }
  }
  return 0.0;
}

void report(const Tally& t) {
  const double samples_s = static_cast<double>(kFrames * kBlocks * kRounds) / kRate_hz;
  const double whole_s = t.convert_s + t.detect_s + t.azimuth_s;
  fmt::print(
      "{{\"samples_s\": {:.1f}, \"cpu_s\": {:.3f}, \"real_time_factor\": {:.1f}, "
      "\"over_bare_ffts\": {:.2f}, \"over_ffts_no_overlap\": {:.2f}, \"resident_mib\": {:.1f}, "
      "\"convert_s\": {:.3f}, \"detect_s\": {:.3f}, \"azimuth_s\": {:.3f}, \"bare_ffts_s\": "
      "{:.3f}, \"looks\": {}, \"bearings\": {}}}\n",
      samples_s, whole_s, samples_s / whole_s, whole_s / t.bare_s, whole_s / t.bare_no_overlap_s,
      resident_mib(), t.convert_s, t.detect_s, t.azimuth_s, t.bare_s, t.looks, t.bearings);
}

}  // namespace
}  // namespace fixwright::agent

int main() {
  fixwright::agent::Station station;
  station.round();  // warm
  station.tally = {};
  for (std::size_t i = 0; i < fixwright::agent::kRounds; ++i) {
    station.round();
  }
  fixwright::agent::report(station.tally);
  return 0;
}
