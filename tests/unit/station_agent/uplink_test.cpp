// The uplink against a server in the same process that does what each test tells it.
#include "station_agent/uplink/uplink.hpp"

#include <gmock/gmock.h>

#include <atomic>
#include <future>
#include <thread>

#include "tests/unit/station_agent/uplink_fixture.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using testing::ElementsAre;

TEST_F(UplinkToFakeServer, HelloTellsWhoAndWhereAndWhichStream) {
  append(1);
  wire::Hello hello;
  FakeServer server([&](int, ServerStream& s) {
    hello = welcome(s);
    read_through(s, seen, 1);
    acknowledge(s, 1);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_EQ(hello.station(), "HILL-1");
  EXPECT_EQ(hello.agent_version(), "test");
  EXPECT_EQ(hello.stream_id(), spool->stream_id());
  EXPECT_EQ(hello.position().latitude_deg(), 41.0);
  EXPECT_EQ(hello.position().height_m(), 200.0);
  EXPECT_FALSE(hello.position().has_position_sigma_m());
  EXPECT_THAT(hello.capabilities(), ElementsAre(wire::CAPABILITY_LINES));
}

TEST_F(UplinkToFakeServer, TheServersChannelPlanReachesTheSource) {
  append(1);
  FakeServer server([&](int, ServerStream& s) {
    welcome(s);
    wire::ServerMessage message;
    auto* channel = message.mutable_channel_plan()->add_channels();
    channel->set_frequency_hz(156.8e6);
    channel->set_bandwidth_hz(16e3);
    message.mutable_channel_plan()->add_channels()->set_frequency_hz(
        1e6);  // of no width: no channel
    s.Write(message);
    read_through(s, seen, 1);
    acknowledge(s, 1);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  EXPECT_EQ(board.version(), 0U);
  deliver(server);
  EXPECT_EQ(board.version(), 2U);  // the Welcome's, which is empty, and this
  EXPECT_THAT(board.plan(), ElementsAre(PlannedChannel{156.8e6, 16e3}));
}

TEST_F(UplinkToFakeServer,
       NothingIsSentBeforeTheWelcomeAndNothingForgottenBeforeTheAcknowledgement) {
  append(5);
  std::atomic<std::uint64_t> waiting_when_all_was_received{0};
  FakeServer server([&](int, ServerStream& s) {
    welcome(s);
    read_through(s, seen, 5);
    waiting_when_all_was_received = spool->status().waiting;
    acknowledge(s, 5);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_EQ(waiting_when_all_was_received, 5U);
  EXPECT_EQ(spool->status().waiting, 0U);
  EXPECT_THAT(seen.sequences(), ElementsAre(1, 2, 3, 4, 5));
}

TEST_F(UplinkToFakeServer, AfterACutEverythingBehindTheMarkIsSentAgainToTheBit) {
  append(5);
  Seen first;
  FakeServer server([&](int stream, ServerStream& s) {
    if (stream == 0) {
      welcome(s);
      read_through(s, first, 5);
      return grpc::Status(grpc::StatusCode::UNAVAILABLE, "lost the database");
    }
    welcome(s, 2);  // two had reached the database, though no acknowledgement got through
    read_through(s, seen, 5);
    acknowledge(s, 5);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_THAT(first.sequences(), ElementsAre(1, 2, 3, 4, 5));
  ASSERT_THAT(seen.sequences(), ElementsAre(3, 4, 5));
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(seen.bearings()[i].SerializeAsString(), first.bearings()[i + 2].SerializeAsString());
  }
}

TEST_F(UplinkToFakeServer, NeverMoreThanTheWindowIsOnItsWay) {
  append(50);
  std::uint64_t most_in_flight = 0;
  FakeServer server([&](int, ServerStream& s) {
    welcome(s, 0, 7, 3);
    std::uint64_t acknowledged = 0;
    wire::StationMessage message;
    while (s.Read(&message)) {
      seen.add(message);
      if (!message.has_bearings()) continue;
      const std::uint64_t last = message.bearings().bearings().rbegin()->sequence();
      most_in_flight = std::max(most_in_flight, last - acknowledged);
      if (last - acknowledged < 7 && last < 50) continue;  // let it fill up first
      acknowledge(s, last);
      acknowledged = last;
    }
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_EQ(seen.sequences().size(), 50U);
  EXPECT_EQ(most_in_flight, 7U);
  for (const int size : seen.batches()) EXPECT_LE(size, 3);
}

TEST_F(UplinkToFakeServer, HeartbeatsCarryClockSpoolAndWatermark) {
  append(3);
  FakeServer server([&](int, ServerStream& s) {
    welcome(s);
    read_through(s, seen, 3);
    wire::StationMessage message;
    while (seen.heartbeats().size() < 2 && s.Read(&message)) seen.add(message);
    acknowledge(s, 3);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  const auto beats = seen.heartbeats();
  ASSERT_GE(beats.size(), 2U);
  EXPECT_EQ(beats[0].clock_state(), wire::CLOCK_STATE_HOLDOVER);
  EXPECT_EQ(beats[0].clock_error().nanos(), 40'000'000);
  EXPECT_EQ(beats[0].last_sequence(), 3U);
  EXPECT_EQ(beats[0].spooled_bearings(), 3U);
  EXPECT_EQ(beats[0].sent_at().seconds(), 1'900'000'060);
  EXPECT_EQ(beats[0].low_watermark().seconds(), 1'900'000'058);  // all was sent before it
  EXPECT_EQ(beats.back().spooled_bearings(), 0U);                // the farewell
}

TEST_F(UplinkToFakeServer, UnsentBearingsHoldTheWatermarkBack) {
  config.watermark_hold = std::chrono::hours{1};
  append(10);
  FakeServer server([&](int, ServerStream& s) {
    welcome(s, 0, 4);  // four go out, six must wait
    wire::StationMessage message;
    while (seen.heartbeats().empty() && s.Read(&message)) seen.add(message);
    std::uint64_t last = 4;
    acknowledge(s, last);
    while (s.Read(&message)) {
      seen.add(message);
      if (message.has_bearings())
        acknowledge(s, message.bearings().bearings().rbegin()->sequence());
    }
    return grpc::Status::OK;
  });
  deliver(server);
  wire::Heartbeat expected;
  set_time(kUplinkStart + milliseconds{400},
           *expected.mutable_low_watermark());  // the fifth bearing
  EXPECT_EQ(seen.heartbeats().at(0).low_watermark().nanos(), expected.low_watermark().nanos());
  EXPECT_EQ(seen.heartbeats().at(0).low_watermark().seconds(), expected.low_watermark().seconds());
}

TEST_F(UplinkToFakeServer, UnknownStationTriesOnSlowlyUntilItIsRegistered) {
  append(1);
  std::atomic<int> refused{0};
  FakeServer server([&](int stream, ServerStream& s) {
    if (stream < 3) {
      ++refused;
      return grpc::Status(grpc::StatusCode::NOT_FOUND, "no station HILL-1");
    }
    welcome(s);
    read_through(s, seen, 1);
    acknowledge(s, 1);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_EQ(refused, 3);
  EXPECT_THAT(seen.sequences(), ElementsAre(1));
}

TEST_F(UplinkToFakeServer, DrainStopsSendingAwaitsTheAcknowledgementAndComesBack) {
  append(2);
  Seen while_draining;
  FakeServer server([&](int stream, ServerStream& s) {
    welcome(s, stream == 0 ? 0 : 2);
    if (stream == 0) {
      read_through(s, seen, 2);
      wire::ServerMessage drain;
      drain.mutable_drain()->mutable_reconnect_after()->set_nanos(1'000'000);
      s.Write(drain);
      acknowledge(s, 1);
      // What follows the drain has been taken, and so has the drain itself.
      while (spool->status().waiting > 1) std::this_thread::sleep_for(milliseconds{1});
      append(3);
      std::this_thread::sleep_for(milliseconds{50});  // many batch intervals
      acknowledge(s, 2);
      read_to_end(s, while_draining);
      return grpc::Status(grpc::StatusCode::UNAVAILABLE, "draining");
    }
    read_through(s, seen, 5);
    acknowledge(s, 5);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_THAT(while_draining.sequences(), testing::IsEmpty());
  EXPECT_THAT(seen.sequences(), ElementsAre(1, 2, 3, 4, 5));
}

TEST_F(UplinkToFakeServer, RefusedBearingsAreForgottenLikeTheOthers) {
  append(2);
  FakeServer server([&](int, ServerStream& s) {
    welcome(s);
    read_through(s, seen, 2);
    wire::ServerMessage message;
    message.mutable_acknowledgement()->set_acknowledged_sequence(2);
    auto& refusal = *message.mutable_acknowledgement()->add_refusals();
    refusal.set_sequence(1);
    refusal.set_reason("clock");
    refusal.set_message("start time is an hour ahead\nforged line");
    s.Write(message);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  testing::internal::CaptureStderr();
  deliver(server);
  const std::string log = testing::internal::GetCapturedStderr();
  EXPECT_THAT(log, testing::HasSubstr("start time is an hour ahead\\nforged line [clock]"));
  EXPECT_EQ(spool->status().waiting, 0U);
}

TEST_F(UplinkToFakeServer, AcknowledgementBeyondWhatWasSentCostsNothingUnsent) {
  append(10);
  FakeServer server([&](int stream, ServerStream& s) {
    if (stream == 0) {
      welcome(s, 0, 4);
      read_through(s, seen, 4);
      acknowledge(s, 9);  // a server's mistake: five to nine it never had
      wire::StationMessage message;
      while (seen.sequences().size() < 8 && s.Read(&message)) seen.add(message);
      return grpc::Status(grpc::StatusCode::UNAVAILABLE, "again");
    }
    welcome(s, 4);
    read_through(s, seen, 10);
    acknowledge(s, 10);
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  EXPECT_THAT(seen.sequences(), ElementsAre(1, 2, 3, 4, 5, 6, 7, 8, 5, 6, 7, 8, 9, 10));
}

TEST_F(UplinkToFakeServer, SpoolPutBackFromACopyBeginsANewStream) {
  append(2);
  std::vector<std::uint64_t> streams;
  FakeServer server([&](int stream, ServerStream& s) {
    streams.push_back(welcome(s, stream == 0 ? 900 : 0).stream_id());
    if (stream > 0) {
      read_through(s, seen, 2);
      acknowledge(s, 2);
    }
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  deliver(server);
  ASSERT_EQ(streams.size(), 2U);
  EXPECT_NE(streams[0], streams[1]);
  EXPECT_THAT(seen.sequences(), ElementsAre(1, 2));
}

TEST_F(UplinkToFakeServer, ServerThatComesLateFindsEverything) {
  append(3);
  int port = 0;
  {
    const FakeServer nobody([](int, ServerStream&) { return grpc::Status::OK; });
    port = nobody.port();
  }
  config.server = "127.0.0.1:" + std::to_string(port);
  Uplink uplink(config, *spool, clock, clock_monitor);
  uplink.finish();
  std::jthread running([&] { uplink.run(); });
  std::this_thread::sleep_for(milliseconds{50});  // some attempts fail first
  FakeServer server(
      [&](int, ServerStream& s) {
        welcome(s);
        read_through(s, seen, 3);
        acknowledge(s, 3);
        read_to_end(s, seen);
        return grpc::Status::OK;
      },
      port);
  running.join();
  EXPECT_THAT(seen.sequences(), ElementsAre(1, 2, 3));
}

TEST_F(UplinkToFakeServer, StopWithoutAnAcknowledgementEndsInTimeAndKeepsTheBearings) {
  append(3);
  std::promise<void> received;
  FakeServer server([&](int, ServerStream& s) {
    welcome(s);
    read_through(s, seen, 3);
    received.set_value();
    read_to_end(s, seen);
    return grpc::Status::OK;
  });
  config.server = server.address();
  Uplink uplink(config, *spool, clock, clock_monitor);
  std::jthread running([&] { uplink.run(); });
  received.get_future().wait();
  uplink.stop();
  running.join();
  EXPECT_EQ(spool->status().waiting, 3U);
}

TEST_F(UplinkToFakeServer, CutEndsAStreamWhoseServerSaysNothing) {
  append(1);
  std::promise<void> connected;
  FakeServer server([&](int stream, ServerStream& s) {
    wire::StationMessage message;
    s.Read(&message);
    if (stream == 0) connected.set_value();
    while (s.Read(&message)) {  // and never a Welcome
    }
    return grpc::Status::OK;
  });
  config.server = server.address();
  Uplink uplink(config, *spool, clock, clock_monitor);
  std::jthread running([&] { uplink.run(); });
  connected.get_future().wait();
  uplink.stop();
  uplink.cut();
  running.join();
  EXPECT_EQ(spool->status().waiting, 1U);
}

}  // namespace
}  // namespace fixwright::agent
