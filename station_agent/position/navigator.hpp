#pragma once
/// Asked where the station is; answers from a receiver that it listens to.

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/position/drive_log.hpp"

namespace fixwright::agent {

enum class NavFeed {
  none,    // a fixed station
  serial,  // a device, or anything else that can be opened and read, with NMEA 0183
  tcp,     // a server that sends NMEA 0183
  gpsd,    // gpsd's port
  file,    // a recording of NMEA 0183, read whole at the start
};

struct NavConfig {
  NavFeed feed = NavFeed::none;
  std::string device{};   // path of serial or file
  int baud = 4800;        // of a serial device; 4800, 9600, 19200, 38400, 57600 or 115200
  std::string address{};  // host:port of tcp or gpsd
  NavRules rules{};
};

/// Lines of a receiver, one after the other. What can't be read costs one line: the 1st, 10th,
/// 100th … is told. Safe from several threads.
class Navigator {
 public:
  explicit Navigator(const NavConfig& config)
      : gpsd_(config.feed == NavFeed::gpsd), log_(config.rules) {}

  /// \param now  when it came; absent for a recording.
  void line(std::string_view text, std::optional<TimePoint> now);
  [[nodiscard]] Whereabouts at(TimePoint t) const;
  [[nodiscard]] std::uint64_t refused() const;

 private:
  void check_time(TimePoint now);

  const bool gpsd_;
  mutable std::mutex mutex_;
  DriveLog log_;
  std::uint64_t refused_ = 0;
  bool time_is_off_ = false;
};

/// A Navigator with its feed: reads it on a thread of its own and comes back to it every second
/// when it is lost, which it says once.
class Navigation {
 public:
  /// Fails with one line: a recording that can't be read. A receiver may come later.
  static Result<std::unique_ptr<Navigation>> open(const NavConfig& config, const Clock& clock);
  [[nodiscard]] Whereabouts at(TimePoint t) const { return navigator_.at(t); }

 private:
  Navigation(const NavConfig& config, const Clock& clock)
      : config_(config), clock_(clock), navigator_(config) {}
  Result<bool> read_recording();
  void listen(const std::stop_token& stop);
  void lost(const std::string& why);

  NavConfig config_;
  const Clock& clock_;
  Navigator navigator_;
  bool told_lost_ = false;
  std::jthread thread_;  // last: it uses the others
};

}  // namespace fixwright::agent
