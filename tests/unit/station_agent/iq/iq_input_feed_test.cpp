/// Samples from a pipe and from a TCP sender: their time, gaps, lost connections, wrong
/// declarations.

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>

#include "station_agent/source/iq/feed_stream.hpp"
#include "station_agent/source/iq/frame_clock.hpp"
#include "station_agent/source/iq/pacer.hpp"
#include "station_agent/source/lines/socket.hpp"
#include "tests/unit/station_agent/iq/iq_input_fixture.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::iq {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using testing::HasSubstr;

constexpr TimePoint kStart = std::chrono::sys_days{std::chrono::year{2031} / 5 / 4};

TEST(FrameClock, BlocksFollowEachOtherByTheRateWhateverTheJitter) {
  FrameClock clock(1000.0);
  TimePoint last;
  for (int i = 1; i <= 1000; ++i) {
    // Late by 3 to 12 ms.
    const auto late = milliseconds{3 + (i * 7) % 10};
    const auto stamp = clock.stamp(100, kStart + milliseconds{100 * i} + late);
    EXPECT_EQ(stamp.lost, 0U);
    // After the first window the block is placed by the smallest latency, to 9 ms at worst.
    if (i > 50) {
      EXPECT_GE(stamp.start, kStart + milliseconds{100 * (i - 1)});
      EXPECT_LE(stamp.start, kStart + milliseconds{100 * (i - 1) + 4});
      EXPECT_LT(stamp.start - last - milliseconds{100}, milliseconds{1});
    }
    last = stamp.start;
  }
}

TEST(FrameClock, NoSampleLiesInTheFuture) {
  FrameClock clock(1000.0);
  clock.stamp(100, kStart + milliseconds{400});
  // Twice as fast as it should be.
  for (int i = 1; i < 100; ++i) {
    const TimePoint arrival = kStart + milliseconds{400 + 50 * i};
    EXPECT_LE(clock.stamp(100, arrival).start + milliseconds{100}, arrival);
  }
}

TEST(FrameClock, ASampleClockThatDriftsIsFollowed) {
  FrameClock clock(1000.0);
  FrameClock::Stamp stamp;
  TimePoint arrival;
  for (int i = 1; i <= 36'000; ++i) {  // an hour, 100 parts in a million slow: 360 ms
    arrival = kStart + from_seconds(0.1 * 1.0001 * i);
    stamp = clock.stamp(100, arrival);
    EXPECT_EQ(stamp.lost, 0U);
  }
  // Behind by what drifts in 5 s, 0.5 ms: four times for the quarter that is followed each time,
  // and once for the window under way.
  EXPECT_NEAR(fixwright::seconds(arrival - stamp.start - milliseconds{100}), 0.0, 0.0026);
}

TEST(FrameClock, ASenderThatDropsSamplesIsFoundOut) {
  FrameClock clock(1000.0);
  std::uint64_t lost = 0;
  for (int i = 1; i <= 200; ++i) {
    const int dropped_ms = i > 60 ? 730 : 0;
    lost += clock.stamp(100, kStart + milliseconds{100 * i + dropped_ms}).lost;
  }
  EXPECT_EQ(lost, 730U);
}

TEST(FrameClock, AStallThatIsCaughtUpIsNoLoss) {
  FrameClock clock(1000.0);
  for (int i = 1; i <= 200; ++i) {
    // Nothing for 3 s, then all at once.
    const int arrival_ms = i > 60 && i <= 90 ? 9000 : 100 * i;
    EXPECT_EQ(clock.stamp(100, kStart + milliseconds{arrival_ms}).lost, 0U) << i;
  }
}

TEST(FrameClock, AGapOfUnknownLengthIsMeasured) {
  FrameClock clock(1000.0);
  clock.stamp(100, kStart + milliseconds{100});
  clock.restart();
  const auto stamp = clock.stamp(100, kStart + milliseconds{1350});
  EXPECT_EQ(stamp.lost, 1150U);
  EXPECT_EQ(stamp.start, kStart + milliseconds{1250});
  clock.restart();
  EXPECT_EQ(clock.stamp(100, kStart + milliseconds{1450}).lost, 1U);  // some were, we know
}

TEST(FrameClock, ARateThatIsNotTheDeclaredOneIsToldOnce) {
  FrameClock clock(1000.0);
  int told = 0;
  for (int i = 1; i <= 300; ++i) {
    clock.stamp(80, kStart + milliseconds{100 * i});  // 800 a second
    if (const auto rate_hz = clock.take_odd_rate()) {
      EXPECT_NEAR(*rate_hz, 800.0, 17.0);  // a window ends with a whole block
      ++told;
    }
  }
  EXPECT_EQ(told, 1);
}

