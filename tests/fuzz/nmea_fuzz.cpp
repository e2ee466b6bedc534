/// libFuzzer target: whatever a navigation receiver or gpsd sends, nothing falls over, and what
/// the log then says is finite and in range. Run: nmea_fuzz tests/fuzz/corpus/nmea

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string>

#include "station_agent/position/drive_log.hpp"
#include "station_agent/position/gpsd_report.hpp"
#include "station_agent/position/nmea.hpp"

namespace {

using namespace fixwright;
using agent::NavReport;

void check(bool holds) {
  if (!holds) std::abort();
}

void check(const agent::Whereabouts& w) {
  if (w.place) {
    check(std::abs(w.place->position.latitude_deg) <= 90.0);
    check(w.place->position.longitude_deg >= -180.0 && w.place->position.longitude_deg < 180.0);
    check(std::isfinite(w.place->sigma_m) && w.place->sigma_m > 0.0);
    check(std::isfinite(w.place->speed_m_per_s));
  }
  if (w.heading) {
    check(w.heading->azimuth_deg >= 0.0 && w.heading->azimuth_deg < 360.0);
    check(std::isfinite(w.heading->sigma_deg) && w.heading->sigma_deg > 0.0);
  }
}

Result<NavReport> read(const std::string& line, bool gpsd) {
  if (gpsd) return agent::read_gpsd(line);
  const auto sentence = agent::parse_sentence(line);
  if (!sentence) return Error{sentence.error()};
  return agent::read_sentence(*sentence);
}

/// \param start  when the first line came; absent: a recording.
void run(const std::string& text, bool gpsd, std::optional<TimePoint> start) {
  agent::DriveLog log({});
  TimePoint now = start.value_or(TimePoint{});
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    const auto report = read(text.substr(begin, end - begin), gpsd);
    begin = end + 1;
    if (!report) {
      check(report.error().find('\n') == std::string::npos);
      continue;
    }
    log.add(*report, start ? std::optional(now) : std::nullopt);
    for (const int later_ms : {-700, 0, 900}) {
      check(log.at(log.newest().value_or(now) + std::chrono::milliseconds{later_ms}));
    }
    now += std::chrono::milliseconds{300};
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  for (const bool gpsd : {false, true}) {
    run(text, gpsd, std::nullopt);
    run(text, gpsd, TimePoint{std::chrono::seconds{1'935'655'200}});
  }
  return 0;
}
