#pragma once
/// A receiver with coherent channels, through SoapySDR, as far as we use one. Nothing of SoapySDR
/// leaves this folder's device files; its exceptions end here.

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/base/time.hpp"
#include "station_agent/source/iq/sample_type.hpp"

namespace SoapySDR {
class Device;
class Stream;
}  // namespace SoapySDR

namespace fixwright::agent::iq {

struct DeviceSettings {
  std::string arguments{};  // SoapySDR's own, such as "driver=…,serial=…"
  double rate_hz = 0.0;
  double centre_hz = 0.0;
  std::size_t elements = 0;         // the device's receiving channels 0 to elements - 1
  std::optional<double> gain_db{};  // of all of them alike; absent: the device's own
  std::string antenna{};            // empty: the device's own
  std::string clock_source{};       // empty: the device's own
};

/// Why a device can't be used.
struct DeviceFault {
  std::string what;
  /// The settings or the device are wrong: trying again is of no use.
  bool for_good = false;
};

enum class DeviceGot { samples, nothing, overflow, failed };

class Device {
 public:
  struct Read {
    DeviceGot got = DeviceGot::nothing;
    std::size_t frames = 0;
    std::optional<Duration> time{};  // of the first frame, by the device's own clock
    std::string what{};              // of a failure
  };

  /// Opens, sets and starts the device. Automatic gain is switched off: it would change the
  /// elements' gains one by one. Afterwards the device must say that it has the rate (to 1e-6 of
  /// it) and the same centre on all channels.
  static std::unique_ptr<Device> open(const DeviceSettings& settings, DeviceFault& fault);
  ~Device();
  Device(const Device&) = delete;
  Device& operator=(const Device&) = delete;

  [[nodiscard]] double centre_hz() const { return centre_hz_; }
  /// Of what read() gives: ci8, cu8, ci16 or cf32 in the machine's byte order.
  [[nodiscard]] const SampleType& type() const { return type_; }
  /// The number that is 1 in our samples.
  [[nodiscard]] double full_scale() const { return full_scale_; }
  /// Whether the device has a clock of its own.
  [[nodiscard]] bool has_time() const { return has_time_; }

  /// \param to  for each element, room for `frames` samples.
  Read read(void* const* to, std::size_t frames, Duration patience);
  /// Stops, tunes all channels and starts again. \return nothing, or why not.
  std::string tune(double centre_hz);

 private:
  struct Unmake {
    void operator()(SoapySDR::Device* device) const;
  };
  Device() = default;
  void set_up(const DeviceSettings& settings, DeviceFault& fault);
  void set_channels(const DeviceSettings& settings, DeviceFault& fault);
  void check_channels(const DeviceSettings& settings, DeviceFault& fault);
  [[nodiscard]] std::string centre_problem() const;
  void start();

  std::unique_ptr<SoapySDR::Device, Unmake> device_;
  SoapySDR::Stream* stream_ = nullptr;
  std::vector<std::size_t> channels_;
  SampleType type_;
  double full_scale_ = 1.0;
  double centre_hz_ = 0.0;
  bool has_time_ = false;
};

}  // namespace fixwright::agent::iq
