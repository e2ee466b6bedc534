/// The real HTTP server over the fake port, for the browser test and for screenshots:
///     page_server PAGE_FOLDER BASEMAP
/// Prints "listening PORT"; then obeys lines of standard input until it ends:
///     add      a new emitter, not in the register
///     hear     every emitter is heard again now
///     lose     the database is away; "find" brings it back
///     stop     the server stops; "start" starts it again on the same port

#include <fmt/core.h>

#include <iostream>
#include <string>

#include "server/base/clock.hpp"
#include "server/web/http/http_server.hpp"
#include "tests/web/osmere_scene.hpp"

namespace {

using fixwright::web::HttpServer;

struct Stage {
  fixwright::SystemClock clock;
  fixwright::Metrics metrics;
  fixwright::web::FakePagePort port;
  fixwright::web::HttpRules rules;
  std::unique_ptr<HttpServer> server;

  bool start() {
    auto started = HttpServer::start(rules, port, metrics);
    if (!started) {
      fmt::print(stderr, "{}\n", started.error());
      return false;
    }
    server = std::move(started).value();
    rules.port = server->port();
    return true;
  }

  void obey(const std::string& order) {
    if (order == "add") fixwright::web::add_new_emitter(port, clock.now());
    if (order == "hear") fixwright::web::hear_all(port, clock.now());
    if (order == "lose") port.lose_database(true);
    if (order == "find") port.lose_database(false);
    if (order == "stop") server.reset();
    if (order == "start") start();
  }
};

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    fmt::print(stderr, "usage: page_server PAGE_FOLDER BASEMAP\n");
    return 2;
  }
  Stage stage;
  stage.rules.page_folder = argv[1];
  stage.rules.basemap_file = argv[2];
  fixwright::web::set_scene(stage.port, stage.clock.now());
  if (!stage.start()) return 1;
  fmt::print("listening {}\n", stage.rules.port);
  std::cout.flush();
  std::fflush(stdout);
  for (std::string order; std::getline(std::cin, order);) stage.obey(order);
  return 0;
}
