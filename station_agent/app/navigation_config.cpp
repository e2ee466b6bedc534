#include "station_agent/app/navigation_config.hpp"

#include <algorithm>
#include <array>

#include "server/base/angle.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

namespace {

constexpr std::array<std::int64_t, 6> kBauds{4800, 9600, 19'200, 38'400, 57'600, 115'200};

NavFeed read_feed(const ConfigTable& t) {
  const std::string feed = t.text("source", {.fallback = "fixed",
                                             .required = false,
                                             .one_of = {"fixed", "serial", "tcp", "gpsd", "file"}});
  return feed == "serial" ? NavFeed::serial
         : feed == "tcp"  ? NavFeed::tcp
         : feed == "gpsd" ? NavFeed::gpsd
         : feed == "file" ? NavFeed::file
                          : NavFeed::none;
}

HeadingFrom read_heading_from(const ConfigTable& t) {
  const std::string from = t.text(
      "heading",
      {.fallback = "any", .required = false, .one_of = {"any", "compass", "course", "fixed"}});
  return from == "compass"  ? HeadingFrom::compass
         : from == "course" ? HeadingFrom::course
         : from == "fixed"  ? HeadingFrom::fixed
                            : HeadingFrom::any;
}

NavRules read_rules(const ConfigTable& t) {
  NavRules r;
  r.uere_m = t.number("uere_m", {.min = 0.1, .max = 100.0, .fallback = 5.0});
  r.position_sigma_m =
      t.number("position_sigma_m", {.min = 0.01, .max = 10'000.0, .fallback = 15.0});
  r.max_age_s = t.number("max_age_s", {.min = 0.1, .max = 60.0, .fallback = 2.0});
  r.heading = read_heading_from(t);
  r.fixed_heading_deg = wrap_360(t.number("heading_deg", {.min = -360.0, .max = 360.0}));
  r.heading_sigma_deg = t.number("heading_sigma_deg", {.min = 0.01, .max = 90.0, .fallback = 2.0});
  r.course_sigma_deg = t.number("course_sigma_deg", {.min = 0.01, .max = 90.0, .fallback = 3.0});
  r.min_course_speed_m_per_s =
      t.number("min_course_speed_m_per_s", {.min = 0.5, .max = 50.0, .fallback = 2.0});
  const double declination_deg = t.number("declination_deg", {.min = -180.0, .max = 180.0});
  if (t.has("declination_deg")) r.declination_deg = declination_deg;
  if (r.heading == HeadingFrom::fixed && !t.has("heading_deg")) {
    t.complain("heading_deg", "heading = \"fixed\" needs it: degrees from true north");
  }
  return r;
}

}  // namespace

NavConfig read_navigation(const ConfigTable& t) {
  NavConfig config;
  config.feed = read_feed(t);
  config.device = t.text("device");
  const std::int64_t baud = t.integer("baud", {.min = 4800, .max = 115'200, .fallback = 4800});
  if (std::find(kBauds.begin(), kBauds.end(), baud) == kBauds.end()) {
    t.complain("baud", "must be 4800, 9600, 19200, 38400, 57600 or 115200");
  }
  config.baud = static_cast<int>(baud);
  config.address = t.text("address", {.fallback = "127.0.0.1:2947"});
  config.rules = read_rules(t);
  const bool by_path = config.feed == NavFeed::serial || config.feed == NavFeed::file;
  if (by_path && config.device.empty()) t.complain("device", "must be a path");
  const auto address = parse_address(config.address);
  if (!address || address->host.empty() || address->port == "0") {
    t.complain("address", "must be host:port, with a port of 1 to 65535");
  }
  return config;
}

}  // namespace fixwright::agent
