// The transports, each with the other end played here. Sockets stay on the loopback.
#include <arpa/inet.h>
#include <gmock/gmock.h>
#include <sys/socket.h>
#include <unistd.h>

#include <fstream>
#include <functional>
#include <thread>

#include "station_agent/source/lines/descriptor_input.hpp"
#include "station_agent/source/lines/file_input.hpp"
#include "station_agent/source/lines/lines_source.hpp"
#include "station_agent/source/lines/tcp_connect_input.hpp"
#include "station_agent/source/lines/tcp_listen_input.hpp"
#include "station_agent/source/lines/udp_input.hpp"
#include "tests/unit/station_agent/mapping_of.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const SystemClock kClock;

std::string object(int azimuth) {
  return R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"sigma_deg":2,"azimuth_deg":)" +
         std::to_string(azimuth) + "}\n";
}

/// Everything read so far, and how to wait for more.
class Collected {
 public:
  explicit Collected(LineInput& input) : input_(input) {}
  /// Reads until `enough` azimuths are there; fails after 10 s, far beyond any loopback.
  std::vector<int> until(std::size_t enough) {
    read_until([&] { return batch.bearings.size() >= enough; });
    std::vector<int> all;
    for (const SourceBearing& b : batch.bearings) all.push_back(static_cast<int>(b.azimuth_deg));
    return all;
  }
  void read_until(const std::function<bool()>& done) {
    const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds{10};
    while (!done() && std::chrono::steady_clock::now() < deadline) {
      input_.read(milliseconds{10}, batch);
    }
    EXPECT_TRUE(done());
  }
  SourceBatch batch;

 private:
  LineInput& input_;
};

// ---- stdin -----------------------------------------------------------------------------------

TEST(DescriptorInput, GivesLinesAndEndsWithTheDescriptor) {
  int fds[2];
  ASSERT_EQ(pipe(fds), 0);
  DescriptorInput input(fds[0], "stdin", lines_of(""), kClock);
  Collected collected(input);
  const std::string text = object(10) + object(20);
  ASSERT_EQ(write(fds[1], text.data(), text.size()), static_cast<ssize_t>(text.size()));
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
  EXPECT_FALSE(collected.batch.ended);
  close(fds[1]);
  collected.read_until([&] { return collected.batch.ended; });
  close(fds[0]);
}

// ---- file ------------------------------------------------------------------------------------

class FollowedFile : public testing::Test {
 protected:
  void append(const std::string& text) { std::ofstream(path, std::ios::app) << text; }
  LinesConfig config(const std::string& more = "") {
    return lines_of("input = \"file\"\npath = \"" + path.string() + "\"\n" + more);
  }
  TempFolder folder;
  std::filesystem::path path = folder.path() / "receiver.log";
};

TEST_F(FollowedFile, IsReadFromItsBeginningAndThenFollowed) {
  append(object(10));
  FileInput input(config(), "", kClock);
  Collected collected(input);
  EXPECT_THAT(collected.until(1), ElementsAre(10));
  append(object(20).substr(0, 30));
  append(object(20).substr(30));
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
  EXPECT_FALSE(collected.batch.ended);
}

TEST_F(FollowedFile, RotationLosesNeitherTheOldFilesEndNorTheNewOnesBeginning) {
  append(object(10));
  FileInput input(config(), "", kClock);
  Collected collected(input);
  collected.until(1);
  append(object(20));
  std::filesystem::rename(path, folder.path() / "receiver.log.1");
  append("");  // as a rotation that makes the new file at once, before the writer knows of it
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
  for (int i = 0; i < 5; ++i) input.read(milliseconds{1}, collected.batch);
  std::ofstream(folder.path() / "receiver.log.1", std::ios::app) << object(30);
  append(object(40));
  EXPECT_THAT(collected.until(4), ElementsAre(10, 20, 30, 40));
  EXPECT_THAT(collected.batch.complaints, IsEmpty());
}

TEST_F(FollowedFile, TruncationIsToldAndTheFileReadAnew) {
  append(object(10) + object(20));
  FileInput input(config(), "", kClock);
  Collected collected(input);
  collected.until(2);
  std::ofstream(path, std::ios::trunc) << object(30);
  EXPECT_THAT(collected.until(3), ElementsAre(10, 20, 30));
  EXPECT_THAT(collected.batch.complaints, ElementsAre(HasSubstr("was cut from")));
}

TEST_F(FollowedFile, MissingFileIsToldOnceAndAwaited) {
  FileInput input(config(), "", kClock);
  Collected collected(input);
  for (int i = 0; i < 3; ++i) input.read(milliseconds{1}, collected.batch);
  EXPECT_THAT(collected.batch.complaints, ElementsAre(HasSubstr("waiting for it")));
  append(object(10));
  EXPECT_THAT(collected.until(1), ElementsAre(10));
}

