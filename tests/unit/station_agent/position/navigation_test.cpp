// Receivers as they are connected: a terminal device, a TCP server, gpsd, a recording.
#include <fcntl.h>
#include <gmock/gmock.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <thread>

#include "station_agent/position/gpsd_report.hpp"
#include "station_agent/position/navigator.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

constexpr const char* kGga =
    "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n";
const TimePoint kThen = *parse_rfc3339("2031-05-04T12:35:19Z");  // the sentence's time of day

bool finds_place(const Navigation& navigation) {
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds{20};
  while (!navigation.at(kThen).place) {
    if (std::chrono::steady_clock::now() > deadline) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds{5});
  }
  return std::abs(navigation.at(kThen).place->position.latitude_deg - 48.1173) < 1e-9;
}

/// A listening socket on a free port of loopback.
class Listener {
 public:
  Listener() : fd_(socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(bind(fd_, reinterpret_cast<sockaddr*>(&address), sizeof address), 0);
    EXPECT_EQ(listen(fd_, 4), 0);
    socklen_t size = sizeof address;
    getsockname(fd_, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
  }
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;
  ~Listener() { close(fd_); }
  [[nodiscard]] std::string address() const { return "127.0.0.1:" + std::to_string(port_); }
  [[nodiscard]] int accept_one() const { return accept(fd_, nullptr, nullptr); }

 private:
  int fd_;
  int port_ = 0;
};

void send_text(int fd, const std::string& text) {
  ASSERT_EQ(send(fd, text.data(), text.size(), MSG_NOSIGNAL), static_cast<ssize_t>(text.size()));
}

std::unique_ptr<Navigation> open(const NavConfig& config, const Clock& clock) {
  auto opened = Navigation::open(config, clock);
  EXPECT_TRUE(opened.ok());
  return std::move(opened).value();
}

TEST(Navigation, ATerminalDeviceIsRead) {
  const int master = posix_openpt(O_RDWR | O_NOCTTY);
  ASSERT_GE(master, 0);
  ASSERT_EQ(grantpt(master), 0);
  ASSERT_EQ(unlockpt(master), 0);
  const ManualClock clock(kThen);
  const auto navigation =
      open({.feed = NavFeed::serial, .device = ptsname(master), .baud = 9600}, clock);
  const std::string text = std::string("half a line\r\n") + kGga;
  ASSERT_EQ(write(master, text.data(), text.size()), static_cast<ssize_t>(text.size()));
  EXPECT_TRUE(finds_place(*navigation));
  close(master);
}

TEST(Navigation, ATcpServerIsReadAndComeBackTo) {
  const Listener server;
  const ManualClock clock(kThen);
  const auto navigation = open({.feed = NavFeed::tcp, .address = server.address()}, clock);
  close(server.accept_one());  // hangs up without a word
  const int second = server.accept_one();
  send_text(second, std::string(kGga).substr(0, 20));
  send_text(second, std::string(kGga).substr(20));
  EXPECT_TRUE(finds_place(*navigation));
  close(second);
}

TEST(Navigation, GpsdIsAskedAndItsReportsAreRead) {
  const Listener server;
  const ManualClock clock(kThen);
  const auto navigation = open({.feed = NavFeed::gpsd, .address = server.address()}, clock);
  const int gpsd = server.accept_one();
  std::string asked(kGpsdWatch.size(), ' ');
  ASSERT_EQ(recv(gpsd, asked.data(), asked.size(), MSG_WAITALL),
            static_cast<ssize_t>(asked.size()));
  EXPECT_EQ(asked, kGpsdWatch);
  send_text(gpsd,
            "{\"class\":\"VERSION\",\"proto_major\":3}\n"
            "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2031-05-04T12:35:19.000Z\","
            "\"lat\":48.1173,\"lon\":11.5}\n");
  EXPECT_TRUE(finds_place(*navigation));
  close(gpsd);
}

TEST(Navigation, ARecordingIsReadWholeAndAMissingOneSaysSo) {
  const TempFolder folder;
  const auto path = (folder.path() / "drive.nmea").string();
  // The second by hand: RMC with a date, so that the day is known.
  std::ofstream(path) << kGga << "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,040531,,*1D\n";
  const ManualClock clock(TimePoint{});
  const auto navigation = open({.feed = NavFeed::file, .device = path}, clock);
  const auto place = navigation->at(kThen).place;
  ASSERT_TRUE(place.has_value());
  EXPECT_NEAR(place->speed_m_per_s, 22.4 * 1852.0 / 3600.0, 1e-9);
  const auto missing = Navigation::open({.feed = NavFeed::file, .device = path + "x"}, clock);
  ASSERT_FALSE(missing.ok());
  EXPECT_THAT(missing.error(), testing::HasSubstr("position.device"));
}

TEST(Navigator, CountsWhatItCannotReadAndTellsPowersOfTen) {
  Navigator navigator({});
  testing::internal::CaptureStderr();
  for (int i = 0; i < 12; ++i) navigator.line("$HEHDT,178.3,T*1E", kThen);
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_EQ(navigator.refused(), 12U);
  EXPECT_EQ(std::count(said.begin(), said.end(), '\n'), 2) << said;
  navigator.line("!AIVDM,1,1,,A,x,0*00", kThen);
  EXPECT_EQ(navigator.refused(), 12U) << "not ours, no mistake";
}

TEST(Navigator, AReceiversTimeFarFromTheHostsIsToldOnce) {
  Navigator navigator({});
  testing::internal::CaptureStderr();
  for (int i = 0; i < 3; ++i)
    navigator.line(std::string(kGga).substr(0, 66), kThen + std::chrono::seconds{9});
  EXPECT_THAT(testing::internal::GetCapturedStderr(), testing::HasSubstr("-9.0 s off"));
}

}  // namespace
}  // namespace fixwright::agent
