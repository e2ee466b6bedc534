#include "server/app/station_board.hpp"

#include <gtest/gtest.h>

#include "server/app/hub.hpp"

namespace fixwright::app {
namespace {

Stations two_stations() {
  Station a;
  a.id = 1;
  a.name = "MOSS-RIDGE";
  Station b;
  b.id = 2;
  b.name = "QUILL-POINT";
  return {{1, a}, {2, b}};
}

TEST(StationBoard, AStationIsConnectedOnceAtATime) {
  StationBoard board(two_stations());
  EXPECT_TRUE(board.connect(1, "0.1"));
  EXPECT_FALSE(board.connect(1, "0.1"));
  EXPECT_TRUE(board.connect(2, "0.1"));
  board.disconnect(1);
  EXPECT_TRUE(board.connect(1, "0.2"));
  EXPECT_EQ(board.views()[0].agent_version, "0.2");
}

TEST(StationBoard, CountsAddUpByStation) {
  StationBoard board(two_stations());
  board.count(2, 5, 1);
  board.count(2, 3, 0);
  EXPECT_EQ(board.views()[1].bearings_admitted, 8U);
  EXPECT_EQ(board.views()[1].bearings_refused, 1U);
  EXPECT_EQ(board.views()[0].bearings_admitted, 0U);
}

TEST(Hub, ADestroyedSubscriptionIsNotCalledAgain) {
  struct Base {
    Base() = default;
    virtual ~Base() = default;
  };
  Hub<int> hub;
  int sum = 0;
  {
    const HubSubscription<int, Base> subscription(hub, [&](const int& v) { sum += v; });
    hub.publish(3);
  }
  hub.publish(4);
  EXPECT_EQ(sum, 3);
}

}  // namespace
}  // namespace fixwright::app
