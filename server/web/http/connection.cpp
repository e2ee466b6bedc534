#include <fmt/core.h>

#include <boost/asio/buffer.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/error.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/read.hpp>
#include <boost/beast/http/span_body.hpp>
#include <boost/beast/http/write.hpp>
#include <boost/beast/websocket/rfc6455.hpp>
#include <optional>
#include <utility>

#include "server/web/http/net.hpp"

namespace fixwright::web {

namespace {

constexpr std::uint32_t kMaxHeaderBytes = 8192;
constexpr std::uint64_t kMaxBodyBytes = 4096;  // nothing is posted here yet

std::string_view caching_words(Caching caching) {
  switch (caching) {
    case Caching::never:
      return "no-store";
    case Caching::revalidate:
      return "no-cache";
    case Caching::forever:
      return "public, max-age=31536000, immutable";
  }
  return "no-store";
}

std::string_view policy_words(Content content) {
  if (content == Content::paper) {
    return "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
           "frame-ancestors 'none'";
  }
  return "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
         "form-action 'none'; frame-ancestors 'none'";
}

/// The page runs only what this server gave it, and nobody frames it.
template <typename Response>
void add_headers(Response& response, const Answer& answer) {
  response.set(http::field::server, "fixwright");
  response.set(http::field::content_type, answer.content_type);
  const auto caching = caching_words(answer.caching);
  response.set(http::field::cache_control, beast::string_view(caching.data(), caching.size()));
  if (!answer.etag.empty()) response.set(http::field::etag, answer.etag);
  if (answer.status == 405) response.set(http::field::allow, "GET, HEAD");
  if (answer.status == 426) response.set(http::field::upgrade, "websocket");
  const auto policy = policy_words(answer.content);
  response.set("Content-Security-Policy", beast::string_view(policy.data(), policy.size()));
  response.set("X-Content-Type-Options", "nosniff");
  response.set("Referrer-Policy", "no-referrer");
  response.set("Cross-Origin-Resource-Policy", "same-origin");
}

template <typename Body>
asio::awaitable<bool> write(beast::tcp_stream& stream, http::response<Body>& response) {
  beast::error_code error;
  co_await http::async_write(stream, response, asio::redirect_error(asio::use_awaitable, error));
  co_return !error;
}

/// \return whether the connection may go on.
asio::awaitable<bool> write_answer(beast::tcp_stream& stream, const Answer& answer, bool head,
                                   bool keep_alive, unsigned version) {
  const auto status = static_cast<http::status>(answer.status);
  const bool bare = head || answer.status == 304;
  bool written = false;
  if (bare) {
    http::response<http::empty_body> response{status, version};
    add_headers(response, answer);
    if (answer.status != 304) response.content_length(answer.body->size());
    response.keep_alive(keep_alive);
    written = co_await write(stream, response);
  } else {
    http::response<http::span_body<const char>> response{status, version};
    response.body() = {answer.body->data(), answer.body->size()};
    add_headers(response, answer);
    response.content_length(answer.body->size());
    response.keep_alive(keep_alive);
    written = co_await write(stream, response);
  }
  co_return written&& keep_alive;
}

asio::awaitable<Answer> run_route(const Routes& routes, Request request) {
  co_return routes.answer(request);
}

/// Asks on a worker, since the port may wait for the database.
asio::awaitable<Answer> ask(Shared& shared, Request request) {
  auto work = run_route(shared.routes, std::move(request));
  co_return co_await asio::co_spawn(shared.workers->get_executor(), std::move(work),
                                    asio::use_awaitable);
}

std::string text(beast::string_view view) { return {view.data(), view.size()}; }

Request plain(const HttpRequest& request) {
  return {text(request.method_string()), text(request.target()),
          text(request[http::field::if_none_match]), text(request[http::field::host])};
}

/// What a request that can't be read is told; none when the peer is simply gone.
std::optional<Answer> reading_failed(beast::error_code error) {
  if (error == http::error::end_of_stream || error == http::error::partial_message) {
    return std::nullopt;
  }
  if (error == http::error::header_limit) {
    return error_answer(431, fmt::format("the header is longer than {} bytes", kMaxHeaderBytes));
  }
  if (error == http::error::body_limit) {
    return error_answer(413, fmt::format("the body is longer than {} bytes", kMaxBodyBytes));
  }
  if (error.category() == http::make_error_code(http::error::bad_method).category()) {
    return error_answer(400, fmt::format("not HTTP/1.1: {}", error.message()));
  }
  return std::nullopt;
}

/// Another site's page may not listen here with its visitor's browser.
bool same_origin(const HttpRequest& request) {
  const auto origin = text(request[http::field::origin]);
  if (origin.empty()) return true;  // not a browser
  const auto scheme_end = origin.find("://");
  if (scheme_end == std::string::npos) return false;
  return origin.substr(scheme_end + 3) == text(request[http::field::host]);
}

void count(Shared& shared, int status) {
  shared.metrics
      .counter("fixwright_web_requests", "Requests answered, by class of status.",
               {{"status", fmt::format("{}xx", status / 100)}})
      .add();
}

void close(beast::tcp_stream& stream) {
  beast::error_code ignored;
  stream.socket().shutdown(tcp::socket::shutdown_send, ignored);
}

asio::awaitable<bool> answer_request(beast::tcp_stream& stream, const HttpRequest& request,
                                     Shared& shared) {
  const Answer answer = co_await ask(shared, plain(request));
  count(shared, answer.status);
  stream.expires_after(shared.rules.request_timeout);
  const bool keep_alive = request.keep_alive() && !shared.stopping;
  co_return co_await write_answer(stream, answer, request.method() == http::verb::head, keep_alive,
                                  request.version());
}

struct Read {
  beast::error_code error;
  HttpRequest request;
};

asio::awaitable<Read> read_request(beast::tcp_stream& stream, beast::flat_buffer& buffer,
                                   std::chrono::milliseconds patience, Shared& shared) {
  http::request_parser<http::string_body> parser;
  parser.header_limit(kMaxHeaderBytes);
  parser.body_limit(kMaxBodyBytes);
  stream.expires_after(patience);
  shared.idle.insert(&stream);
  Read out;
  co_await http::async_read(stream, buffer, parser,
                            asio::redirect_error(asio::use_awaitable, out.error));
  shared.idle.erase(&stream);
  if (!out.error) out.request = parser.release();
  co_return out;
}

asio::awaitable<void> answer_unreadable(beast::tcp_stream& stream, beast::error_code error,
                                        Shared& shared) {
  const auto answer = reading_failed(error);
  if (!answer) co_return;
  count(shared, answer->status);
  stream.expires_after(shared.rules.request_timeout);
  co_await write_answer(stream, *answer, false, false, 11);
}

}  // namespace

asio::awaitable<void> serve_connection(tcp::socket socket, Shared& shared) {
  beast::tcp_stream stream(std::move(socket));
  beast::flat_buffer buffer;
  auto patience = shared.rules.request_timeout;
  while (!shared.stopping) {
    Read read = co_await read_request(stream, buffer, patience, shared);
    if (read.error) {
      co_await answer_unreadable(stream, read.error, shared);
      break;
    }
    if (beast::websocket::is_upgrade(read.request) && read.request.target() == "/live" &&
        same_origin(read.request)) {
      co_await serve_live(std::move(stream), std::move(read.request), shared);
      co_return;
    }
    if (!co_await answer_request(stream, read.request, shared)) break;
    patience = shared.rules.idle_timeout;
  }
  close(stream);
}

asio::awaitable<void> refuse_connection(tcp::socket socket, Shared& shared) {
  beast::tcp_stream stream(std::move(socket));
  stream.expires_after(shared.rules.request_timeout);
  count(shared, 503);
  const Answer answer = error_answer(
      503, fmt::format("{} connections are open, no more are taken", shared.rules.max_connections));
  co_await write_answer(stream, answer, false, false, 11);
  close(stream);
}

}  // namespace fixwright::web