TEST_F(FollowedFile, AfterARestartReadingGoesOnBehindTheLastWholeLine) {
  const std::string columns = "[text]\nformat = \"delimited\"\n[time]\nformat = \"unix_s\"\n";
  append("time,frequency_hz,azimuth_deg,sigma_deg\n1,1e8,10,2\n2,1e8,20,");
  std::string mark;
  {
    FileInput input(config(columns), "", kClock);
    Collected collected(input);
    EXPECT_THAT(collected.until(1), ElementsAre(10));
    mark = collected.batch.mark.value_or("");
  }
  append("2\n3,1e8,30,0\n");
  FileInput input(config(columns), mark, kClock);
  Collected collected(input);
  collected.read_until([&] { return !collected.batch.complaints.empty(); });
  EXPECT_THAT(collected.until(1), ElementsAre(20));  // not 10 again, and 20 whole
  // The header and the line's number are known although they were read in an earlier life.
  EXPECT_THAT(collected.batch.complaints, ElementsAre(HasSubstr("receiver.log:4: sigma \"0\"")));
}

TEST_F(FollowedFile, MarkOfAnotherFileMeansFromTheBeginning) {
  append(object(10));
  FileInput input(config(), "file 1 999999", kClock);
  EXPECT_THAT(Collected(input).until(1), ElementsAre(10));
}

TEST_F(FollowedFile, FromNowOnPassesOverWhatIsThere) {
  append(object(10));
  FileInput input(config("from_start = false"), "", kClock);
  Collected collected(input);
  input.read(milliseconds{1}, collected.batch);
  append(object(20));
  EXPECT_THAT(collected.until(1), ElementsAre(20));
}

TEST_F(FollowedFile, NotFollowedEndsAtItsEnd) {
  append(object(10));
  FileInput input(config("follow = false"), "", kClock);
  Collected collected(input);
  collected.read_until([&] { return collected.batch.ended; });
  EXPECT_EQ(collected.batch.bearings.size(), 1U);
}

TEST(FileMark, ComesBackFromItsText) {
  const auto mark = parse_file_mark(to_string(FileMark{12, 345}));
  ASSERT_TRUE(mark.has_value());
  EXPECT_EQ(mark->inode, 12U);
  EXPECT_EQ(mark->offset, 345U);
  EXPECT_FALSE(parse_file_mark("").has_value());
  EXPECT_FALSE(parse_file_mark("file 12").has_value());
}

// ---- sockets -----------------------------------------------------------------------------------

