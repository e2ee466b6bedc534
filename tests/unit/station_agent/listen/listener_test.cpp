// Listening on a terminal and without one.
#include "station_agent/listen/listener.hpp"

#include <fcntl.h>
#include <gmock/gmock.h>
#include <unistd.h>

#include <cstdlib>
#include <sstream>

namespace fixwright::agent::listen {
namespace {

using testing::HasSubstr;

/// One bearing a read, as many as it is told; then it has ended.
class CountedSource final : public Source {
 public:
  explicit CountedSource(int count) : left_(count) {}
  SourceBatch read(Duration /*patience*/) override {
    SourceBatch batch;
    batch.ended = left_ <= 0;
    if (left_-- <= 0) return batch;
    SourceBearing b;
    b.start = TimePoint{std::chrono::seconds{1'900'000'000}};
    b.frequency_hz = 156.8e6;
    b.azimuth_deg = 42.0;
    b.sigma_deg = 2.0;
    batch.bearings = {b};
    if (left_ == 0) batch.complaints = {"receiver.log:3: no azimuth"};
    return batch;
  }

 private:
  int left_;
};

bool never() { return false; }

TEST(ListenByLine, OneLineABearingUntilTheSourceEnds) {
  CountedSource source(3);
  const SystemClock clock;
  std::ostringstream out;
  std::ostringstream complaints;
  listen_by_line({"LANTERN-HEAD", "lines", {}}, {source, clock, never, {}}, out, complaints);
  const std::string line = "2030-03-17T17:46:40.000Z 156.800000 MHz 42.0 deg +- 2.0\n";
  EXPECT_EQ(out.str(), line + line + line);
  EXPECT_EQ(complaints.str(), "receiver.log:3: no azimuth\n");
}

TEST(ListenByLine, PlacesBearingsBeforeTheyAreShown) {
  CountedSource source(1);
  const SystemClock clock;
  std::ostringstream out;
  const auto turn = [](std::vector<SourceBearing>& all) {
    for (SourceBearing& b : all) b.azimuth_deg += 100.0;
  };
  listen_by_line({"LANTERN-HEAD", "lines", {}}, {source, clock, never, turn}, out, out);
  EXPECT_THAT(out.str(), HasSubstr("142.0 deg"));
}

TEST(ListenByLine, EndsWhenToldOrWhenTheTimeIsOver) {
  CountedSource source(1'000'000'000);
  const SystemClock clock;
  std::ostringstream out;
  int asked = 0;
  const auto third_time = [&] { return ++asked == 3; };
  listen_by_line({"LANTERN-HEAD", "lines", {}}, {source, clock, third_time, {}}, out, out);
  EXPECT_EQ(asked, 3);
  listen_by_line({"LANTERN-HEAD", "lines", std::chrono::milliseconds{50}},
                 {source, clock, never, {}}, out, out);
  EXPECT_GT(out.str().size(), 0U);
}

/// Both ends of a terminal that no one looks at.
class PseudoTerminal {
 public:
  PseudoTerminal() : master_(posix_openpt(O_RDWR | O_NOCTTY)) {
    grantpt(master_);
    unlockpt(master_);
    slave_ = open(ptsname(master_), O_RDWR | O_NOCTTY);
    fcntl(master_, F_SETFL, O_NONBLOCK);
  }
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;
  ~PseudoTerminal() {
    close(slave_);
    close(master_);
  }
  [[nodiscard]] int slave() const { return slave_; }
  void press(char key) const { ASSERT_EQ(write(master_, &key, 1), 1); }
  [[nodiscard]] tcflag_t local_modes() const {
    termios now{};
    tcgetattr(slave_, &now);
    return now.c_lflag;
  }
  std::string shown() const {
    std::string all;
    char buffer[4096];
    ssize_t n = 0;
    while ((n = read(master_, buffer, sizeof buffer)) > 0) all.append(buffer, n);
    return all;
  }

 private:
  int master_;
  int slave_ = -1;
};

TEST(ListenOnScreen, ShowsRoseAndTableLeavesWithQAndRestoresTheTerminal) {
  const PseudoTerminal pty;
  const tcflag_t before = pty.local_modes();
  ASSERT_NE(before & static_cast<tcflag_t>(ICANON), 0U);
  std::string shown;
  {
    const Terminal terminal(pty.slave(), pty.slave());
    EXPECT_EQ(pty.local_modes() & static_cast<tcflag_t>(ICANON | ECHO), 0U);
    EXPECT_NE(pty.local_modes() & static_cast<tcflag_t>(ISIG), 0U);  // Ctrl-C stays a signal
    CountedSource source(2);
    const SystemClock clock;
    int asked = 0;
    const auto press_q_later = [&] {
      shown += pty.shown();
      if (++asked == 8) pty.press('q');
      return asked > 200;  // twenty seconds: q was not heard
    };
    listen_on_screen({"LANTERN-HEAD", "lines", {}}, {source, clock, press_q_later, {}}, terminal);
    EXPECT_LT(asked, 100);
  }
  shown += pty.shown();
  EXPECT_EQ(pty.local_modes(), before);
  EXPECT_THAT(shown, HasSubstr("\x1b[?1049h"));
  EXPECT_THAT(shown, HasSubstr("LANTERN-HEAD, lines"));
  EXPECT_THAT(shown, HasSubstr("156.8000"));
  EXPECT_THAT(shown, HasSubstr("the source has ended; before: receiver.log:3: no azimuth"));
  EXPECT_THAT(shown, testing::EndsWith("\x1b[?25h\x1b[?1049l"));
}

}  // namespace
}  // namespace fixwright::agent::listen
