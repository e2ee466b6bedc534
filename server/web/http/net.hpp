#pragma once
/// Boost.Asio and Beast names, and what a connection shares with the server. Private to web.

#include "server/web/http/coroutines.hpp"
// (first: see there)

#include <atomic>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <condition_variable>
#include <mutex>
#include <set>

#include "server/web/http/http_server.hpp"
#include "server/web/http/live_hub.hpp"
#include "server/web/http/routes.hpp"

namespace fixwright::web {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using tcp = asio::ip::tcp;
using HttpRequest = http::request<http::string_body>;

/// What every connection sees. Outlives them. Belongs to the I/O thread, but for what is
/// marked.
struct Shared {
  Shared(const HttpRules& r, PagePort& port, Metrics& m, PageFiles f)
      : rules(r), files(std::move(f)), routes(port, files, m, r.feed_sender), metrics(m), hub(m) {}

  const HttpRules rules;
  const PageFiles files;
  const Routes routes;  // any thread
  Metrics& metrics;     // any thread
  LiveHub hub;
  asio::thread_pool* workers = nullptr;
  bool stopping = false;
  std::set<beast::tcp_stream*> idle;  // connections between two requests: closed at a stop
};

/// Counts one connection while it lives; `all_gone` waits for the last. Any thread.
class ConnectionCount {
 public:
  void enter();
  void leave();
  [[nodiscard]] std::size_t now() const { return count_; }
  /// \return false when some are left after `patience`.
  bool all_gone(std::chrono::milliseconds patience);

 private:
  std::atomic<std::size_t> count_{0};
  std::mutex mutex_;
  std::condition_variable gone_;
};

/// Serves one connection until it closes. Swallows network errors: they end the connection.
asio::awaitable<void> serve_connection(tcp::socket socket, Shared& shared);
/// Answers 503 whatever was asked, and closes.
asio::awaitable<void> refuse_connection(tcp::socket socket, Shared& shared);
/// Turns a connection that asked for /live into a listening browser.
asio::awaitable<void> serve_live(beast::tcp_stream stream, HttpRequest request, Shared& shared);

}  // namespace fixwright::web
