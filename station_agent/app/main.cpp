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
#include "station_agent/app/calibrate_command.hpp"
#include "station_agent/app/check_command.hpp"
#include "station_agent/app/listen_command.hpp"
#include "station_agent/app/simulate.hpp"

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

/// The subcommand that writes a scene as recordings; what it needs is filled in by parsing.
struct SimulateOptions {
  agent::SimulateConfig config;
  std::string scenario;
  std::string out;
  double lasts_s = 10.0;
  CLI::App* command = nullptr;

  explicit SimulateOptions(CLI::App& app) {
    command = app.add_subcommand("simulate", "Writes a scene as SigMF recordings, with the truth");
    command->add_option("--scenario", scenario, "deploy/config/demo/osmere_scene.toml is one")
        ->required();
    command->add_option("--out", out, "Folder for STATION.sigmf-data and .sigmf-meta")->required();
    command->add_option("--station", config.stations, "Only these; default: all of the scene");
    command->add_option("--lasts", lasts_s, "Seconds; default 10")->check(CLI::Range(0.01, 1e5));
    command->add_option("--type", config.type, "SigMF's sample type, complex; default ci8");
  }
};

int simulate(SimulateOptions& options) {
  options.config.scenario = options.scenario;
  options.config.out = options.out;
  options.config.lasts = fixwright::from_seconds(options.lasts_s);
  const auto written = agent::simulate(options.config);
  if (!written) {
    std::cerr << written.error() << '\n';
    return agent::kExitOperator;
  }
  for (const std::string& name : *written) {
    std::cout << options.out << '/' << name << ".sigmf-meta\n";
  }
  return agent::kExitDone;
}

CLI::App* add_check(CLI::App& app, agent::CheckOptions& options) {
  CLI::App* check = app.add_subcommand("check", "Tells the host what is wrong at this station");
  check->add_option("--config", options.config_path, "The station's TOML file")->required();
  check->add_option("--transmitter", options.transmitter,
                    "LAT,LON,FREQ_HZ of a transmitter of known place: shows wrong order of the "
                    "elements and wrong orientation");
  check->add_option("--seconds", options.sample_seconds, "Of samples that are judged; default 2")
      ->check(CLI::Range(0.1, 600.0));
  check->add_flag("--json", options.json, "For machines: see station_agent/README.md");
  check->footer("Exit code: 0 ok or advice, 1 a warning, 2 unusable configuration, 3 a fault.");
  return check;
}

CLI::App* add_calibrate(CLI::App& app, agent::CalibrateCommand& command) {
  CLI::App* calibrate = app.add_subcommand("calibrate", "Measures the array's elements");
  calibrate->add_option("--config", command.config_path, "The station's TOML file")->required();
  calibrate->add_option("--out", command.out_path, "Calibration file to write")->required();
  calibrate->add_option("--common-reference", command.common_hz,
                        "Hz; of a signal fed to all receivers alike; may be repeated");
  calibrate->add_option("--transmitter", command.transmitters,
                        "LAT,LON,FREQ_HZ of a transmitter of known place; may be repeated");
  calibrate->add_option("--seconds", command.lasts_s, "Of samples; default 10")
      ->check(CLI::Range(0.1, 600.0));
  calibrate->add_option("--temperature", command.temperature_c, "C, of the receivers; for the file")
      ->check(CLI::Range(-100.0, 100.0));
  calibrate->add_flag("--force", command.force, "Replace the file if it is there");
  calibrate->footer(
      "Transmit only what you are licensed for, and stay clear of the antenna while it radiates.\n"
      "Exit code: 0 written, 1 nothing could be measured, 2 unusable configuration or options.");
  return calibrate;
}

CLI::App* add_listen(CLI::App& app, agent::ListenCommand& command) {
  CLI::App* listen = app.add_subcommand("listen", "Shows live what the source hears; q leaves");
  listen->add_option("--config", command.config_path, "The station's TOML file")->required();
  listen->add_option("--seconds", command.lasts_s, "Leave after so long; default: never")
      ->check(CLI::Range(0.1, 3.2e7));
  listen
      ->add_option("--channel", command.channels_hz,
                   "Hz; watched beside [[source.iq.channel]]; may be repeated")
      ->check(CLI::Range(1.0, 3e11));
  return listen;
}

}  // namespace

int main(int argc, char** argv) {
  // Blocked before any thread starts, so that all inherit it and main alone asks for them.
  const sigset_t signals = stop_signals();
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);

  CLI::App app{"Sends the bearings of one station to a Fixwright server."};
  std::string path;
  bool check_only = false;
  app.add_option("--config", path, "TOML file; deploy/config/station.toml shows every key");
  app.add_flag("--check-config", check_only, "Check the configuration and exit: 0 good, 2 bad");
  app.set_version_flag("--version", FIXWRIGHT_VERSION);
  SimulateOptions simulated(app);
  agent::CheckOptions check;
  check.agent_version = FIXWRIGHT_VERSION;
  agent::CalibrateCommand calibrate;
  agent::ListenCommand listen;
  const CLI::App* checks = add_check(app, check);
  const CLI::App* calibrates = add_calibrate(app, calibrate);
  const CLI::App* listens = add_listen(app, listen);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    return app.exit(e) == 0 ? agent::kExitDone : agent::kExitOperator;
  }
  if (simulated.command->parsed()) return simulate(simulated);
  if (checks->parsed()) return agent::run_check(check, fixwright::SystemClock{}, std::cout);
  if (calibrates->parsed()) {
    return agent::run_calibrate(calibrate, fixwright::SystemClock{}, std::cout, std::cerr);
  }
  if (listens->parsed()) {
    return agent::run_listen(listen, fixwright::SystemClock{}, stop_signalled);
  }
  if (path.empty()) {
    std::cerr << "--config FILE is needed; --help tells more.\n";
    return agent::kExitOperator;
  }
  return run(path, check_only);
}
