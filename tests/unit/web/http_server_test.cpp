/// The server over real sockets, on loopback.

#include "server/web/http/http_server.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <boost/asio/ip/tcp.hpp>
#include <nlohmann/json.hpp>
#include <thread>

#include "tests/unit/web/fake_page_port.hpp"
#include "tests/unit/web/page_folder.hpp"
#include "tests/unit/web/plain_client.hpp"

namespace fixwright::web {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;
using namespace std::chrono_literals;

class HttpServerTest : public testing::Test {
 protected:
  HttpServerTest() {
    rules_.page_folder = folder_.path();
    rules_.push_interval = 5ms;
    rules_.request_timeout = 20s;  // room for a busy machine
  }

  void start() {
    auto started = HttpServer::start(rules_, port_, metrics_);
    ASSERT_TRUE(started.ok()) << started.error();
    server_ = std::move(started).value();
  }

  /// One request on a connection of its own.
  std::string ask(const std::string& request) {
    PlainClient client(server_->port());
    client.send(request);
    return client.read_to_end();
  }

  std::string get(const std::string& target) {
    return ask("GET " + target + " HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
  }

  PageFolder folder_;
  FakePagePort port_;
  Metrics metrics_;
  HttpRules rules_;
  std::unique_ptr<HttpServer> server_;
};

TEST_F(HttpServerTest, ServesThePageWithItsSafetyHeaders) {
  start();
  const auto answer = get("/");
  EXPECT_THAT(answer, StartsWith("HTTP/1.1 200 OK\r\n"));
  EXPECT_THAT(answer, testing::EndsWith(PageFolder::kIndex));
  EXPECT_THAT(answer, HasSubstr("Content-Security-Policy: default-src 'self';"));
  EXPECT_THAT(answer, HasSubstr("X-Content-Type-Options: nosniff\r\n"));
  EXPECT_THAT(answer, HasSubstr("Cache-Control: no-cache\r\n"));
}

TEST_F(HttpServerTest, HeadTellsTheLengthAndSendsNoBody) {
  start();
  const auto answer = ask("HEAD / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
  EXPECT_THAT(answer, HasSubstr("Content-Length: 34\r\n"));  // of PageFolder::kIndex
  EXPECT_THAT(answer, testing::EndsWith("\r\n\r\n"));
}

TEST_F(HttpServerTest, OneConnectionCarriesManyRequests) {
  start();
  PlainClient client(server_->port());
  const std::string again = "GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n";
  client.send(again + again + "GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
  const auto answers = client.read_to_end();
  std::size_t count = 0;
  for (auto at = answers.find("alive\n"); at != std::string::npos;
       at = answers.find("alive\n", at + 1)) {
    ++count;
  }
  EXPECT_EQ(count, 3U);
}

TEST_F(HttpServerTest, WhatIsNotHttpIsAnswered400AndTheServerGoesOn) {
  start();
  EXPECT_THAT(ask("hello there\r\n\r\n"), StartsWith("HTTP/1.1 400 "));
  EXPECT_THAT(ask(std::string("\x16\x03\x01\x02\r\n\r\n", 8)), StartsWith("HTTP/1.1 400 "));
  EXPECT_THAT(get("/healthz"), StartsWith("HTTP/1.1 200 "));
}

TEST_F(HttpServerTest, ALongHeaderIs431AndALongBody413) {
  start();
  EXPECT_THAT(ask("GET /" + std::string(9000, 'a') + " HTTP/1.1\r\nHost: x\r\n\r\n"),
              StartsWith("HTTP/1.1 431 "));
  EXPECT_THAT(ask("POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5000\r\n\r\n"),
              StartsWith("HTTP/1.1 413 "));
}

TEST_F(HttpServerTest, PostIs405AndNamesWhatIsAllowed) {
  start();
  const auto answer = ask(
      "POST /api/emitters HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}");
  EXPECT_THAT(answer, StartsWith("HTTP/1.1 405 "));
  EXPECT_THAT(answer, HasSubstr("Allow: GET, HEAD\r\n"));
}

TEST_F(HttpServerTest, ClimbingOutOfThePageFolderIsRefusedOnTheWire) {
  start();
  EXPECT_THAT(get("/../../../etc/passwd"), StartsWith("HTTP/1.1 400 "));
  EXPECT_THAT(get("/%2e%2e/%2e%2e/etc/passwd"), StartsWith("HTTP/1.1 400 "));
}

TEST_F(HttpServerTest, ARequestThatNeverEndsIsCutAfterItsTime) {
  rules_.request_timeout = 50ms;
  start();
  PlainClient client(server_->port());
  client.send("GET / HTTP/1.1\r\nHost:");
  EXPECT_EQ(client.read_to_end(), "");
}

TEST_F(HttpServerTest, PastTheLimitAConnectionIsTold503) {
  rules_.max_connections = 1;
  start();
  PlainClient first(server_->port());
  first.send("GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n");
  EXPECT_THAT(first.read_until("alive\n"), HasSubstr("200 OK"));
  EXPECT_THAT(get("/healthz"), StartsWith("HTTP/1.1 503 "));
}

TEST_F(HttpServerTest, APortInUseIsToldInOneLine) {
  start();
  rules_.port = server_->port();
  const auto second = HttpServer::start(rules_, port_, metrics_);
  ASSERT_FALSE(second.ok());
  EXPECT_EQ(second.error(), "web: 127.0.0.1:" + std::to_string(rules_.port) +
                                ": Address already in use; change web.listen_address or web.port");
}

TEST_F(HttpServerTest, BadRulesAreToldInOneLine) {
  rules_.listen_address = "somewhere";
  EXPECT_THAT(HttpServer::start(rules_, port_, metrics_).error(),
              StartsWith("web: somewhere:0: not an IP address"));
  rules_.page_folder = "/nowhere";
  EXPECT_THAT(HttpServer::start(rules_, port_, metrics_).error(), HasSubstr("no index.html"));
  rules_.page_folder = folder_.path();
  rules_.basemap_file = "/nowhere/map.geojson";
  EXPECT_EQ(HttpServer::start(rules_, port_, metrics_).error(),
            "web.basemap_file: /nowhere/map.geojson: no such file");
}

TEST_F(HttpServerTest, AfterStopNobodyIsServedAndNothingIsWatched) {
  start();
  PlainClient idle(server_->port());
  idle.send("GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n");
  idle.read_until("alive\n");
  EXPECT_EQ(port_.watchers(), 2U);
  const auto port = server_->port();
  server_->stop();
  EXPECT_EQ(idle.read_to_end(), "");
  EXPECT_EQ(port_.watchers(), 0U);
  EXPECT_THROW(PlainClient{port}, std::exception);
  server_->stop();
}

}  // namespace
}  // namespace fixwright::web
