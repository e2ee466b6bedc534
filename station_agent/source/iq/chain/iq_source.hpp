#pragma once
/// Bearings out of coherent samples: stream, detector, azimuth.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/detect/detector.hpp"
#include "station_agent/source/iq/chain/array_watch.hpp"
#include "station_agent/source/iq/chain/complaint_book.hpp"
#include "station_agent/source/iq/chain/withheld.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/plan_board.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent::iq {

struct IqSourceConfig {
  /// Absent: as the stream tells it, which it then must.
  std::optional<array::ArrayGeometry> geometry;
  /// Of the array's forward axis from true north. Absent: that of the stream; the geometry's own.
  std::optional<double> orientation_deg;
  /// On a vehicle: the orientation counts from its bow, and so do the azimuths that come out.
  bool from_heading = false;
  array::ArrayCalibration calibration;  // no elements: none
  array::ManifoldTable table;
  Duration calibration_max_age{};  // 0: it never expires
  array::EstimatorRules estimator;
  /// Misfit, rms phase error per element, that is no longer taken for a reflection's.
  double misfit_limit_deg = 12.0;
  detect::DetectionRules detect;
  std::vector<detect::WatchedChannel> channels;  // empty: those of the server's plan
  bool tune_to_channels = false;                 // ask the stream for the centre that fits best
  bool simulated = false;                        // what comes was never on the air
};

/// Bearings are withheld, each with a counted reason, when an element is faulty, the array has
/// lost its common phase, or its calibration does not hold; see array::EstimateRefusal. An array
/// without calibration gives flagged ones where the rules allow that.
class IqSource final : public Source {
 public:
  /// Fails with one line when stream and array do not go together. The board, which may be null,
  /// and the clock must outlive the source.
  static Result<std::unique_ptr<Source>> open(IqSourceConfig config,
                                              std::unique_ptr<SampleStream> stream,
                                              const PlanBoard* board, const Clock& clock);

  SourceBatch read(Duration patience) override;

 private:
  IqSource(IqSourceConfig config, std::unique_ptr<SampleStream> stream, const PlanBoard* board,
           const Clock& clock);
  std::string follow_format();
  void follow_channels(SourceBatch& batch);
  bool retune(const std::vector<detect::WatchedChannel>& wanted, SourceBatch& batch);
  void step(Duration patience, SourceBatch& batch);
  void change_format(SourceBatch& batch);
  void take_block(SourceBatch& batch);
  void take_looks(SourceBatch& batch);
  void take_look(const detect::ChannelLook& look, SourceBatch& batch);
  void say_withheld(const detect::ChannelLook& look, const Withheld& why, SourceBatch& batch);
  void flag_bad_fit(const detect::ChannelLook& look, SourceBatch& batch);
  void check_calibration_age(TimePoint at, SourceBatch& batch);
  void watch_for_silence(SourceBatch& batch);
  void end(const ReadOutcome& outcome, SourceBatch& batch);
  void advance_watermark(TimePoint to);

  IqSourceConfig config_;
  std::unique_ptr<SampleStream> stream_;
  const PlanBoard* board_;
  const Clock& clock_;
  ComplaintBook book_;
  ArrayWatch array_watch_;
  std::optional<array::AzimuthEstimator> estimator_;
  std::unique_ptr<detect::Detector> detector_;  // null: nothing is watched
  detect::DetectorConfig watching_;
  std::optional<std::uint64_t> plan_version_;  // that watching_ follows
  std::optional<double> asked_hz_;             // the centre last asked for
  bool retuning_ = false;                      // its samples have not come yet
  SampleBlock block_;
  detect::LookList looks_;
  TimePoint low_watermark_{};
  std::optional<TimePoint> last_samples_;  // by the host's clock
  bool expired_ = false;
};

}  // namespace fixwright::agent::iq
