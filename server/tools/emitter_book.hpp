#pragma once
/// Gives fixes of the same transmitter the same number, by frequency and position.

#include <vector>

#include "server/model/fix.hpp"

namespace fixwright::tools {

/// A fix joins the emitter, heard on its frequency, whose best fix lies nearest in units of their
/// joint covariance, if within the 99.9 % bound; else it opens a new one. An emitter that moves
/// farther than its ellipses gets a new number: `fixwright replay` follows movers, this does not.
class EmitterBook {
 public:
  explicit EmitterBook(double frequency_tolerance_hz)
      : frequency_tolerance_hz_(frequency_tolerance_hz) {}

  /// \pre fix.solution.accepted(). Fixes come in order of time.
  EmitterKey enter(const Fix& fix);

 private:
  struct Entry {
    EmitterKey key;
    CrossFix best;
    double frequency_hz = 0.0;
  };
  double frequency_tolerance_hz_;
  std::vector<Entry> entries_;
};

}  // namespace fixwright::tools
