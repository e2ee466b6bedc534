#pragma once
/// What the host's clock is worth: every bearing leaves with it.

#include <sys/timex.h>

#include "server/base/time.hpp"

namespace fixwright::agent {

/// As fixwright.station.v1.ClockState.
enum class ClockState { synchronised, holdover, unsynchronised };

/// Whose word the bound is.
enum class ClockReference { none, kernel, chrony, fixed };

struct ClockReading {
  ClockState state = ClockState::unsynchronised;
  Duration error{};  // bound of the clock's error, >= 0
  ClockReference reference = ClockReference::none;
};

/// A kernel clock that nobody disciplines counts as this far off; it is also where the kernel
/// stops counting (NTP_PHASE_LIMIT, 16 s, linux/timex.h; MAXDISP of RFC 5905).
inline constexpr Duration kUnknownClockError = std::chrono::seconds{16};

/// Past this bound a clock that is still called disciplined has not heard of its reference for
/// about half an hour: the kernel adds 500 us a second between updates (MAXFREQ, 500 ppm). It is
/// also the root distance past which RFC 5905 uses no server (MAXDIST).
inline constexpr Duration kHoldoverError = std::chrono::seconds{1};

/// What a clock that was disciplined and is so no longer drifts at most: PHI of RFC 5905.
inline constexpr double kDriftTolerance = 15e-6;

/// The reading that adjtimex(2) returned. The bound is `maxerror`; `esterror` is a typical
/// error, not a bound.
/// \param returned  what adjtimex returned: TIME_OK to TIME_ERROR, or -1.
ClockReading reading_of(int returned, const timex& kernel);

class ClockMonitor {
 public:
  ClockMonitor() = default;
  ClockMonitor(const ClockMonitor&) = delete;
  ClockMonitor& operator=(const ClockMonitor&) = delete;
  virtual ~ClockMonitor() = default;
  [[nodiscard]] virtual ClockReading read() const = 0;
};

/// Asks the kernel. Needs no privilege.
class KernelClockMonitor final : public ClockMonitor {
 public:
  [[nodiscard]] ClockReading read() const override;
};

/// Always says the same: for a reference the kernel knows nothing of, and for simulations.
class FixedClockMonitor final : public ClockMonitor {
 public:
  explicit FixedClockMonitor(ClockReading reading) : reading_(reading) {}
  [[nodiscard]] ClockReading read() const override { return reading_; }

 private:
  ClockReading reading_;
};

}  // namespace fixwright::agent
