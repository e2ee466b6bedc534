/// A vehicle with a recorded drive and bearings counted from its bow, and two fixed stations,
/// through the real programs: the server finds the emitter.

#include <fmt/core.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>

#include "server/base/angle.hpp"
#include "server/base/clock.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "tests/e2e/network.hpp"

namespace fixwright::e2e {
namespace {

constexpr GeoPoint kEmitter{41.20, -150.30};
constexpr GeoPoint kLanternHead{41.430, -150.450};
constexpr GeoPoint kMossRidge{41.330, -150.020};
constexpr GeoPoint kHome{41.080, -150.560};
constexpr double kSpeed_m_per_s = 15.0;
constexpr int kSeconds = 20;

constexpr const char* kServerToml =
    "[align]\nslack_s = 0.5\nidle_s = 2\nall_idle_s = 3\nlateness_s = 60\n";
constexpr const char* kText =
    "[source.lines.text]\nformat = \"delimited\"\n"
    "[source.lines.fields]\ntime = \"when\"\nfrequency = \"hz\"\nazimuth = \"bearing\"\n"
    "sigma = \"spread\"\n";

/// Due east from a place 3 km south of the emitter.
GeoPoint place_after(double seconds_on) {
  return geodesy::displace(kEmitter, {kSpeed_m_per_s * seconds_on - 150.0, -3000.0});
}

double azimuth_from(GeoPoint place) {
  return wrap_360(geodesy::inverse(place, kEmitter).azimuth1_deg);
}

std::string degrees_minutes(double deg, int width) {
  const double whole = std::floor(std::abs(deg));
  return fmt::format("{:0{}.0f}{:010.7f}", whole, width, 60.0 * (std::abs(deg) - whole));
}

/// RMC as the standard writes it: place, knots, course, date.
std::string rmc(TimePoint at, GeoPoint place) {
  const std::string t = format_rfc3339(at, 2);  // 2031-05-04T10:15:02.25Z
  const std::string body =
      fmt::format("GPRMC,{}{}{},A,{},N,{},W,{:.3f},090.0,{}{}{},,,A", t.substr(11, 2),
                  t.substr(14, 2), t.substr(17, 5), degrees_minutes(place.latitude_deg, 2),
                  degrees_minutes(place.longitude_deg, 3), kSpeed_m_per_s * 3600.0 / 1852.0,
                  t.substr(8, 2), t.substr(5, 2), t.substr(2, 2));
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  return fmt::format("${}*{:02X}\r\n", body, sum);
}

/// A line a second; \p turned_deg is taken off each azimuth.
template <typename PlaceOf>
std::string lines(TimePoint start, double turned_deg, PlaceOf place_of) {
  std::string text = "when,hz,bearing,spread\n";
  for (int i = 0; i < kSeconds; ++i) {
    text +=
        fmt::format("{},433920000,{:.9f},0.5\n", format_rfc3339(start + std::chrono::seconds{i}, 3),
                    wrap_360(azimuth_from(place_of(i)) - turned_deg));
  }
  return text;
}

class Vehicle : public ::testing::Test {
 protected:
  void run_all() {
    network.add_station("LANTERN-HEAD", kLanternHead);
    network.add_station("MOSS-RIDGE", kMossRidge);
    network.add_vehicle("ROVER-1", kHome);
    network.start_server();
    const auto path = (network.folder() / "drive.nmea").string();
    std::ofstream drive(path);
    for (int i = -1; i <= kSeconds; ++i) {
      drive << rmc(start + std::chrono::seconds{i}, place_after(i));
    }
    drive.close();
    network.start_agent("LANTERN-HEAD", lines(start, 0.0, [](int) { return kLanternHead; }), kText);
    network.start_agent("MOSS-RIDGE", lines(start, 0.0, [](int) { return kMossRidge; }), kText);
    network.start_agent("ROVER-1", lines(start, 90.0, [](int i) { return place_after(i); }),
                        std::string(kText) +
                            "[source.lines.azimuth]\nreference = \"heading\"\n"
                            "[position]\nsource = \"file\"\ndevice = \"" +
                            path + "\"\nposition_sigma_m = 4.0\n");
    ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
    // The agents connect one after the other: what comes late revises what is there.
    ASSERT_TRUE(
        wait_until(std::chrono::seconds{60}, [&] { return used_of_vehicle() == kSeconds; }));
  }
  int used_of_vehicle() {
    return network
        .sql(
            "SELECT count(*) FROM fix_bearing AS f JOIN station AS s "
            "ON s.station_id = f.station_id WHERE f.used AND s.moves")[0][0]
        .as<int>();
  }
  Network network{kServerToml};
  const TimePoint start =
      std::chrono::floor<std::chrono::seconds>(SystemClock{}.now()) - std::chrono::seconds{25};
};

TEST_F(Vehicle, ItsRecordedDriveAndTwoFixedStationsFindTheEmitter) {
  run_all();
  const pqxx::result rows = network.sql(
      "SELECT station_latitude_deg, station_longitude_deg, station_sigma_m, azimuth_deg, sigma_deg "
      "FROM bearing WHERE station_moves ORDER BY start_at");
  ASSERT_EQ(rows.size(), static_cast<std::size_t>(kSeconds));
  for (int i = 0; i < kSeconds; ++i) {
    const pqxx::row row = rows[i];
    const GeoPoint place{row[0].as<double>(), row[1].as<double>()};
    // Seven decimals of a minute are 0.2 mm.
    EXPECT_LT(geodesy::distance_m(place, place_after(i)), 0.01);
    EXPECT_GE(row[2].as<double>(), 4.0);
    EXPECT_NEAR(wrap_180(row[3].as<double>() - azimuth_from(place_after(i))), 0.0, 1e-6);
    EXPECT_GT(row[4].as<double>(), 3.0) << "the course's error is in the sigma";
  }
  const pqxx::result emitters =
      network.sql("SELECT ST_Y(position::geometry), ST_X(position::geometry) FROM emitter");
  ASSERT_EQ(emitters.size(), 1U);
  const GeoPoint found{emitters[0][0].as<double>(), emitters[0][1].as<double>()};
  // Exact azimuths, rounded to 1e-9 degrees: what is left is the iteration's own end.
  EXPECT_LT(geodesy::distance_m(found, kEmitter), 1.0);
  EXPECT_EQ(network.stop_server(), 0) << network.server_log();
}

}  // namespace
}  // namespace fixwright::e2e
