// The watching thread and its child, with a chronyc made for the test found by PATH.
#include "station_agent/clock/clock_watch.hpp"

#include <gmock/gmock.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iomanip>

#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using State = ChildOutput::State;

ChildOutput::State end_of(ChildOutput& child) {
  while (child.poll() == State::running) std::this_thread::sleep_for(milliseconds{2});
  return child.poll();
}

TEST(ChildOutput, GivesWhatTheProgramWrote) {
  ChildOutput child({"sh", "-c", "echo one; echo unheard >&2; echo two"}, seconds{20});
  EXPECT_EQ(end_of(child), State::done);
  EXPECT_EQ(child.output(), "one\ntwo\n");
}

TEST(ChildOutput, AProgramThatIsNotThereOrFailsIsFailed) {
  ChildOutput missing({"no-such-program-here"}, seconds{20});
  EXPECT_EQ(missing.poll(), State::failed);
  ChildOutput failing({"sh", "-c", "echo x; exit 1"}, seconds{20});
  EXPECT_EQ(end_of(failing), State::failed);
}

TEST(ChildOutput, AProgramThatNeverEndsOrNeverStopsTalkingIsEnded) {
  ChildOutput silent({"sleep", "1000"}, milliseconds{50});
  EXPECT_EQ(end_of(silent), State::failed);
  ChildOutput chatty({"yes"}, seconds{20});
  EXPECT_EQ(end_of(chatty), State::failed);
}

/// A folder with a chronyc of our own, first in PATH.
class FakeChrony {
 public:
  FakeChrony() : path_(std::getenv("PATH")) {
    setenv("PATH", (folder_.path().string() + ":" + path_).c_str(), 1);
    std::ofstream(script()) << "#!/bin/sh\n[ \"$*\" = '-c -n tracking' ] || exit 9\n"
                            << "cat '" << answer().string() << "'\n";
    std::filesystem::permissions(script(), std::filesystem::perms::owner_all);
  }
  FakeChrony(const FakeChrony&) = delete;
  FakeChrony& operator=(const FakeChrony&) = delete;
  ~FakeChrony() { setenv("PATH", path_.c_str(), 1); }

  /// Answers as chronyc does, with an update just now and this dispersion; in one move.
  void says(double dispersion_s, const char* leap = "Normal") {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    const auto next = folder_.path() / "next";
    std::ofstream(next) << "0A000001,10.0.0.1,2," << std::fixed << std::setprecision(9)
                        << std::chrono::duration<double>(now).count() << ",0,0,0,0,0,0,0,"
                        << dispersion_s << ",64.0," << leap << "\n";
    std::filesystem::rename(next, answer());
  }
  void falls_silent() { std::filesystem::remove(answer()); }

 private:
  [[nodiscard]] std::filesystem::path script() const { return folder_.path() / "chronyc"; }
  [[nodiscard]] std::filesystem::path answer() const { return folder_.path() / "answer"; }
  TempFolder folder_;
  std::string path_;
};

/// Waits for a reading; the test's own timeout is the limit for a machine that hangs.
bool comes(const ClockWatch& watch, const std::function<bool(const ClockReading&)>& wanted) {
  const auto deadline = std::chrono::steady_clock::now() + seconds{20};
  while (!wanted(watch.read())) {
    if (std::chrono::steady_clock::now() > deadline) return false;
    std::this_thread::sleep_for(milliseconds{10});
  }
  return true;
}

TEST(ClockWatch, TakesChronysWordAndItsChanges) {
  FakeChrony chrony;
  chrony.says(1e-9);  // less than any kernel claims: chrony's word is taken, whatever the host's
  const ClockWatch watch;
  EXPECT_TRUE(comes(watch, [](const ClockReading& r) {
    return r.state == ClockState::synchronised && r.reference == ClockReference::chrony &&
           r.error == Duration{1};
  }));
  chrony.says(2e-9);
  EXPECT_TRUE(comes(watch, [](const ClockReading& r) { return r.error == Duration{2}; }));
  chrony.falls_silent();
  EXPECT_TRUE(comes(watch, [](const ClockReading& r) { return r.error > Duration{2}; }))
      << "holdover, or the kernel's larger bound";
}

TEST(ClockWatch, ReadingNeverWaitsForAChronyThatHangs) {
  const ClockWatch watch({"sleep", "1000"});
  for (int i = 0; i < 100; ++i) EXPECT_LE(watch.read().error, kUnknownClockError);
}

}  // namespace
}  // namespace fixwright::agent
