/// /live over real WebSockets, on loopback.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core/buffers_to_string.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket/stream.hpp>
#include <nlohmann/json.hpp>
#include <thread>

#include "server/web/http/http_server.hpp"
#include "tests/unit/web/fake_page_port.hpp"
#include "tests/unit/web/page_folder.hpp"

namespace fixwright::web {
namespace {

namespace websocket = boost::beast::websocket;
using boost::asio::ip::tcp;
using nlohmann::json;
using testing::HasSubstr;
using namespace std::chrono_literals;

/// A browser's end of /live.
class LiveClient {
 public:
  explicit LiveClient(std::uint16_t port, const std::string& origin = "") {
    socket_.next_layer().connect({boost::asio::ip::make_address("127.0.0.1"), port});
    socket_.set_option(
        websocket::stream_base::decorator([origin](websocket::request_type& request) {
          if (!origin.empty()) request.set(boost::beast::http::field::origin, origin);
        }));
    socket_.handshake("127.0.0.1:" + std::to_string(port), "/live", error_);
  }

  [[nodiscard]] bool joined() const { return !error_; }

  /// The next message; null once the server has closed.
  json read() {
    boost::beast::flat_buffer buffer;
    socket_.read(buffer, error_);
    if (error_) return nullptr;
    return json::parse(boost::beast::buffers_to_string(buffer.data()));
  }

  void say(const std::string& text) { socket_.write(boost::asio::buffer(text), error_); }
  [[nodiscard]] std::uint16_t close_code() const { return socket_.reason().code; }
  void leave() { socket_.close(websocket::close_code::normal, error_); }

 private:
  boost::asio::io_context io_;
  websocket::stream<tcp::socket> socket_{io_};
  boost::system::error_code error_;
};

class LiveServerTest : public testing::Test {
 protected:
  void start() {
    rules_.page_folder = folder_.path();
    rules_.push_interval = 2ms;
    rules_.request_timeout = 20s;  // room for a busy machine
    auto started = HttpServer::start(rules_, port_, metrics_);
    ASSERT_TRUE(started.ok()) << started.error();
    server_ = std::move(started).value();
  }

  [[nodiscard]] bool metric_reaches(const std::string& line) const {
    for (int i = 0; i < 2000; ++i) {
      if (metrics_.openmetrics().find(line) != std::string::npos) return true;
      std::this_thread::sleep_for(5ms);
    }
    return false;
  }

  PageFolder folder_;
  FakePagePort port_;
  Metrics metrics_;
  HttpRules rules_;
  std::unique_ptr<HttpServer> server_;
};

TEST_F(LiveServerTest, ABrowserHearsHelloThenEachChange) {
  start();
  LiveClient browser(server_->port());
  ASSERT_TRUE(browser.joined());
  EXPECT_EQ(browser.read()["type"], "hello");
  port_.store(osmere_emitter());
  EXPECT_EQ(browser.read()["emitters"][0]["id"], "12/1893456000000000123");
  port_.store(osmere_alert("a1"));
  EXPECT_EQ(browser.read()["alerts"][0]["id"], "a1");
}

TEST_F(LiveServerTest, EveryBrowserHearsTheSame) {
  start();
  LiveClient first(server_->port());
  LiveClient second(server_->port());
  EXPECT_EQ(first.read()["type"], "hello");
  EXPECT_EQ(second.read()["type"], "hello");
  port_.store(osmere_emitter());
  EXPECT_EQ(first.read(), second.read());
}

TEST_F(LiveServerTest, AnotherSitesPageMayNotListen) {
  start();
  const auto here = "http://127.0.0.1:" + std::to_string(server_->port());
  EXPECT_TRUE(LiveClient(server_->port(), here).joined());
  EXPECT_FALSE(LiveClient(server_->port(), "https://elsewhere.example").joined());
  EXPECT_FALSE(LiveClient(server_->port(), "null").joined());
}

TEST_F(LiveServerTest, ABrowserThatDoesNotReadIsDroppedAndTheOthersGoOn) {
  rules_.live_queue_messages = 4;
  start();
  LiveClient slow(server_->port());
  ASSERT_TRUE(slow.joined());
  LiveClient quick(server_->port());
  EXPECT_EQ(quick.read()["type"], "hello");
  EmitterView large = osmere_emitter();
  large.name = std::string(1 << 20U, 'x');  // fills the socket's buffers soon
  bool dropped = false;
  for (std::uint32_t i = 0; i < 200 && !dropped; ++i) {
    large.emitter.revision = i;
    port_.store(large);
    EXPECT_EQ(quick.read()["emitters"][0]["properties"]["revision"], i);
    dropped =
        metrics_.openmetrics().find("fixwright_web_live_dropped_total 1") != std::string::npos;
  }
  EXPECT_TRUE(dropped);
  EXPECT_TRUE(metric_reaches("fixwright_web_live_browsers 1\n"));
}

TEST_F(LiveServerTest, ABrowserThatLeavesIsForgotten) {
  start();
  LiveClient browser(server_->port());
  browser.read();
  EXPECT_TRUE(metric_reaches("fixwright_web_live_browsers 1\n"));
  browser.leave();
  EXPECT_TRUE(metric_reaches("fixwright_web_live_browsers 0\n"));
}

TEST_F(LiveServerTest, ABrowserThatSaysTooMuchIsSentAway) {
  start();
  LiveClient browser(server_->port());
  browser.read();
  browser.say(std::string(2000, 'a'));
  EXPECT_TRUE(browser.read().is_null());
  EXPECT_EQ(browser.close_code(), websocket::close_code::too_big);
}

TEST_F(LiveServerTest, StopSaysGoodbye) {
  start();
  LiveClient browser(server_->port());
  browser.read();
  std::thread stopping([this] { server_->stop(); });
  EXPECT_TRUE(browser.read().is_null());
  EXPECT_EQ(browser.close_code(), websocket::close_code::going_away);
  stopping.join();
}

}  // namespace
}  // namespace fixwright::web
