#include "station_agent/listen/listener.hpp"

#include <thread>

#include "server/base/text.hpp"
#include "station_agent/listen/live_board.hpp"
#include "station_agent/listen/screen.hpp"

namespace fixwright::agent::listen {

namespace {

constexpr Duration kPatience = std::chrono::milliseconds{100};
constexpr Duration kFrame = std::chrono::milliseconds{200};

/// When to stop, by the host's steady clock: a step of UTC must not end or prolong it.
class Until {
 public:
  explicit Until(Duration lasts)
      : endless_(lasts <= Duration{0}), end_(std::chrono::steady_clock::now() + lasts) {}
  [[nodiscard]] bool reached() const {
    return !endless_ && std::chrono::steady_clock::now() >= end_;
  }

 private:
  bool endless_;
  std::chrono::steady_clock::time_point end_;
};

SourceBatch next(const ListenTools& tools, bool ended) {
  if (ended) {
    std::this_thread::sleep_for(kPatience);
    return {};
  }
  SourceBatch batch = tools.source.read(kPatience);
  if (tools.place) tools.place(batch.bearings);
  return batch;
}

}  // namespace

void listen_on_screen(const ListenOptions& options, const ListenTools& tools,
                      const Terminal& terminal) {
  const Until until(options.lasts);
  LiveBoard board;
  ScreenView view{.station = options.station, .source = options.source, .news = "", .channels = {}};
  auto drawn = std::chrono::steady_clock::now() - kFrame;
  bool ended = false;
  while (!until.reached() && !tools.stop_wanted()) {
    const char key = terminal.key();
    if (key == 'q' || key == 'Q') return;
    const SourceBatch batch = next(tools, ended);
    view.now = tools.clock.now();
    for (const SourceBearing& b : batch.bearings) board.add(b, view.now);
    view.bearings += batch.bearings.size();
    if (!batch.complaints.empty()) view.news = batch.complaints.back();
    if (batch.ended) {
      ended = true;
      view.news = "the source has ended" + (view.news.empty() ? "" : "; before: " + view.news);
    }
    if (std::chrono::steady_clock::now() - drawn < kFrame) continue;
    drawn = std::chrono::steady_clock::now();
    view.channels = board.channels(view.now);
    terminal.draw(screen(view, terminal.rows()));
  }
}

void listen_by_line(const ListenOptions& options, const ListenTools& tools, std::ostream& out,
                    std::ostream& complaints) {
  const Until until(options.lasts);
  while (!until.reached() && !tools.stop_wanted()) {
    const SourceBatch batch = next(tools, false);
    for (const SourceBearing& b : batch.bearings) out << line_of(b) << '\n';
    out.flush();
    for (const std::string& line : batch.complaints) complaints << one_line(line) << std::endl;
    if (batch.ended || !out) return;
  }
}

}  // namespace fixwright::agent::listen
