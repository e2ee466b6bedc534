#include "station_agent/app/listen_command.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <iostream>

#include "server/base/log.hpp"
#include "station_agent/app/agent.hpp"
#include "station_agent/app/agent_config.hpp"
#include "station_agent/app/agent_parts.hpp"
#include "station_agent/app/placing.hpp"
#include "station_agent/listen/listener.hpp"

namespace fixwright::agent {

namespace {

constexpr double kChannelBandwidth_hz = 16'000.0;  // of a channel given by its frequency alone

int refuse(const std::vector<std::string>& lines) {
  for (const std::string& line : lines) std::cerr << line << '\n';
  std::cerr << "Nothing was started.\n";
  return kExitOperator;
}

/// The terminal for keys, however the three standard descriptors are led; -1 where there is none,
/// or the source reads it.
class KeyDescriptor {
 public:
  explicit KeyDescriptor(const AgentConfig& config) {
    const bool source_reads_it = config.source == SourceKind::lines &&
                                 config.lines.input == InputKind::standard_input &&
                                 isatty(STDIN_FILENO) == 1;
    if (!source_reads_it) fd_ = open("/dev/tty", O_RDONLY | O_CLOEXEC);
  }
  KeyDescriptor(const KeyDescriptor&) = delete;
  KeyDescriptor& operator=(const KeyDescriptor&) = delete;
  ~KeyDescriptor() {
    if (fd_ >= 0) close(fd_);
  }
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_ = -1;
};

void show(const AgentConfig& config, const listen::ListenOptions& options,
          const listen::ListenTools& tools) {
  if (isatty(STDOUT_FILENO) != 1) {
    return listen::listen_by_line(options, tools, std::cout, std::cerr);
  }
  const KeyDescriptor keys(config);
  const listen::Terminal terminal(keys.get(), STDOUT_FILENO);
  listen::listen_on_screen(options, tools, terminal);
}

}  // namespace

int run_listen(const ListenCommand& command, const Clock& clock,
               const std::function<bool()>& stop_wanted) {
  AgentConfigFile file = load_agent_config(command.config_path);
  if (!file.problems.empty()) return refuse(file.problems);
  AgentConfig& config = file.config;
  for (const double f_hz : command.channels_hz) {
    config.iq.chain.channels.push_back({f_hz, kChannelBandwidth_hz});
  }
  if (config.source == SourceKind::iq && config.iq.chain.channels.empty()) {
    return refuse({command.config_path +
                   ": no [[source.iq.channel]]: listen does not ask the server for its plan: list "
                   "some, or give --channel FREQ_HZ"});
  }
  // On a screen of its own warnings of the log would tear the picture.
  const bool on_screen = isatty(STDOUT_FILENO) == 1;
  log::start("fixwright-station", on_screen ? log::Level::error : config.log_level);
  const PlanBoard board;
  auto source = open_source(config, "", board, clock);
  if (!source) return refuse({source.error()});
  const auto navigation = Navigation::open(config.navigation, clock);
  if (!navigation) return refuse({navigation.error()});
  Placing placing(config.navigation.feed == NavFeed::none ? nullptr : navigation->get());
  const auto monitor = make_clock_monitor(config);
  const auto place = [&](std::vector<SourceBearing>& b) { placing.place(b, monitor->read()); };
  show(config,
       {config.uplink.station, std::string(word(config.source)), from_seconds(command.lasts_s)},
       {**source, clock, stop_wanted, place});
  return kExitDone;
}

}  // namespace fixwright::agent
