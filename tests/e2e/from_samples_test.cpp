/// The whole chain from samples, through the real programs: four stations play a scene as their
/// receivers would deliver it, watch what the server's plan says, and the server finds the
/// transmitter.

#include <fmt/core.h>
#include <gtest/gtest.h>

#include <map>

#include "server/geodesy/local_frame.hpp"
#include "tests/e2e/network.hpp"

namespace fixwright::e2e {
namespace {

constexpr GeoPoint kTruth{41.225, -150.420};

const std::map<std::string, GeoPoint>& stations() {
  static const std::map<std::string, GeoPoint> all{{"LANTERN-HEAD", {41.430, -150.450}},
                                                   {"MOSS-RIDGE", {41.330, -150.020}},
                                                   {"QUILL-POINT", {41.020, -150.120}},
                                                   {"HARROW-HILL", {41.080, -150.560}}};
  return all;
}

// The channel is the server's to say; results are final soon, so that the test need not wait.
constexpr const char* kServerToml =
    "[align]\nslack_s = 0.5\nidle_s = 2\nall_idle_s = 3\nlateness_s = 2\n"
    "[[channel]]\nid = 7\nname = \"OSMERE-VHF-7\"\nfrequency_hz = 156.8e6\nbandwidth_hz = 16e3\n";

/// Each station's array looks another way, and its channels differ in gain and phase.
std::string scene_toml() {
  std::string toml = "seed = 7\n";
  double orientation_deg = 20.0;
  for (const auto& [name, place] : stations()) {
    toml += fmt::format(
        "[[station]]\nname = \"{}\"\nlatitude_deg = {}\nlongitude_deg = {}\nrate_hz = 2e5\n"
        "centre_hz = 156.75e6\n[station.array]\nradius_m = 0.67\norientation_deg = {}\n"
        "gain_spread_db = 1.0\nphase_spread_deg = 60.0\n",
        name, place.latitude_deg, place.longitude_deg, orientation_deg);
    orientation_deg += 85.0;
  }
  return toml + fmt::format(
                    "[[emitter]]\nname = \"OSM-12\"\nfrequency_hz = 156.8e6\neirp_dbw = 14\n"
                    "modulation = \"fsk\"\nsymbol_rate_hz = 9600.0\ndeviation_hz = 2400.0\n"
                    "bt = 0.5\n[[emitter.waypoint]]\nlatitude_deg = {}\nlongitude_deg = {}\n",
                    kTruth.latitude_deg, kTruth.longitude_deg);
}

TEST(FromSamples, FourStationsFindATransmitterByWhatTheirArraysReceive) {
  Network network(kServerToml);
  for (const auto& [name, place] : stations()) network.add_station(name, place);
  network.start_server();
  const std::filesystem::path scene = network.folder() / "scene.toml";
  write_file(scene, scene_toml());
  for (const auto& [name, place] : stations()) {
    network.start_source(name, fmt::format("kind = \"iq\"\n[source.iq]\ninput = \"scene\"\n"
                                           "[source.iq.scene]\nfile = \"{}\"\nlasts_s = 6\n",
                                           scene.string()));
  }
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  const char* const kFix =
      "SELECT ST_Y(position::geometry), ST_X(position::geometry), covariance_ee_m2, "
      "covariance_en_m2, covariance_nn_m2, grade FROM fix "
      "WHERE refusal = 'none' AND state = 'final'";
  ASSERT_TRUE(wait_until(std::chrono::seconds{30}, [&] { return !network.sql(kFix).empty(); }));
  const pqxx::row fix = network.sql(kFix).at(0);
  const GeoPoint found{fix[0].as<double>(), fix[1].as<double>()};
  const EnCovariance covariance{fix[2].as<double>(), fix[3].as<double>(), fix[4].as<double>()};
  // 5.991: 95 %, two degrees of freedom (any chi-square table). The bearings' floor of 0.5 degrees
  // is many times their noise here, so the truth lies well within.
  EXPECT_LT(geodesy::mahalanobis_squared(covariance, geodesy::offset(found, kTruth)), 5.991)
      << found.latitude_deg << " " << found.longitude_deg;
  EXPECT_EQ(fix[5].as<std::string>(), "checked");  // four stations agree
  const pqxx::row bearings =
      network.sql("SELECT count(*), count(DISTINCT station_id) FROM bearing WHERE channel_id = 7")
          .at(0);
  // Five a second for six seconds at each, less what passed before the plan was there.
  EXPECT_GE(bearings[0].as<int>(), 60);
  EXPECT_EQ(bearings[1].as<int>(), 4);
  EXPECT_EQ(network.stop_server(), 0) << network.server_log();
}

}  // namespace
}  // namespace fixwright::e2e
