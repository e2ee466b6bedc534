// The executable's subcommands, as a host and a script use them.
#include <gmock/gmock.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/unit/station_agent/fake_server.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using testing::HasSubstr;

class Commands : public testing::Test {
 protected:
  /// A station whose clock is as told and whose spool is small.
  std::string config(const std::string& address, const std::string& rest = "") {
    const std::string path = (folder.path() / "station.toml").string();
    std::ofstream(path) << "[server]\naddress = \"" << address
                        << "\"\n[station]\nname = \"LANTERN-HEAD\"\nlatitude_deg = 41.43\n"
                           "longitude_deg = -150.45\n[spool]\nmax_bearings = 1000\npath = \""
                        << (folder.path() / "lantern.spool").string()
                        << "\"\n[clock]\nsource = \"fixed\"\n"
                        << rest;
    return path;
  }
  /// \return the exit code; what it writes goes to `said`, what it complains of to `complained`.
  int run(const std::string& arguments, const std::string& input = "") {
    const auto file = [&](const char* name) { return (folder.path() / name).string(); };
    std::ofstream(file("in")) << input;
    const int status = std::system((std::string(FIXWRIGHT_STATION) + " " + arguments + " <" +
                                    file("in") + " >" + file("out") + " 2>" + file("err"))
                                       .c_str());
    said = read(file("out"));
    complained = read(file("err"));
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  static std::string read(const std::string& path) {
    std::ifstream in(path);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  [[nodiscard]] bool spool_is_there() const {
    return std::filesystem::exists(folder.path() / "lantern.spool");
  }

  TempFolder folder;
  FakeServer server{[](int, ServerStream& s) {
    welcome(s);
    wire::StationMessage more;
    while (s.Read(&more)) continue;
    return grpc::Status::OK;
  }};
  std::string said;
  std::string complained;
};

TEST_F(Commands, CheckOfASoundStationWithoutSamplesIsZero) {
  EXPECT_EQ(run("check --config " + config(server.address())), 0) << said;
  EXPECT_THAT(said,
              testing::AllOf(HasSubstr("Station LANTERN-HEAD, source lines"),
                             HasSubstr("order: not applicable"), HasSubstr("knows LANTERN-HEAD"),
                             HasSubstr("Mind:"), HasSubstr("Exit code 0.")));
  EXPECT_FALSE(spool_is_there());
}

TEST_F(Commands, CheckInJsonNamesAreasAndSeverities) {
  const std::string path = config(server.address(), "state = \"unsynchronised\"\nerror_s = 16.0\n");
  EXPECT_EQ(run("check --json --config " + path), 1) << said;
  const auto json = nlohmann::json::parse(said);
  EXPECT_EQ(json.at("exit_code"), 1);
  EXPECT_EQ(json.at("severity"), "warning");
  std::map<std::string, std::string> severities;
  for (const auto& f : json.at("findings")) severities[f.at("area")] = f.at("severity");
  EXPECT_EQ(severities.at("clock"), "warning");
  EXPECT_EQ(severities.at("server"), "ok");
  EXPECT_EQ(severities.at("spool"), "ok");
  EXPECT_EQ(severities.at("position"), "ok");
  EXPECT_EQ(severities.at("spacing"), "not_applicable");
}

TEST_F(Commands, CheckWithoutAServerIsThree) {
  std::string gone;
  {
    const FakeServer once([](int, ServerStream&) { return grpc::Status::OK; });
    gone = once.address();
  }
  EXPECT_EQ(run("check --config " + config(gone)), 3) << said;
  EXPECT_THAT(said, HasSubstr("can't be reached"));
}

TEST_F(Commands, CheckOfABadConfigurationIsTwoAndStillJson) {
  EXPECT_EQ(run("check --json --config " + config(server.address(), "[uplnk]\nx = 1\n")), 2);
  const auto json = nlohmann::json::parse(said);
  EXPECT_EQ(json.at("findings").at(0).at("area"), "config");
  EXPECT_THAT(json.at("findings").at(0).at("what").get<std::string>(), HasSubstr("uplnk"));
  EXPECT_EQ(run("check --transmitter 41,x,1e8 --config " + config(server.address())), 2);
  EXPECT_THAT(said, HasSubstr("LAT,LON,FREQ_HZ"));
  EXPECT_EQ(run("check"), 2);
}

TEST_F(Commands, ListenToAPipeWritesALineABearingAndTouchesNoSpool) {
  const std::string line =
      R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"azimuth_deg":42,"sigma_deg":2})";
  EXPECT_EQ(run("listen --config " + config("127.0.0.1:1"), line + "\njunk\n"), 0);
  EXPECT_EQ(said, "2031-05-04T10:15:02.000Z 100.000000 MHz 42.0 deg +- 2.0\n");
  EXPECT_THAT(complained, HasSubstr("stdin:2"));
  EXPECT_FALSE(spool_is_there());
}

TEST_F(Commands, HelpTellsTheExitCodes) {
  EXPECT_EQ(run("check --help"), 0);
  EXPECT_THAT(said, HasSubstr("2 unusable configuration, 3 a fault"));
}

}  // namespace
}  // namespace fixwright::agent
