/// fixwright-server: reads its configuration, starts everything, waits to be told to stop.

#include <fmt/core.h>
#include <pthread.h>
#include <signal.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <fstream>

#include "server/app/server.hpp"

namespace {

constexpr int kExitFailed = 1;  // the world's fault: database away, port in use
constexpr int kExitConfig = 2;  // the operator's: nothing was started

struct Options {
  std::string config = "/etc/fixwright/server.toml";
  std::string endpoints_file;
  bool check_config = false;
};

/// SIGINT and SIGTERM are waited for, not handled: no code runs inside a signal.
sigset_t block_stop_signals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  return signals;
}

/// For scripts that let the server choose free ports. Whole or not there at all.
void write_endpoints(const std::string& path, const fixwright::app::Endpoints& endpoints) {
  const std::string draft = path + ".new";
  std::ofstream(draft) << fmt::format("rpc_port={}\nweb_port={}\n", endpoints.rpc_port,
                                      endpoints.web_port);
  std::rename(draft.c_str(), path.c_str());
}

int run(const Options& options) {
  const auto config = fixwright::app::read_server_config(options.config);
  if (!config) {
    fmt::print(stderr, "{}\nNothing was started.\n", config.error());
    return kExitConfig;
  }
  if (options.check_config) {
    fmt::print("{}: good\n", options.config);
    return 0;
  }
  fixwright::log::start("fixwright-server", config->log_level);
  const sigset_t stop_signals = block_stop_signals();
  const fixwright::SystemClock clock;
  auto server = fixwright::app::Server::start(*config, clock);
  if (!server) {
    fixwright::log::error("{}", server.error());
    return kExitFailed;
  }
  const fixwright::app::Endpoints endpoints = (*server)->endpoints();
  fixwright::log::info("listening: stations and queries on port {}, page on port {}",
                       endpoints.rpc_port, endpoints.web_port);
  if (!options.endpoints_file.empty()) write_endpoints(options.endpoints_file, endpoints);
  int signal = 0;
  sigwait(&stop_signals, &signal);
  fixwright::log::info("stopping");
  (*server)->stop();
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  CLI::App app{"Fixwright's server: takes bearings of standing stations, makes fixes and emitters"};
  app.add_option("--config", options.config, "configuration file")->capture_default_str();
  app.add_option("--endpoints-file", options.endpoints_file,
                 "write the ports that were bound here, for scripts");
  app.add_flag("--check-config", options.check_config, "read the configuration, say what is wrong");
  app.set_version_flag("--version", FIXWRIGHT_VERSION);
  CLI11_PARSE(app, argc, argv);
  return run(options);
}
