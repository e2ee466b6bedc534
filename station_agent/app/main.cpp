// fixwright-station: the agent that runs beside a direction finder.

#include <signal.h>

#include <CLI/CLI.hpp>
#include <ctime>
#include <iostream>
#include <string>

#include "server/base/clock.hpp"
#include "server/base/log.hpp"
#include "station_agent/app/agent.hpp"
#include "station_agent/app/agent_config.hpp"

namespace {

namespace agent = fixwright::agent;

sigset_t stop_signals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGINT);
  return signals;
}

/// Whether one of them came since the last question.
bool stop_signalled() {
  static bool came = false;
  const sigset_t signals = stop_signals();
  const timespec at_once{};
  if (sigtimedwait(&signals, nullptr, &at_once) > 0) came = true;
  return came;
}

int run(const std::string& path, bool check_only) {
  agent::AgentConfigFile file = agent::load_agent_config(path);
  for (const std::string& problem : file.problems) std::cerr << problem << '\n';
  if (!file.problems.empty()) {
    std::cerr << "Nothing was started.\n";
    return agent::kExitOperator;
  }
  if (check_only) {
    std::cout << path << ": good\n";
    return agent::kExitDone;
  }
  fixwright::log::start("fixwright-station", file.config.log_level);
  file.config.uplink.agent_version = FIXWRIGHT_VERSION;
  return agent::run_agent(file.config, fixwright::SystemClock{}, stop_signalled);
}

}  // namespace

int main(int argc, char** argv) {
  // Blocked before any thread starts, so that all inherit it and main alone asks for them.
  const sigset_t signals = stop_signals();
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);

  CLI::App app{"Sends the bearings of one station to a Fixwright server."};
  std::string path;
  bool check_only = false;
  app.add_option("--config", path, "TOML file; deploy/config/station.toml shows every key")
      ->required();
  app.add_flag("--check-config", check_only, "Check the configuration and exit: 0 good, 2 bad");
  app.set_version_flag("--version", FIXWRIGHT_VERSION);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    return app.exit(e) == 0 ? agent::kExitDone : agent::kExitOperator;
  }
  return run(path, check_only);
}
