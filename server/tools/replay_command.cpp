#include "server/tools/replay_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <vector>

#include "server/app/pipeline/pipeline.hpp"
#include "server/report/csv.hpp"
#include "server/tools/bearing_csv.hpp"

namespace fixwright::tools {

namespace {

/// Gives every bearing the channel of its frequency, and leaves them in their order.
void assign_channels(std::vector<Bearing>& bearings, const TransmissionRules& rules) {
  std::map<BearingKey, ChannelId> channels;
  for (const Transmission& t : cut_transmissions(bearings, rules)) {
    for (const Bearing& b : t.bearings) channels[b.key] = t.key.channel;
  }
  for (Bearing& b : bearings) b.channel = channels.at(b.key);
}

/// Chooses which states become rows.
class StateRows {
 public:
  StateRows(double every_s, std::ostream& out) : every_(from_seconds(every_s)), out_(out) {}

  void take(const std::vector<Emitter>& changed) {
    for (const Emitter& e : changed) {
      newest_[e.key] = e;
      const auto written = written_.find(e.key);
      const bool due = written == written_.end() || written->second.state != e.state ||
                       written->second.motion != e.motion ||
                       e.valid_at - written->second.valid_at >= every_;
      if (due) write(e);
    }
  }

  void finish() {
    for (const auto& [key, e] : newest_) {
      if (written_.at(key).revision != e.revision) write(e);
    }
  }

 private:
  void write(const Emitter& e) {
    out_ << report::emitter_csv_row(e);
    written_[e.key] = e;
  }

  Duration every_;
  std::ostream& out_;
  std::map<EmitterKey, Emitter> newest_;
  std::map<EmitterKey, Emitter> written_;
};

/// \return how many bearings came too late.
std::size_t replay(const std::vector<Bearing>& bearings, const ReplayOptions& options,
                   StateRows& rows) {
  app::PipelineRules rules = options.rules;
  rules.align.gap_s = options.transmissions.gap_s;
  app::Pipeline pipeline(rules, {});
  std::map<StationId, TimePoint> newest;
  TimePoint now = TimePoint::min();
  std::size_t late = 0;
  const auto take = [&] {
    const auto output = pipeline.take();
    late += output.late.size();
    rows.take(output.emitters);
  };
  for (const Bearing& b : bearings) {
    const auto [mine, is_new] = newest.try_emplace(b.key.station, b.start);
    mine->second = std::max(mine->second, b.start);
    now = std::max(now, b.start);
    pipeline.bearing(b);
    pipeline.heartbeat({b.key.station, now, mine->second, {}, ClockState::synchronised});
    take();
  }
  pipeline.finish();
  take();
  rows.finish();
  return late;
}

int replay_read(Result<BearingCsv> csv, const std::string& name, const ReplayOptions& options,
                std::ostream& out, std::ostream& err) {
  if (!csv) {
    err << csv.error() << '\n';
    return 2;
  }
  auto bearings = csv->bearings;
  assign_channels(bearings, options.transmissions);
  if (options.by_time) std::stable_sort(bearings.begin(), bearings.end(), EventOrder{});
  out << report::emitter_csv_header();
  StateRows rows(options.every_s, out);
  const std::size_t late = replay(bearings, options, rows);
  if (csv->skipped > 0) {
    err << fmt::format("{}: {} rows used, {} skipped\n", name, bearings.size(), csv->skipped);
  }
  if (late > 0) {
    err << fmt::format(
        "{}: {} of {} bearings stand more than {:g} s behind others in the file and were left "
        "out; --by-time replays them in order of time\n",
        name, late, bearings.size(), options.rules.align.lateness_s);
  }
  const bool none_usable = bearings.empty() && csv->skipped > 0;
  return none_usable || (options.strict && csv->skipped + late > 0) ? 1 : 0;
}

}  // namespace

int run_replay(std::istream& in, const std::string& name, const ReplayOptions& options,
               std::ostream& out, std::ostream& err) {
  return replay_read(read_bearing_csv(in, name, err), name, options, out, err);
}

int run_replay(const ReplayOptions& options, std::ostream& out, std::ostream& err) {
  const std::string name = options.input == "-" ? "stdin" : options.input;
  return replay_read(read_bearing_file(options.input, err), name, options, out, err);
}

}  // namespace fixwright::tools
