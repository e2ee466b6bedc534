// The greeting to the server: welcomed, unknown, taken, silent, absent.
#include <gmock/gmock.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include "station_agent/check/host_checks.hpp"
#include "tests/unit/station_agent/fake_server.hpp"

namespace fixwright::agent::check {
namespace {

using std::chrono::seconds;
using testing::HasSubstr;

constexpr Duration kPatience = seconds{20};  // loopback answers at once; a busy machine may not

UplinkConfig uplink_to(const std::string& address) {
  UplinkConfig c;
  c.server = address;
  c.station = "LANTERN-HEAD";
  c.agent_version = "test";
  c.position = StationPosition{41.43, -150.45, {}, {}};
  return c;
}

Finding against(const FakeServer& server) {
  const UplinkConfig uplink = uplink_to(server.address());
  return check_server(probe_server(uplink, kPatience), uplink);
}

Finding refused_with(grpc::StatusCode code, const std::string& message) {
  FakeServer server([&](int, ServerStream& s) {
    wire::StationMessage hello;
    s.Read(&hello);
    return grpc::Status{code, message};
  });
  return against(server);
}

TEST(ServerCheck, AWelcomeIsOkAndBringsTheChannelPlan) {
  wire::Hello hello;
  bool closed = false;
  FakeServer server([&](int, ServerStream& s) {
    wire::StationMessage message;
    s.Read(&message);
    hello = message.hello();
    wire::ServerMessage answer;
    auto& w = *answer.mutable_welcome();
    w.set_server_version("0.1.0");
    auto& c = *w.mutable_channel_plan()->add_channels();
    c.set_frequency_hz(156.8e6);
    c.set_bandwidth_hz(25e3);
    s.Write(answer);
    closed = !s.Read(&message);  // nothing more is sent
    return grpc::Status::OK;
  });
  const UplinkConfig uplink = uplink_to(server.address());
  const ServerProbe probe = probe_server(uplink, kPatience);
  EXPECT_EQ(probe.outcome, ProbeOutcome::welcomed);
  EXPECT_THAT(probe.plan, testing::ElementsAre(PlannedChannel{156.8e6, 25e3}));
  const Finding f = check_server(probe, uplink);
  EXPECT_EQ(f.severity, Severity::ok);
  EXPECT_THAT(f.what, HasSubstr("1 channels planned"));
  EXPECT_EQ(hello.station(), "LANTERN-HEAD");
  EXPECT_NE(hello.stream_id(), 0U);
  EXPECT_EQ(hello.position().latitude_deg(), 41.43);
  EXPECT_TRUE(closed);
}

TEST(ServerCheck, AnAgentOfThisNameIsOkButTold) {
  const Finding f = refused_with(grpc::StatusCode::ALREADY_EXISTS, "another agent");
  EXPECT_EQ(f.severity, Severity::ok);
  EXPECT_THAT(f.what, HasSubstr("an agent of the name LANTERN-HEAD is connected"));
}

TEST(ServerCheck, EachRefusalIsAFaultWithItsOwnWords) {
  const std::pair<grpc::StatusCode, std::string> cases[] = {
      {grpc::StatusCode::NOT_FOUND, "knows no station LANTERN-HEAD"},
      {grpc::StatusCode::FAILED_PRECONDITION, "disagrees (because)"},
      {grpc::StatusCode::UNAUTHENTICATED, "credentials"},
      {grpc::StatusCode::PERMISSION_DENIED, "credentials"},
      {grpc::StatusCode::UNIMPLEMENTED, "no Fixwright server"},
      {grpc::StatusCode::UNAVAILABLE, "can't be reached (because)"},
  };
  for (const auto& [code, words] : cases) {
    const Finding f = refused_with(code, "because");
    EXPECT_EQ(f.severity, Severity::fault) << words;
    EXPECT_THAT(f.what, HasSubstr(words));
    EXPECT_FALSE(f.to_do.empty()) << words;
  }
}

/// A port on which nobody answers: bound, and listening or not.
class DeafPort {
 public:
  explicit DeafPort(bool listens) : fd_(socket(AF_INET, SOCK_STREAM, 0)) {
    address_.sin_family = AF_INET;
    address_.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address_;
    bind(fd_, reinterpret_cast<sockaddr*>(&address_), size);
    getsockname(fd_, reinterpret_cast<sockaddr*>(&address_), &size);
    if (listens) listen(fd_, 4);
  }
  DeafPort(const DeafPort&) = delete;
  DeafPort& operator=(const DeafPort&) = delete;
  ~DeafPort() { close(fd_); }
  [[nodiscard]] std::string address() const {
    return "127.0.0.1:" + std::to_string(ntohs(address_.sin_port));
  }

 private:
  int fd_;
  sockaddr_in address_{};
};

TEST(ServerCheck, AnAbsentServerIsAFault) {
  const DeafPort nobody(false);
  const UplinkConfig uplink = uplink_to(nobody.address());
  const Finding f = check_server(probe_server(uplink, kPatience), uplink);
  EXPECT_EQ(f.severity, Severity::fault);
  EXPECT_THAT(f.what, HasSubstr("can't be reached"));
}

TEST(ServerCheck, ASilentServerIsGivenUp) {
  const DeafPort silent(true);
  const UplinkConfig uplink = uplink_to(silent.address());
  const ServerProbe probe = probe_server(uplink, std::chrono::milliseconds{300});
  EXPECT_EQ(probe.outcome, ProbeOutcome::silent);
  EXPECT_EQ(check_server(probe, uplink).severity, Severity::fault);
}

}  // namespace
}  // namespace fixwright::agent::check