sockaddr_in loopback(int port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

FileDescriptor connected(int port) {
  FileDescriptor fd(socket(AF_INET, SOCK_STREAM, 0));
  const sockaddr_in to = loopback(port);
  EXPECT_EQ(connect(fd.get(), reinterpret_cast<const sockaddr*>(&to), sizeof to), 0);
  return fd;
}

void say(const FileDescriptor& fd, const std::string& text) {
  EXPECT_EQ(send(fd.get(), text.data(), text.size(), MSG_NOSIGNAL),
            static_cast<ssize_t>(text.size()));
}

TEST(TcpListenInput, TakesSeveralSendersEachWithItsOwnHeader) {
  const auto input = TcpListenInput::open(
      lines_of("input = \"tcp_listen\"\naddress = \"127.0.0.1:0\"\n[text]\nformat = \"delimited\"\n"
               "[time]\nformat = \"unix_s\""),
      kClock);
  ASSERT_TRUE(input.ok()) << input.error();
  Collected collected(**input);
  const FileDescriptor a = connected((*input)->port());
  const FileDescriptor b = connected((*input)->port());
  say(a, "time,frequency_hz,azimuth_deg,sigma_deg\n1,1e8,10,2\n");
  collected.until(1);
  say(b, "sigma_deg,azimuth_deg,frequency_hz,time\n2,20,1e8,1\n");
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
  EXPECT_THAT(collected.batch.complaints, IsEmpty());
}

TEST(TcpListenInput, SenderThatBreaksOffInALineIsToldAndTheNextIsServed) {
  const auto input =
      TcpListenInput::open(lines_of("input = \"tcp_listen\"\naddress = \"127.0.0.1:0\""), kClock);
  Collected collected(**input);
  {
    const FileDescriptor first = connected((*input)->port());
    say(first, object(10) + "{\"time\":");
    collected.until(1);
  }
  collected.read_until([&] { return !collected.batch.complaints.empty(); });
  EXPECT_THAT(collected.batch.complaints,
              ElementsAre(HasSubstr(":2: \"{\"time\":\": must be one")));
  const FileDescriptor second = connected((*input)->port());
  say(second, object(20));
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
}

TEST(TcpListenInput, PortInUseIsOneLineThatNamesIt) {
  const auto first =
      TcpListenInput::open(lines_of("input = \"tcp_listen\"\naddress = \"127.0.0.1:0\""), kClock);
  const std::string address = "127.0.0.1:" + std::to_string((*first)->port());
  const auto second = TcpListenInput::open(
      lines_of("input = \"tcp_listen\"\naddress = \"" + address + "\""), kClock);
  ASSERT_FALSE(second.ok());
  EXPECT_THAT(second.error(), testing::AllOf(HasSubstr(address), HasSubstr("in use")));
}

TEST(TcpConnectInput, ConnectsAgainAfterTheSenderWentAway) {
  auto listener = listen_tcp("127.0.0.1:0");
  ASSERT_TRUE(listener.ok());
  const int port = local_port(listener->get());
  TcpConnectInput input(
      lines_of("input = \"tcp_connect\"\naddress = \"127.0.0.1:" + std::to_string(port) + "\""),
      kClock);
  Collected collected(input);
  const auto accepted = [&] {
    FileDescriptor fd;
    collected.read_until([&] {
      if (fd.get() < 0) fd.reset(accept(listener->get(), nullptr, nullptr));
      return fd.get() >= 0;
    });
    return fd;
  };
  {
    const FileDescriptor sender = accepted();
    say(sender, object(10));
    collected.until(1);
  }
  const FileDescriptor again = accepted();
  say(again, object(20));
  EXPECT_THAT(collected.until(2), ElementsAre(10, 20));
  EXPECT_THAT(
      collected.batch.complaints,
      ElementsAre(HasSubstr("closed the connection: trying again"), HasSubstr("connected")));
}

TEST(TcpConnectInput, NobodyThereIsToldOnceNotEachSecond) {
  auto listener = listen_tcp("127.0.0.1:0");
  const int port = local_port(listener->get());
  listener = Result<FileDescriptor>(Error{"closed"});  // the port is free again: nobody listens
  ManualClock clock(kClock.now());
  TcpConnectInput input(
      lines_of("input = \"tcp_connect\"\naddress = \"127.0.0.1:" + std::to_string(port) + "\""),
      clock);
  SourceBatch batch;
  for (int i = 0; i < 10; ++i) {
    input.read(milliseconds{5}, batch);
    clock.advance(std::chrono::seconds{2});
  }
  EXPECT_THAT(batch.complaints, ElementsAre(HasSubstr("Connection refused")));
}

TEST(UdpInput, DatagramsAreLinesWithOrWithoutNewline) {
  const auto input = UdpInput::open(lines_of("input = \"udp\"\naddress = \"127.0.0.1:0\""), kClock);
  ASSERT_TRUE(input.ok()) << input.error();
  const FileDescriptor fd(socket(AF_INET, SOCK_DGRAM, 0));
  const sockaddr_in to = loopback((*input)->port());
  ASSERT_EQ(connect(fd.get(), reinterpret_cast<const sockaddr*>(&to), sizeof to), 0);
  std::string bare = object(10);
  bare.pop_back();
  say(fd, bare);
  say(fd, "junk");
  say(fd, object(20) + object(30));
  Collected collected(**input);
  EXPECT_THAT(collected.until(3), ElementsAre(10, 20, 30));
  EXPECT_THAT(collected.batch.complaints, ElementsAre(HasSubstr(":2: \"junk\"")));
}

TEST(Address, TakesHostPortAndBracketedHosts) {
  EXPECT_EQ(parse_address("[::1]:80")->host, "::1");
  EXPECT_EQ(parse_address("localhost:0")->port, "0");
  for (const char* bad : {"", "host", "host:", "host:x", "host:65536", "host:-1", "host:1x"}) {
    EXPECT_FALSE(parse_address(bad).ok()) << bad;
  }
}

TEST(LinesSource, WatermarkStaysBehindTheClockByTheStatedDelay) {
  const TempFolder folder;
  const ManualClock clock(kClock.now());
  const auto source =
      open_lines_source(lines_of("input = \"file\"\npath = \"" + (folder.path() / "x").string() +
                                 "\"\nmax_delay_s = 7.5"),
                        "", clock);
  EXPECT_EQ((*source)->read(Duration{0}).low_watermark, clock.now() - milliseconds{7500});
}

}  // namespace
}  // namespace fixwright::agent
