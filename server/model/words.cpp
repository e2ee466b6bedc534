/// The words of the model: the same in log, metrics, proto and SQL.

#include <array>
#include <string_view>

#include "server/model/alert.hpp"
#include "server/model/alert_settings.hpp"
#include "server/model/bearing_only.hpp"
#include "server/model/calibration.hpp"
#include "server/model/decision.hpp"
#include "server/model/delivery.hpp"
#include "server/model/emitter.hpp"
#include "server/model/fix.hpp"
#include "server/model/licence.hpp"

namespace fixwright {

namespace {

/// The word at an enumerator's place. An enumerator without a word does not compile away
/// silently: words_test walks them all.
template <typename Enum, std::size_t N>
std::string_view word(Enum e, const std::array<std::string_view, N>& words) {
  return words.at(static_cast<std::size_t>(e));
}

}  // namespace

std::string_view to_string(Refusal e) {
  static constexpr std::array<std::string_view, 8> kWords{
      "none",      "one_station",  "no_crossing",  "poor_geometry",
      "ambiguous", "inconsistent", "out_of_range", "unbounded"};
  return word(e, kWords);
}

std::string_view to_string(CalibrationMethod e) {
  static constexpr std::array<std::string_view, 2> kWords{"reference", "joint"};
  return word(e, kWords);
}

std::string_view to_string(CalibrationState e) {
  static constexpr std::array<std::string_view, 3> kWords{"proposed", "accepted", "refused"};
  return word(e, kWords);
}

std::string_view to_string(FixGrade e) {
  static constexpr std::array<std::string_view, 3> kWords{"checked", "unchecked", "odd"};
  return word(e, kWords);
}

std::string_view to_string(RegionKind e) {
  static constexpr std::array<std::string_view, 3> kWords{"ellipse", "posterior", "likelihood"};
  return word(e, kWords);
}

std::string_view to_string(ResultState e) {
  static constexpr std::array<std::string_view, 4> kWords{"provisional", "revised", "final",
                                                          "withdrawn"};
  return word(e, kWords);
}

std::string_view to_string(EmitterState e) {
  static constexpr std::array<std::string_view, 4> kWords{"tentative", "confirmed", "silent",
                                                          "retired"};
  return word(e, kWords);
}

std::string_view to_string(BearingOnlyState e) {
  static constexpr std::array<std::string_view, 3> kWords{"waiting", "located", "ended"};
  return word(e, kWords);
}

std::string_view to_string(Motion e) {
  static constexpr std::array<std::string_view, 2> kWords{"still", "moving"};
  return word(e, kWords);
}

std::string_view to_string(EmitterEventKind e) {
  static constexpr std::array<std::string_view, 8> kWords{
      "new", "confirmed", "moved", "split", "merged", "silent", "returned", "retired"};
  return word(e, kWords);
}

std::string_view to_string(DecisionKind e) {
  static constexpr std::array<std::string_view, 7> kWords{"rename", "note",  "watch", "unwatch",
                                                          "merge",  "split", "undo"};
  return word(e, kWords);
}

std::string_view to_string(RegisterVerdict e) {
  static constexpr std::array<std::string_view, 6> kWords{"registered",         "unregistered",
                                                          "position_disagrees", "off_frequency",
                                                          "out_of_validity",    "undecided"};
  return word(e, kWords);
}

std::string_view to_string(AlertSeverity e) {
  static constexpr std::array<std::string_view, 3> kWords{"notice", "warning", "urgent"};
  return word(e, kWords);
}

std::string_view to_string(DeliveryOccasion e) {
  static constexpr std::array<std::string_view, 2> kWords{"raised", "escalated"};
  return word(e, kWords);
}

std::string_view to_string(AlertKind e) {
  static constexpr std::array<std::string_view, kAlertKinds> kWords{"new_unregistered_emitter",
                                                                    "position_disagrees",
                                                                    "off_frequency",
                                                                    "out_of_validity",
                                                                    "emitter_moved",
                                                                    "watched_returned",
                                                                    "watched_activity",
                                                                    "reference_missing",
                                                                    "station_silent",
                                                                    "clock_bad",
                                                                    "station_biased",
                                                                    "station_overloaded",
                                                                    "database_low",
                                                                    "disk_low"};
  return word(e, kWords);
}

}  // namespace fixwright
