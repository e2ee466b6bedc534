#pragma once
/// What the detector has to say: looks at active channels, and notices of what is wrong.

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent::detect {

/// One watched channel that is active, over one integration interval or what there was of it.
struct ChannelLook {
  std::size_t channel = 0;  // index in DetectorConfig::channels
  TimePoint start;
  Duration integration{};  // start + integration is the end
  bool opened = false;     // the signal began here: the first look of a transmission
  bool closed = false;     // the signal ended here: the last look of a transmission
  /// Where this look begins or ends lost samples or the end of the stream cut it: the signal may
  /// have been there before or after.
  bool cut = false;
  bool overload = false;  // more than overload_share of some element's samples were clipped
  /// Bit e is set where element e is stuck, dead or deaf: its row of the covariance is no use.
  std::uint32_t faulty_elements = 0;

  double level_dbfs = 0.0;    // of the signal in the channel, noise taken off, mean of the elements
  double snr_db = 0.0;        // signal over noise within span_hz, mean of the elements
  double frequency_hz = 0.0;  // centre of gravity of the signal's spectrum
  double span_hz = 0.0;       // the signal's bandwidth that covariance and noise_power are of
  /// By the beta % method (Rec. ITU-R SM.443): holds occupied_share of the power. Absent where the
  /// noise hides the ends of the spectrum.
  std::optional<double> bandwidth_hz;
  /// Between the outermost points xdb below the spectrum's maximum. Absent likewise.
  std::optional<double> bandwidth_xdb_hz;

  /// Mean of x x^H within span_hz, elements x elements; noise is in it. 1 on the diagonal is a
  /// carrier of 0 dBFS.
  Eigen::MatrixXcd covariance;
  double snapshots = 0.0;       // independent ones in it
  Eigen::VectorXd noise_power;  // of each element, in covariance's units, > 0
};

enum class NoticeKind {
  stuck,      // an element's converter repeats one value
  dead,       // an element has no noise
  deaf,       // an element has noise but does not hear what the others hear
  overload,   // an element's samples stand at the end of the scale
  gap,        // samples are missing
  time_step,  // the time of the samples does not follow from their number
};
std::string_view word(NoticeKind kind);

struct Notice {
  NoticeKind kind = NoticeKind::gap;
  bool began = true;        // false: it is over. gap and time_step only begin
  TimePoint at;             // where it was seen
  std::size_t element = 0;  // from 0; of gap and time_step 0
  /// stuck: samples seen. dead, deaf: dB below the others. overload: share of samples.
  /// gap: frames lost. time_step: seconds, positive forward.
  double value = 0.0;
};
/// One line for the host: what, since when, what to do. Elements are counted from 1 here.
std::string describe(const Notice& notice);

/// Reused from block to block, so that nothing is allocated.
class LookList {
 public:
  void clear() {
    size_ = 0;
    notices.clear();
  }
  /// A look with the content of an old one: the caller fills every field.
  ChannelLook& add() {
    if (size_ == looks_.size()) {
      looks_.emplace_back();
    }
    return looks_[size_++];
  }
  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] bool empty() const { return size_ == 0; }
  [[nodiscard]] const ChannelLook& operator[](std::size_t i) const { return looks_[i]; }
  [[nodiscard]] const ChannelLook* begin() const { return looks_.data(); }
  [[nodiscard]] const ChannelLook* end() const { return looks_.data() + size_; }

  std::vector<Notice> notices;

 private:
  std::vector<ChannelLook> looks_;
  std::size_t size_ = 0;
};

}  // namespace fixwright::agent::detect
