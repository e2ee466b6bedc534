// The whole agent, source to server, and the executable's manners.
#include "station_agent/app/agent.hpp"

#include <gmock/gmock.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <fstream>
#include <thread>

#include "tests/unit/station_agent/fake_server.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using testing::ElementsAre;
using testing::HasSubstr;

/// Takes everything, acknowledges each batch, remembers the azimuths of all streams.
class TakingServer {
 public:
  std::vector<double> azimuths() {
    const std::lock_guard hold(mutex_);
    return azimuths_;
  }
  void wait_for(std::size_t count) {
    const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds{20};
    while (azimuths().size() < count && std::chrono::steady_clock::now() < deadline) {
      std::this_thread::sleep_for(milliseconds{5});
    }
    EXPECT_GE(azimuths().size(), count);
  }

 private:
  grpc::Status play(ServerStream& s) {
    welcome(s, acknowledged_);
    wire::StationMessage message;
    while (s.Read(&message)) {
      if (!message.has_bearings()) continue;
      {
        const std::lock_guard hold(mutex_);
        for (const wire::Bearing& b : message.bearings().bearings()) {
          azimuths_.push_back(b.azimuth_deg());
          acknowledged_ = b.sequence();
        }
      }
      acknowledge(s, acknowledged_);
    }
    return grpc::Status::OK;
  }
  std::mutex mutex_;
  std::vector<double> azimuths_;
  std::atomic<std::uint64_t> acknowledged_{0};

 public:
  // Last: it plays on the members above.
  FakeServer server{[this](int, ServerStream& s) { return play(s); }};
};

class WholeAgent : public testing::Test {
 protected:
  std::string toml(const std::string& source) {
    return "[server]\naddress = \"" + taking.server.address() +
           "\"\n[station]\nname = \"HILL-1\"\n[spool]\npath = \"" +
           (folder.path() / "hill.spool").string() +
           "\"\n[uplink]\nbatch_interval_s = 0.01\nbackoff_min_s = 0.01\n" + source;
  }
  int run(const std::string& source) {
    const AgentConfigFile file = parse_agent_config(toml(source), "station.toml");
    for (const std::string& problem : file.problems) ADD_FAILURE() << problem;
    return run_agent(file.config, SystemClock{}, [] { return false; });
  }
  TempFolder folder;
  TakingServer taking;
};

// Source: US FAA fix definitions (public data), as in the project's table of navaid radials: ANIKA
// lies on UNZ's radial 48.46 and UAM's 242.61, magnetic, at a variation of 2.0 E; ERTTS on UNZ's
// 20.00, SANDO on its 35.00.
TEST_F(WholeAgent, PublishedRadialsLeaveAsTrueAzimuths) {
  const auto log = folder.path() / "radials.csv";
  std::ofstream(log) << "fix,when,radial,mhz\n"
                        "ANIKA,1935655200,48.46,115.3\n"
                        "ANIKA,1935655201,242.61,115.3\n"
                        "ERTTS,1935655202,20.00,115.3\n"
                        "SANDO,1935655203,35.00,115.3\n";
  EXPECT_EQ(run("[source]\nstop_at_end = true\n[source.lines]\ninput = \"file\"\nfollow = false\n"
                "path = \"" +
                log.string() + R"("
[source.lines.text]
format = "delimited"
[source.lines.fields]
time = "when"
azimuth = "radial"
frequency = "mhz"
sigma = ""
label = "fix"
[source.lines.time]
format = "unix_s"
[source.lines.azimuth]
reference = "magnetic"
declination_deg = 2.0
[source.lines.frequency]
unit = "mhz"
[source.lines.sigma]
fixed_deg = 0.0029
)"),
            kExitDone);
  ASSERT_EQ(taking.azimuths().size(), 4U);
  EXPECT_THAT(taking.azimuths(), testing::Pointwise(testing::DoubleNear(1e-9),  // sums of doubles
                                                    {50.46, 244.61, 22.0, 37.0}));
}

TEST_F(WholeAgent, StartedAgainSendsOnlyWhatIsNew) {
  const auto log = folder.path() / "receiver.log";
  const std::string source =
      "[source]\nstop_at_end = true\n[source.lines]\ninput = \"file\"\nfollow = false\npath = \"" +
      log.string() + "\"\n";
  const auto add = [&](int azimuth) {
    std::ofstream(log, std::ios::app)
        << R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"sigma_deg":2,"azimuth_deg":)"
        << azimuth << "}\n";
  };
  add(10);
  add(20);
  EXPECT_EQ(run(source), kExitDone);
  add(30);
  EXPECT_EQ(run(source), kExitDone);
  EXPECT_THAT(taking.azimuths(), ElementsAre(10.0, 20.0, 30.0));
}

