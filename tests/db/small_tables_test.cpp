#include "server/store/small_tables.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <future>

#include "server/store/reader.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

class SmallTablesTest : public testing::Test {
 protected:
  StationId id_of(const Stations& stations, const std::string& name) {
    for (const auto& [id, station] : stations) {
      if (station.name == name) return id;
    }
    return 0;
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 4, std::chrono::seconds(5)}};
  store::Reader reader{pool};
};

TEST_F(SmallTablesTest, StationKeepsItsIdWhateverTheOrderAndTheCompany) {
  std::vector<Station> stations = osmere_stations();
  const Stations first = store::register_stations(pool, {stations[0], stations[1]});
  EXPECT_EQ(id_of(first, "LANTERN-HEAD"), 1);
  EXPECT_EQ(id_of(first, "MOSS-RIDGE"), 2);
  const Stations second = store::register_stations(pool, {stations[2], stations[1]});
  EXPECT_EQ(id_of(second, "MOSS-RIDGE"), 2);
  EXPECT_EQ(id_of(second, "QUILL-POINT"), 3);
  EXPECT_EQ(second.size(), 2U);
  EXPECT_EQ(reader.stations().size(), 3U);  // LANTERN-HEAD's bearings stay readable
}

TEST_F(SmallTablesTest, StationFollowsItsConfiguration) {
  Station s = osmere_stations()[1];
  store::register_stations(pool, {s});
  s.position = {41.3300000000001, -150.0200000000002};
  s.antenna_height_m = 17.5;
  s.site_sigma_deg = 0.9;
  s.bias_deg = -1.25;
  s.moves = true;
  store::register_stations(pool, {s});
  const Station got = reader.stations().at(1);
  EXPECT_EQ(got.name, "MOSS-RIDGE");
  EXPECT_EQ(got.position, s.position);
  EXPECT_EQ(got.antenna_height_m, 17.5);
  EXPECT_EQ(got.site_sigma_deg, 0.9);
  EXPECT_EQ(got.bias_deg, -1.25);
  EXPECT_TRUE(got.moves);
}

TEST_F(SmallTablesTest, TwoServersAtOnceGiveNoIdTwice) {
  const auto add = [&](int first) {
    for (int i = first; i < first + 20; ++i) {
      Station s = osmere_stations()[0];
      s.name = "HILL-" + std::to_string(i);
      store::register_stations(pool, {s});
    }
  };
  auto other = std::async(std::launch::async, add, 100);
  add(200);
  other.get();
  EXPECT_EQ(reader.stations().size(), 40U);
  EXPECT_EQ(reader.stations().rbegin()->first, 40);
}

TEST_F(SmallTablesTest, ChannelsAreAddedAndUpdated) {
  store::register_channels(pool, std::vector<Channel>{{12, "harbour", 156.8e6, 25e3}});
  store::register_channels(pool, std::vector<Channel>{{13, "tower", 118.1e6, 8.33e3},
                                                      {12, "harbour 16", 156.8e6, 12.5e3}});
  const auto channels = reader.channels();
  ASSERT_EQ(channels.size(), 2U);
  EXPECT_EQ(channels[0].name, "harbour 16");
  EXPECT_EQ(channels[0].bandwidth_hz, 12.5e3);
  EXPECT_EQ(channels[1].frequency_hz, 118.1e6);
}

}  // namespace
}  // namespace fixwright::test
