#include "server/web/http/http_server.hpp"

#include <fmt/core.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <optional>
#include <thread>
#include <utility>

#include "server/base/log.hpp"
#include "server/web/http/live_pump.hpp"
#include "server/web/http/net.hpp"

namespace fixwright::web {

void ConnectionCount::enter() { ++count_; }

void ConnectionCount::leave() {
  const std::lock_guard lock(mutex_);
  if (--count_ == 0) gone_.notify_all();
}

bool ConnectionCount::all_gone(std::chrono::milliseconds patience) {
  std::unique_lock lock(mutex_);
  return gone_.wait_for(lock, patience, [this] { return count_ == 0; });
}

/// Order matters: what is declared last goes first, and the coroutines that the I/O context
/// still holds see everything above it.
struct HttpServer::Impl {
  Impl(const HttpRules& rules, PagePort& port, Metrics& metrics, PageFiles files)
      : shared(rules, port, metrics, std::move(files)),
        workers(static_cast<std::size_t>(rules.workers)) {
    shared.workers = &workers;
  }

  Shared shared;
  ConnectionCount connections;
  std::optional<LivePump> pump;
  asio::thread_pool workers;
  asio::io_context io{1};
  tcp::acceptor acceptor{io};
  std::uint16_t bound_port = 0;
  std::thread thread;
};

namespace {

class Counted {
 public:
  explicit Counted(ConnectionCount& count) : count_(count) { count_.enter(); }
  Counted(const Counted&) = delete;
  Counted& operator=(const Counted&) = delete;
  ~Counted() { count_.leave(); }

 private:
  ConnectionCount& count_;
};

asio::awaitable<void> serve_counted(tcp::socket socket, Shared& shared, ConnectionCount& count) {
  const Counted counted(count);
  if (count.now() > shared.rules.max_connections) {
    co_await refuse_connection(std::move(socket), shared);
  } else {
    co_await serve_connection(std::move(socket), shared);
  }
}

void log_end(std::exception_ptr error) {
  try {
    if (error) std::rethrow_exception(error);
  } catch (const std::exception& e) {
    log::warn("web: a connection ended: {}", e.what());
  }
}

asio::awaitable<void> pause(tcp::acceptor& acceptor) {
  asio::steady_timer timer(acceptor.get_executor(), std::chrono::milliseconds(100));
  beast::error_code ignored;
  co_await timer.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
}

asio::awaitable<void> accept_all(tcp::acceptor& acceptor, Shared& shared, ConnectionCount& count) {
  while (acceptor.is_open()) {
    beast::error_code error;
    tcp::socket socket =
        co_await acceptor.async_accept(asio::redirect_error(asio::use_awaitable, error));
    if (!error) {
      asio::co_spawn(acceptor.get_executor(), serve_counted(std::move(socket), shared, count),
                     log_end);
    } else if (acceptor.is_open()) {
      log::warn("web: accept: {}; trying again", error.message());
      co_await pause(acceptor);  // out of file descriptors, usually
    }
  }
}

/// One line: "web: 127.0.0.1:8080: address already in use; …".
std::optional<Error> listen(tcp::acceptor& acceptor, const HttpRules& rules) {
  const auto fault = [&](const std::string& what) {
    return Error{fmt::format("web: {}:{}: {}; change web.listen_address or web.port",
                             rules.listen_address, rules.port, what)};
  };
  beast::error_code error;
  const auto address = asio::ip::make_address(rules.listen_address, error);
  if (error) return fault("not an IP address");
  const tcp::endpoint endpoint(address, rules.port);
  acceptor.open(endpoint.protocol(), error);
  if (!error) acceptor.set_option(tcp::acceptor::reuse_address(true), error);
  if (!error) acceptor.bind(endpoint, error);
  if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
  if (error) return fault(error.message());
  return std::nullopt;
}

Result<PageFiles> read_files(const HttpRules& rules) {
  auto files = PageFiles::read(rules.page_folder);
  if (!files || rules.basemap_file.empty()) return files;
  PageFiles with_basemap = std::move(files).value();
  const auto added = with_basemap.add("/basemap.geojson", rules.basemap_file);
  if (!added) return Error{"web.basemap_file: " + added.error()};
  return with_basemap;
}

}  // namespace

Result<std::unique_ptr<HttpServer>> HttpServer::start(const HttpRules& rules, PagePort& port,
                                                      Metrics& metrics) {
  auto files = read_files(rules);
  if (!files) return Error{files.error()};
  auto impl = std::make_unique<Impl>(rules, port, metrics, std::move(files).value());
  if (const auto error = listen(impl->acceptor, rules)) return *error;
  impl->bound_port = impl->acceptor.local_endpoint().port();
  impl->pump.emplace(port, impl->shared);
  asio::co_spawn(impl->io, accept_all(impl->acceptor, impl->shared, impl->connections),
                 asio::detached);
  asio::co_spawn(impl->io, impl->pump->run(), asio::detached);
  impl->thread = std::thread([&io = impl->io] { io.run(); });
  return std::unique_ptr<HttpServer>(new HttpServer(std::move(impl)));
}

HttpServer::HttpServer(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}

HttpServer::~HttpServer() { stop(); }

std::uint16_t HttpServer::port() const { return impl_->bound_port; }

void HttpServer::stop() {
  if (!impl_->thread.joinable()) return;
  impl_->pump->unsubscribe();
  asio::post(impl_->io, [this] {
    beast::error_code ignored;
    impl_->acceptor.close(ignored);
    impl_->shared.stopping = true;
    impl_->shared.hub.close();
    for (beast::tcp_stream* stream : impl_->shared.idle) stream->close();
  });
  const auto patience = impl_->shared.rules.request_timeout;
  if (!impl_->connections.all_gone(patience)) {
    log::warn("web: {} connections did not end in time and were cut", impl_->connections.now());
  }
  impl_->workers.join();
  impl_->io.stop();
  impl_->thread.join();
}

}  // namespace fixwright::web