TEST_F(WholeAgent, SpoolInUseEndsItWithTheOperatorsCode) {
  const auto held = Spool::open(folder.path() / "hill.spool", {});
  ASSERT_TRUE(held.ok());
  testing::internal::CaptureStderr();
  EXPECT_EQ(run(""), kExitOperator);
  EXPECT_THAT(testing::internal::GetCapturedStderr(), HasSubstr("is in use by process"));
}

// ---- The executable -----------------------------------------------------------------------------

class Executable : public WholeAgent {
 protected:
  std::string write_config(const std::string& text) {
    const std::string path = (folder.path() / "station.toml").string();
    std::ofstream(path) << text;
    return path;
  }
  /// Runs it to its end; all it says goes to `said`.
  int shell(const std::string& arguments) {
    const std::string out = (folder.path() / "out").string();
    const int status = std::system(
        (std::string(FIXWRIGHT_STATION) + " " + arguments + " >" + out + " 2>&1").c_str());
    std::ifstream in(out);
    said.assign(std::istreambuf_iterator<char>(in), {});
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  pid_t start(const std::string& config) {
    const pid_t child = fork();
    if (child == 0) {
      execl(FIXWRIGHT_STATION, FIXWRIGHT_STATION, "--config", config.c_str(), nullptr);
      _exit(127);
    }
    return child;
  }
  static int end_of(pid_t child, int signal) {
    kill(child, signal);
    int status = 0;
    waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }
  std::string said;
};

TEST_F(Executable, BadConfigurationEndsWithTwoBeforeAnythingStarts) {
  const std::string path =
      write_config(toml("batch_intervall_s = 1\n[source]\nkind = \"radio\"\n"));
  EXPECT_EQ(shell("--config " + path), 2);
  EXPECT_THAT(said, testing::AllOf(HasSubstr("did you mean uplink.batch_interval_s?"),
                                   HasSubstr("must be one of lines, simulated"),
                                   HasSubstr("Nothing was started.")));
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "hill.spool"));
}

TEST_F(Executable, CheckConfigSaysGoodAndStartsNothing) {
  EXPECT_EQ(shell("--config " + write_config(toml("")) + " --check-config"), 0);
  EXPECT_THAT(said, HasSubstr("good"));
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "hill.spool"));
}

TEST_F(Executable, MissingFileAndMissingOptionEndWithTwo) {
  EXPECT_EQ(shell("--config /no/such/station.toml"), 2);
  EXPECT_THAT(said, HasSubstr("/no/such/station.toml: can't be read"));
  EXPECT_EQ(shell(""), 2);
  EXPECT_EQ(shell("--version"), 0);
}

TEST_F(Executable, LinesOnStdinAreDeliveredAndItLeavesAtTheirEnd) {
  const std::string path = write_config(toml("[source]\nstop_at_end = true\n"));
  const std::string line = R"({\"time\":\"2031-05-04T10:15:02Z\",\"frequency_hz\":1e8,)"
                           R"(\"azimuth_deg\":42,\"sigma_deg\":2})";
  const std::string command = "printf '%s\\n' \"" + line + "\" junk | " +
                              std::string(FIXWRIGHT_STATION) + " --config " + path + " 2>" +
                              (folder.path() / "log").string();
  EXPECT_EQ(std::system(command.c_str()), 0);
  EXPECT_THAT(taking.azimuths(), ElementsAre(42.0));
}

TEST_F(Executable, TermDeliversAndEndsWithZeroAndKillLosesNothing) {
  const std::string log = (folder.path() / "receiver.log").string();
  const std::string path =
      write_config(toml("[source.lines]\ninput = \"file\"\npath = \"" + log + "\"\n"));
  const auto add = [&](int azimuth) {
    std::ofstream(log, std::ios::app)
        << R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"sigma_deg":2,"azimuth_deg":)"
        << azimuth << "}\n";
  };
  add(10);
  pid_t child = start(path);
  taking.wait_for(1);
  EXPECT_EQ(end_of(child, SIGKILL), -SIGKILL);
  add(20);
  child = start(path);
  taking.wait_for(2);
  add(30);
  taking.wait_for(3);
  EXPECT_EQ(end_of(child, SIGTERM), 0);
  EXPECT_THAT(taking.azimuths(), ElementsAre(10.0, 20.0, 30.0));
}

}  // namespace
}  // namespace fixwright::agent