/// The far end of a feed through a pair of sockets.
class Feed : public testing::Test {
 protected:
  void SetUp() override {
    std::array<int, 2> ends{};
    ASSERT_EQ(socketpair(AF_UNIX, SOCK_STREAM, 0, ends.data()), 0);
    ours_.reset(ends[0]);
    theirs_.reset(ends[1]);
    fcntl(ours_.get(), F_SETFL, O_NONBLOCK);
    config_.address = {.kind = FeedKind::descriptor, .place = {}, .descriptor = ours_.get()};
    config_.type = parse_sample_type("ci8").value();
    config_.rate_hz = 10'000.0;
    config_.centre_hz = 155e6;
    config_.elements = 2;
    config_.block_frames = 100;
  }

  /// Frame n, from `first` on: element 0 is (n % 100, 1), element 1 (-(n % 100), 2).
  static std::string frames(int first, int count) {
    std::string bytes;
    for (int n = first; n < first + count; ++n) {
      bytes += {static_cast<char>(n % 100), 1, static_cast<char>(-(n % 100)), 2};
    }
    return bytes;
  }
  static void send(const FileDescriptor& to, const std::string& bytes) {
    ASSERT_EQ(write(to.get(), bytes.data(), bytes.size()), static_cast<ssize_t>(bytes.size()));
  }
  void send(const std::string& bytes) { send(theirs_, bytes); }

  /// Reads until there is a block or a note, within 5 s.
  static ReadOutcome read(SampleStream& stream, SampleBlock& block) {
    ReadOutcome outcome;
    for (int i = 0; i < 500; ++i) {
      outcome = stream.read(block, milliseconds{10});
      if (outcome.state != ReadState::waiting || !outcome.note.empty()) break;
    }
    return outcome;
  }

  FileDescriptor ours_;
  FileDescriptor theirs_;
  FeedConfig config_;
  ManualClock clock_{kStart};
};

TEST_F(Feed, BlocksComeWhenTheyAreFullInWhateverPiecesTheyAreSent) {
  const auto stream = open_feed(config_, clock_);
  EXPECT_EQ(stream->format().elements, 2U);
  EXPECT_EQ(stream->format().centre_hz, 155e6);
  const std::string bytes = frames(0, 200);
  SampleBlock block;
  clock_.advance(milliseconds{10});
  send(bytes.substr(0, 133));
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
  send(bytes.substr(133));
  ASSERT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
  EXPECT_EQ(block.frames, 100U);
  EXPECT_EQ(block.start, kStart);
  EXPECT_EQ(block.element(0)[37], (std::complex<float>{37.0F / 128.0F, 1.0F / 128.0F}));
  EXPECT_EQ(block.element(1)[37], (std::complex<float>{-37.0F / 128.0F, 2.0F / 128.0F}));
  clock_.advance(milliseconds{10});
  ASSERT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
  EXPECT_EQ(block.start, kStart + milliseconds{10});
  EXPECT_EQ(block.lost_frames_before, 0U);
}

TEST_F(Feed, TheEndOfStandardInputGivesWhatIsWholeAndNamesTheRest) {
  const auto stream = open_feed(config_, clock_);
  send(frames(0, 130) + "abc");
  theirs_.reset();
  SampleBlock block;
  EXPECT_EQ(read(*stream, block).state, ReadState::samples);
  const ReadOutcome last = read(*stream, block);
  EXPECT_EQ(last.state, ReadState::samples);
  EXPECT_EQ(block.frames, 30U);
  EXPECT_THAT(last.note, HasSubstr("it ended 3 bytes into a frame of 4"));
  EXPECT_EQ(read(*stream, block).state, ReadState::ended);
}

TEST_F(Feed, SamplesOfAnotherTypeAreNamedAndWithheldUntilTheyFit) {
  config_.block_frames = 1000;
  const auto stream = open_feed(config_, clock_);
  send(std::string(2000, '\x7f') + std::string(2000, '\x80'));  // unsigned noise round the middle
  SampleBlock block;
  const ReadOutcome outcome = read(*stream, block);
  EXPECT_EQ(outcome.state, ReadState::waiting);
  EXPECT_THAT(outcome.note, HasSubstr("source.iq.feed.type = ci8 does not fit the samples"));
  send(frames(0, 1000));
  EXPECT_EQ(read(*stream, block).state, ReadState::samples);
  EXPECT_EQ(block.lost_frames_before, 1000U);
}

