#include "station_agent/position/navigator.hpp"

#include <fmt/core.h>
#include <unistd.h>

#include <fstream>

#include "server/base/log.hpp"
#include "station_agent/position/gpsd_report.hpp"
#include "station_agent/position/nmea.hpp"
#include "station_agent/position/receiver.hpp"

namespace fixwright::agent {

namespace {

constexpr double kMostOff_s = 5.0;

bool is_power_of_ten(std::uint64_t n) {
  while (n >= 10 && n % 10 == 0) n /= 10;
  return n == 1;
}

Result<NavReport> read_nmea(std::string_view line) {
  const auto sentence = parse_sentence(line);
  if (!sentence) return Error{sentence.error()};
  return read_sentence(*sentence);
}

}  // namespace

void Navigator::line(std::string_view text, std::optional<TimePoint> now) {
  // Encapsulated sentences (of ships' identification) begin with ! and are not for us.
  if (text.empty() || text == "\r" || (!gpsd_ && text.front() == '!')) return;
  const auto report = gpsd_ ? read_gpsd(text) : read_nmea(text);
  const std::lock_guard hold(mutex_);
  if (!report) {
    if (is_power_of_ten(++refused_)) {
      log::warn("position: {} [no. {} that can't be used]", report.error(), refused_);
    }
    return;
  }
  log_.add(*report, now);
  if (now && report->time_of_day && report->position) check_time(*now);
}

/// A receiver knows the time: far from the host's, one of the two is wrong, and a vehicle's place
/// would be sought at another time than its bearings'.
void Navigator::check_time(TimePoint now) {
  const double off_s = seconds(*log_.newest() - now);
  const bool off = std::abs(off_s) > kMostOff_s;
  if (off && !time_is_off_) {
    log::warn(
        "position: the receiver's time is {:+.1f} s off the host's clock: set the clock, or "
        "bearings find no position",
        off_s);
  }
  time_is_off_ = off;
}

Whereabouts Navigator::at(TimePoint t) const {
  const std::lock_guard hold(mutex_);
  return log_.at(t);
}

std::uint64_t Navigator::refused() const {
  const std::lock_guard hold(mutex_);
  return refused_;
}

Result<std::unique_ptr<Navigation>> Navigation::open(const NavConfig& config, const Clock& clock) {
  auto navigation = std::unique_ptr<Navigation>(new Navigation(config, clock));
  if (config.feed == NavFeed::file) {
    if (const auto read = navigation->read_recording(); !read) return Error{read.error()};
  } else if (config.feed != NavFeed::none) {
    Navigation& own = *navigation;
    own.thread_ = std::jthread([&own](const std::stop_token& stop) { own.listen(stop); });
  }
  return navigation;
}

Result<bool> Navigation::read_recording() {
  std::ifstream in(config_.device);
  if (!in) {
    return Error{
        fmt::format("position.device = \"{}\": can't be read; name a recording of NMEA "
                    "0183",
                    config_.device)};
  }
  for (std::string text; std::getline(in, text);) navigator_.line(text, std::nullopt);
  return true;
}

void Navigation::listen(const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    Receiver receiver(config_);
    while (!stop.stop_requested() && !receiver.problem()) {
      for (const std::string& text : receiver.read(std::chrono::milliseconds{200})) {
        if (told_lost_) log::info("position: {} is heard", receiver.name());
        told_lost_ = false;
        navigator_.line(text, clock_.now());
      }
    }
    if (receiver.problem()) lost(*receiver.problem());
    for (int i = 0; i < 10 && !stop.stop_requested(); ++i) ::usleep(100'000);
  }
}

void Navigation::lost(const std::string& why) {
  if (!told_lost_) log::warn("position: {}: trying again every second", why);
  told_lost_ = true;
}

}  // namespace fixwright::agent
