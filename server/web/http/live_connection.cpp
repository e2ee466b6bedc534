#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket/stream.hpp>
#include <memory>
#include <utility>

#include "server/web/http/net.hpp"

namespace fixwright::web {

namespace {

namespace websocket = beast::websocket;

constexpr std::size_t kMaxHeard = 1024;  // a browser has nothing to say but pongs

/// One listening browser: a socket, what waits for it, and the bell between the two.
struct LiveBrowser {
  LiveBrowser(beast::tcp_stream stream, std::size_t capacity)
      : socket(std::move(stream)), bell(socket.get_executor()) {
    bell.expires_at(asio::steady_timer::time_point::max());
    queue = std::make_shared<LiveQueue>(capacity, [this] { wake(); });
  }

  /// A browser that does not read can't take a goodbye either: its socket is closed under it,
  /// which also ends a write that waits.
  void wake() {
    bell.cancel();
    const auto ended = queue->ended();
    if (ended == LiveQueue::End::too_slow || ended == LiveQueue::End::gone) {
      beast::get_lowest_layer(socket).close();
    }
  }

  websocket::stream<beast::tcp_stream> socket;
  asio::steady_timer bell;
  std::shared_ptr<LiveQueue> queue;
};

asio::awaitable<void> say_goodbye(LiveBrowser& browser) {
  if (browser.queue->ended() != LiveQueue::End::going_away) co_return;
  beast::error_code error;
  co_await browser.socket.async_close(websocket::close_code::going_away,
                                      asio::redirect_error(asio::use_awaitable, error));
}

asio::awaitable<void> write_queue(std::shared_ptr<LiveBrowser> browser) {
  beast::error_code error;
  while (!error && browser->queue->ended() == LiveQueue::End::none) {
    const LiveText message = browser->queue->pop();
    if (!message) {
      beast::error_code rung;
      co_await browser->bell.async_wait(asio::redirect_error(asio::use_awaitable, rung));
      continue;
    }
    co_await browser->socket.async_write(asio::buffer(*message),
                                         asio::redirect_error(asio::use_awaitable, error));
  }
  co_await say_goodbye(*browser);
}

/// Until the browser leaves, or says too much.
asio::awaitable<void> read_until_gone(LiveBrowser& browser) {
  beast::flat_buffer heard;
  beast::error_code error;
  while (!error) {
    heard.clear();
    co_await browser.socket.async_read(heard, asio::redirect_error(asio::use_awaitable, error));
  }
}

}  // namespace

asio::awaitable<void> serve_live(beast::tcp_stream stream, HttpRequest request, Shared& shared) {
  stream.expires_never();  // the WebSocket has timers of its own
  const auto browser =
      std::make_shared<LiveBrowser>(std::move(stream), shared.rules.live_queue_messages);
  auto& socket = browser->socket;
  socket.set_option(websocket::stream_base::timeout{shared.rules.request_timeout,
                                                    shared.rules.idle_timeout, true});
  socket.read_message_max(kMaxHeard);
  beast::error_code error;
  co_await socket.async_accept(request, asio::redirect_error(asio::use_awaitable, error));
  if (error) co_return;
  socket.text(true);
  shared.hub.join(browser->queue);
  asio::co_spawn(socket.get_executor(), write_queue(browser), asio::detached);
  co_await read_until_gone(*browser);
  browser->queue->end(LiveQueue::End::gone);
  shared.hub.leave(browser->queue);
}

}  // namespace fixwright::web
