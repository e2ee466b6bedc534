#pragma once
/// The stages in their order: align, locate, track. Pure: no thread, no clock, no database.
///
/// Bearings go in as they arrive, results come out as upserts: provisional as soon as they can
/// be made, revised past the watermark, final past the lateness, withdrawn when what was shown
/// turns out not to be. What is final depends on the set of bearings alone, not on how they
/// arrived, as long as none came past the lateness; such a one comes out in `late`.

#include <cstdint>
#include <memory>
#include <vector>

#include "server/app/pipeline/rules.hpp"
#include "server/base/result.hpp"
#include "server/model/bearing.hpp"
#include "server/model/bearing_only.hpp"
#include "server/model/decision.hpp"
#include "server/model/emitter.hpp"
#include "server/model/fix.hpp"
#include "server/model/identities.hpp"
#include "server/model/memory.hpp"
#include "server/model/station.hpp"
#include "server/model/track.hpp"
#include "server/model/transmission.hpp"

namespace fixwright::app {

/// What changed since the last take(): each identity at most once, with its newest value.
struct PipelineOutput {
  std::vector<Transmission> transmissions;
  std::vector<Fix> fixes;
  std::vector<Emitter> emitters;
  std::vector<EmitterEvent> events;
  std::vector<TrackPoint> track_points;
  std::vector<BearingOnly> bearing_only;
  std::vector<ChannelMemory> memories;  // in place of those before, of these channels
  std::vector<Bearing> late;            // past the lateness: to be stored, used for nothing
  TimePoint watermark;

  [[nodiscard]] bool empty() const {
    return transmissions.empty() && fixes.empty() && emitters.empty() && events.empty() &&
           track_points.empty() && bearing_only.empty() && memories.empty() && late.empty();
  }
};

/// Calls come from one thread.
class Pipeline {
 public:
  /// \param first_revision  where revisions begin. After a restart, one more than the highest
  ///        that is stored: else what is computed again would look older than what it replaces.
  Pipeline(PipelineRules rules, Stations stations, std::uint32_t first_revision = 1);
  Pipeline(Pipeline&&) noexcept;
  Pipeline& operator=(Pipeline&&) noexcept;
  ~Pipeline();

  /// Goes on with the emitters of a channel from where a pipeline before this one remembered them,
  /// before anything is fed. \return how many; or a few words on why they can't be: then the
  /// channel begins anew.
  Result<std::size_t> restore(const ChannelMemory& memory);
  /// Whether a bearing is in what was restored: it is not to be fed again.
  [[nodiscard]] bool remembers(const Bearing& bearing) const;

  /// A bearing that is admitted and durable. The same bearing twice counts once, as long as it
  /// is pending.
  void bearing(const Bearing& bearing);
  void heartbeat(const Heartbeat& heartbeat);
  /// The server's clock: idle stations, and the watermark when all are idle.
  void tick(TimePoint server_now);
  /// Emitters that are shown as others from now on, in place of those said before.
  void redirect(Redirects redirects);
  /// What emitters are to be called whose birth is yet to come.
  void identify(Identities identities);
  /// What is known of the stations' biases from now on. What is final stays as it is; what is not
  /// yet may be computed again with it.
  void calibrate(const Calibrations& calibrations);
  /// End of input: everything becomes final.
  void finish();

  /// Computes what is dirty and hands out what changed. Call it after each batch and tick.
  [[nodiscard]] PipelineOutput take();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright::app
