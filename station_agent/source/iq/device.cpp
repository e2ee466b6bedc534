#include "station_agent/source/iq/device.hpp"

#include <fmt/core.h>

#include <SoapySDR/Device.hpp>
#include <SoapySDR/Errors.hpp>
#include <SoapySDR/Formats.hpp>
#include <algorithm>
#include <array>
#include <bit>
#include <chrono>
#include <cmath>
#include <exception>
#include <string_view>

namespace fixwright::agent::iq {

namespace {

struct Format {
  std::string_view name;
  NumberKind number;
  double full_scale;  // where the device does not give it as its native format
};

// What is taken as the device has it: 8 bits stay 8 bits on their way through memory.
constexpr std::array<Format, 4> kFormats{{{SOAPY_SDR_CS8, NumberKind::i8, 128.0},
                                          {SOAPY_SDR_CU8, NumberKind::u8, 128.0},
                                          {SOAPY_SDR_CS16, NumberKind::i16, 32'768.0},
                                          {SOAPY_SDR_CF32, NumberKind::f32, 1.0}}};
constexpr double kRateTolerance = 1e-6;
constexpr double kCentreTolerance_hz = 0.5;

const Format& format_of(const std::string& native) {
  for (const Format& format : kFormats) {
    if (format.name == native) return format;
  }
  return kFormats.back();  // every driver can be had as floats
}

long microseconds(Duration patience) {
  const auto us = std::chrono::ceil<std::chrono::microseconds>(patience).count();
  return static_cast<long>(std::clamp<std::int64_t>(us, 0, 10'000'000));
}

}  // namespace

void Device::Unmake::operator()(SoapySDR::Device* device) const {
  try {
    SoapySDR::Device::unmake(device);
  } catch (const std::exception&) {  // a device that was pulled out: there is nothing to close
  }
}

std::unique_ptr<Device> Device::open(const DeviceSettings& settings, DeviceFault& fault) {
  std::unique_ptr<Device> device(new Device);
  try {
    device->device_.reset(SoapySDR::Device::make(settings.arguments));
    device->set_up(settings, fault);
  } catch (const std::exception& error) {
    fault.what = error.what();
  }
  if (!fault.what.empty()) return nullptr;
  return device;
}

Device::~Device() {
  if (stream_ == nullptr) return;
  try {
    device_->deactivateStream(stream_);
    device_->closeStream(stream_);
  } catch (const std::exception&) {  // as above
  }
}

void Device::set_up(const DeviceSettings& settings, DeviceFault& fault) {
  const std::size_t there = device_->getNumChannels(SOAPY_SDR_RX);
  if (there < settings.elements) {
    fault = {fmt::format("has {} receiving channels: the array has {} elements", there,
                         settings.elements),
             true};
    return;
  }
  for (std::size_t c = 0; c < settings.elements; ++c) channels_.push_back(c);
  if (!settings.clock_source.empty()) device_->setClockSource(settings.clock_source);
  set_channels(settings, fault);
  if (fault.what.empty()) check_channels(settings, fault);
  if (!fault.what.empty()) return;
  double full_scale = 0.0;
  const std::string native = device_->getNativeStreamFormat(SOAPY_SDR_RX, 0, full_scale);
  const Format& format = format_of(native);
  type_ = {format.number, true, std::endian::native == std::endian::big};
  full_scale_ = format.name == native && full_scale > 1.0 ? full_scale : format.full_scale;
  has_time_ = device_->hasHardwareTime();
  stream_ = device_->setupStream(SOAPY_SDR_RX, std::string(format.name), channels_);
  start();
}

void Device::set_channels(const DeviceSettings& settings, DeviceFault& fault) {
  for (const std::size_t c : channels_) {
    device_->setSampleRate(SOAPY_SDR_RX, c, settings.rate_hz);
    device_->setFrequency(SOAPY_SDR_RX, c, settings.centre_hz);
    if (!settings.antenna.empty()) device_->setAntenna(SOAPY_SDR_RX, c, settings.antenna);
    if (device_->hasGainMode(SOAPY_SDR_RX, c)) device_->setGainMode(SOAPY_SDR_RX, c, false);
    if (!settings.gain_db) continue;
    const auto range = device_->getGainRange(SOAPY_SDR_RX, c);
    if (*settings.gain_db < range.minimum() || *settings.gain_db > range.maximum()) {
      fault = {fmt::format("source.iq.device.gain_db = {}: channel {} takes {} to {}",
                           *settings.gain_db, c, range.minimum(), range.maximum()),
               true};
      return;
    }
    device_->setGain(SOAPY_SDR_RX, c, *settings.gain_db);
  }
}

void Device::check_channels(const DeviceSettings& settings, DeviceFault& fault) {
  centre_hz_ = device_->getFrequency(SOAPY_SDR_RX, 0);
  for (const std::size_t c : channels_) {
    const double rate_hz = device_->getSampleRate(SOAPY_SDR_RX, c);
    if (std::abs(rate_hz - settings.rate_hz) > kRateTolerance * settings.rate_hz) {
      fault = {fmt::format("source.iq.rate_hz = {}: channel {} set itself to {}", settings.rate_hz,
                           c, rate_hz),
               true};
      return;
    }
  }
  fault = {centre_problem(), true};
}

std::string Device::centre_problem() const {
  for (const std::size_t c : channels_) {
    const double centre_hz = device_->getFrequency(SOAPY_SDR_RX, c);
    if (std::abs(centre_hz - centre_hz_) <= kCentreTolerance_hz) continue;
    return fmt::format("channel {} stands on {} Hz and channel 0 on {} Hz: they are not coherent",
                       c, centre_hz, centre_hz_);
  }
  return {};
}

void Device::start() {
  const int code = device_->activateStream(stream_);
  if (code != 0) throw std::runtime_error(SoapySDR::errToStr(code));
}

Device::Read Device::read(void* const* to, std::size_t frames, Duration patience) {
  Read read;
  try {
    int flags = 0;
    long long time_ns = 0;
    const int n = device_->readStream(stream_, to, frames, flags, time_ns, microseconds(patience));
    if (n == SOAPY_SDR_TIMEOUT || n == 0) return read;
    if (n == SOAPY_SDR_OVERFLOW) {
      read.got = DeviceGot::overflow;
    } else if (n < 0) {
      read.got = DeviceGot::failed;
      read.what = SoapySDR::errToStr(n);
    } else {
      read.got = DeviceGot::samples;
      read.frames = static_cast<std::size_t>(n);
      if ((flags & SOAPY_SDR_HAS_TIME) != 0) read.time = Duration{time_ns};
    }
  } catch (const std::exception& error) {
    read.got = DeviceGot::failed;
    read.what = error.what();
  }
  return read;
}

std::string Device::tune(double centre_hz) {
  try {
    device_->deactivateStream(stream_);
    for (const std::size_t c : channels_) device_->setFrequency(SOAPY_SDR_RX, c, centre_hz);
    centre_hz_ = device_->getFrequency(SOAPY_SDR_RX, 0);
    start();
    return centre_problem();
  } catch (const std::exception& error) {
    return error.what();
  }
}

}  // namespace fixwright::agent::iq
