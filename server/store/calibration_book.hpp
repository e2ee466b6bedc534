#pragma once
/// Calibrations of stations: proposed, decided about, and read back.

#include <vector>

#include "server/base/result.hpp"
#include "server/model/calibration.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// What a person says about a proposal.
struct CalibrationDecision {
  std::int64_t id = 0;                  // of the proposal
  std::optional<TimePoint> valid_from;  // accepted from then on; none: refused
  std::string by;                       // who; not empty
  std::string note;                     // why
};

/// Each call is one transaction. Throws DatabaseAway (call again) or DatabaseRefused.
class CalibrationBook {
 public:
  explicit CalibrationBook(Database& database) : database_(database) {}

  /// \return its id. \pre bearings and transmitters > 0; proposed_by is not empty.
  std::int64_t propose(const ProposedCalibration& proposal);

  /// Fails with one line: no such proposal, or one that was decided about already.
  Result<ProposedCalibration> decide(const CalibrationDecision& decision);

  /// All, oldest first.
  std::vector<ProposedCalibration> all();
  Calibrations accepted();

 private:
  Database& database_;
};

}  // namespace fixwright::store
