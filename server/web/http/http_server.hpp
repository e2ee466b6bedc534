#pragma once
/// The page's HTTP server, in the server's own process. It only reads.
///
/// GET and HEAD: `/` and the page's files, `/api/emitters`, `/api/emitters/{channel}/{id}`,
/// `/api/stations`, `/api/alerts`, `/api/bearings`, `/api/settings`, `/basemap.geojson`,
/// `/healthz` (the process lives), `/readyz` (the database answers too), `/metrics`.
/// WebSocket: `/live` pushes changes as they are stored.

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>

#include "server/base/metrics.hpp"
#include "server/base/result.hpp"
#include "server/web/http/page_port.hpp"

namespace fixwright::web {

struct HttpRules {
  /// An IP address. There is no login yet: anything but loopback shows the page to all.
  std::string listen_address = "127.0.0.1";
  std::uint16_t port = 0;             // 0: any free one; see HttpServer::port()
  std::filesystem::path page_folder;  // what `npm run build` made; read once, at start
  std::string feed_sender = "fixwright@localhost";  // NAME@DOMAIN: of the feed of alerts
  std::filesystem::path basemap_file;    // GeoJSON; empty: the page draws the graticule alone
  std::size_t max_connections = 256;     // further ones are answered 503
  std::size_t live_queue_messages = 64;  // a browser further behind than this is dropped
  std::chrono::milliseconds push_interval{100};       // changes within it travel together
  std::chrono::milliseconds request_timeout{10'000};  // to read a request or write an answer
  std::chrono::milliseconds idle_timeout{60'000};     // between requests of one connection
  int workers = 2;                                    // threads that ask the port
};

class HttpServer {
 public:
  /// Listens when it returns. Fails with one line: the address is in use or not ours, the
  /// page folder holds no index.html, the basemap can't be read. `port` and `metrics` must
  /// outlive the server.
  static Result<std::unique_ptr<HttpServer>> start(const HttpRules& rules, PagePort& port,
                                                   Metrics& metrics);

  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;
  ~HttpServer();  // stops

  /// The port that was bound.
  [[nodiscard]] std::uint16_t port() const;

  /// Takes no new connection, lets requests under way finish (request_timeout at most), says
  /// goodbye to live browsers, then returns. A second call does nothing.
  void stop();

 private:
  struct Impl;
  explicit HttpServer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright::web