TEST_F(Feed, AWrongNumberOfElementsShowsInTheRate) {
  // Five elements where two are declared: two and a half times as many frames.
  const auto stream = open_feed(config_, clock_);
  SampleBlock block;
  std::string notes;
  for (int i = 0; i < 600; ++i) {
    clock_.advance(milliseconds{10});
    send(frames(250 * i, 250));
    for (;;) {
      const ReadOutcome outcome = stream->read(block, Duration{});
      notes += outcome.note;
      if (outcome.state != ReadState::samples) break;
    }
  }
  EXPECT_THAT(notes, HasSubstr("frames a second, not 10000: are source.iq.rate_hz"));
}

TEST_F(Feed, ALostTcpSenderIsAGapAndIsConnectedAgain) {
  auto listener = listen_tcp("127.0.0.1:0");
  ASSERT_TRUE(listener.ok());
  config_.address = {.kind = FeedKind::tcp,
                     .place = "127.0.0.1:" + std::to_string(local_port(listener->get())),
                     .descriptor = -1};
  const auto stream = open_feed(config_, clock_);
  SampleBlock block;
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
  FileDescriptor sender(accept(listener->get(), nullptr, nullptr));
  for (int i = 0; sender.get() < 0 && i < 500; ++i) {
    usleep(10'000);
    sender.reset(accept(listener->get(), nullptr, nullptr));
  }
  ASSERT_GE(sender.get(), 0);
  clock_.advance(milliseconds{10});
  send(sender, frames(0, 100));
  EXPECT_EQ(read(*stream, block).state, ReadState::samples);
  sender.reset();
  EXPECT_THAT(read(*stream, block).note, HasSubstr("the sender is gone: trying again"));
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);  // half a second first
  clock_.advance(milliseconds{600});
  for (int i = 0; sender.get() < 0 && i < 500; ++i) {
    EXPECT_EQ(stream->read(block, milliseconds{10}).state, ReadState::waiting);
    sender.reset(accept(listener->get(), nullptr, nullptr));
  }
  ASSERT_GE(sender.get(), 0);
  clock_.advance(milliseconds{10});
  send(sender, frames(0, 100));
  ReadOutcome outcome = read(*stream, block);
  if (outcome.state == ReadState::waiting) {
    EXPECT_THAT(outcome.note, HasSubstr("there again"));
    outcome = read(*stream, block);
  }
  EXPECT_EQ(outcome.state, ReadState::samples);
  EXPECT_EQ(block.lost_frames_before, 6000U);  // 600 ms between the ends of the two
  EXPECT_EQ(block.start, kStart + milliseconds{610});
}

TEST_F(Feed, AnAddressWithoutASenderIsToldOnceAndTriedAfterLongerAndLongerWaits) {
  auto listener = listen_tcp("127.0.0.1:0");
  ASSERT_TRUE(listener.ok());
  const std::string place = "127.0.0.1:" + std::to_string(local_port(listener->get()));
  listener = FileDescriptor();  // nobody listens there now
  FeedInput input({.kind = FeedKind::tcp, .place = place, .descriptor = -1}, clock_);
  std::array<std::byte, 16> bytes{};
  int notes = 0;
  for (int i = 0; i < 3000; ++i) {
    notes += input.read(bytes, Duration{}).note.empty() ? 0 : 1;
    clock_.advance(milliseconds{50});
  }
  EXPECT_EQ(notes, 1);
}

TEST_F(Feed, ANamedPipeIsReadOnWithItsNextWriter) {
  TempFolder folder;
  const auto path = folder.path() / "iq";
  ASSERT_EQ(mkfifo(path.c_str(), 0600), 0);
  config_.address = {.kind = FeedKind::pipe, .place = path.string(), .descriptor = -1};
  const auto stream = open_feed(config_, clock_);
  SampleBlock block;
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
  for (int writer = 0; writer < 2; ++writer) {
    FileDescriptor end(open(path.c_str(), O_WRONLY | O_NONBLOCK));
    ASSERT_GE(end.get(), 0);
    clock_.advance(milliseconds{10});
    send(end, frames(0, 100));
    EXPECT_EQ(read(*stream, block).state, ReadState::samples) << writer;
    EXPECT_EQ(block.lost_frames_before > 0, writer == 1);
    end.reset();
    const std::string note = read(*stream, block).note;
    EXPECT_THAT(note, HasSubstr("iq: the sender is gone: trying again"));
    clock_.advance(seconds{1});
    EXPECT_THAT(read(*stream, block).note, HasSubstr("there again"));
  }
}

}  // namespace
}  // namespace fixwright::agent::iq
