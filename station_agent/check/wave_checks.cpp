#include "station_agent/check/wave_checks.hpp"

#include <fmt/core.h>

#include <GeographicLib/Geodesic.hpp>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/array_order.hpp"
#include "station_agent/array/look.hpp"
#include "station_agent/source/iq/chain/array_watch.hpp"
#include "station_agent/source/iq/chain/look_bearing.hpp"
#include "station_agent/source/iq/chain/swap_search.hpp"

namespace fixwright::agent::check {

namespace {

/// Weaker signals say too little of an array.
constexpr double kEnoughSnr_db = 10.0;
/// Nearer than this, 10 m of error in either place turn the true azimuth by 2 deg.
constexpr double kNear_m = 300.0;

std::string mhz(double hz) { return fmt::format("{:.4f} MHz", hz / 1e6); }

/// The signal that says most: the strongest one that is not overloaded.
const detect::ChannelLook* strongest(const Survey& survey) {
  const detect::ChannelLook* best = nullptr;
  for (const HeardChannel& c : survey.heard) {
    if (c.looks == 0) continue;
    const bool better = best == nullptr || (best->overload && !c.look.overload) ||
                        (best->overload == c.look.overload && c.look.snr_db > best->snr_db);
    if (better) best = &c.look;
  }
  return best;
}

array::AzimuthEstimator estimator_for(const array::Manifold& manifold,
                                      array::EstimatorRules rules) {
  rules.allow_uncalibrated = true;
  return {manifold, rules};
}

Finding unheard(const std::string& area, const std::string& what) {
  return {area, Severity::advice, what,
          "check again while a signal is on the air, or longer: --seconds"};
}

Finding broken_first(const std::string& area) {
  return {area, Severity::not_applicable, "can't be judged while an element is broken",
          "mend that first, see noise"};
}

/// A look that no wave explains, or only badly.
Finding misfit(const detect::ChannelLook& look, const std::string& swaps) {
  Finding f{
      .area = "coherence",
      .severity = Severity::fault,
      .what = fmt::format("the signal at {} is no wave of this array", mhz(look.frequency_hz))};
  f.to_do = swaps.empty() ? "look at the elements' order and places; then calibrate"
                          : "it would fit if " + swaps + " were swapped: look at the plugs";
  return f;
}

Finding two_waves(const detect::ChannelLook& look, array::SecondSource second) {
  const bool coherent = second == array::SecondSource::coherent;
  return {"coherence", Severity::advice,
          fmt::format("two waves at {}: {}", mhz(look.frequency_hz),
                      coherent ? "a reflection, or two elements swapped" : "two transmitters"),
          "check again on another channel, and with --transmitter"};
}

Finding judge_coherence(const detect::ChannelLook& look, array::AzimuthEstimator& estimator,
                        double misfit_limit_deg) {
  const array::SpatialCovariance covariance = iq::covariance_of(look);
  const array::Estimate e = estimator.estimate(covariance);
  if (e.refusal == array::EstimateRefusal::incoherent_element) {
    return {"coherence", Severity::fault,
            fmt::format("element {} shares no phase with the others (seen at {})", e.element + 1,
                        mhz(look.frequency_hz)),
            "its receiver has lost the common clock, or samples: look at the clock's cable"};
  }
  const bool refused = e.refusal == array::EstimateRefusal::poor_fit;
  if (!refused && !e.accepted()) {
    return unheard("coherence", fmt::format("the signal at {} says nothing: {}",
                                            mhz(look.frequency_hz), array::word(e.refusal)));
  }
  iq::ArrayWatch watch(misfit_limit_deg);
  const std::string swaps = iq::describe(watch.swaps(estimator, covariance, e, look.start));
  if (refused || !swaps.empty()) return misfit(look, swaps);
  if (e.second != array::SecondSource::none) return two_waves(look, e.second);
  if (e.misfit_deg > misfit_limit_deg) {
    return {"coherence", Severity::warning,
            fmt::format("the signal at {} fits badly: {:.0f} deg of phase left over",
                        mhz(look.frequency_hz), e.misfit_deg),
            "calibrate anew; if it stays, look for reflectors near the array"};
  }
  return {"coherence",
          Severity::ok,
          fmt::format("one wave at {} from {:.0f} deg, {:.1f} deg of phase left over",
                      mhz(look.frequency_hz), e.azimuth_deg, e.misfit_deg),
          "",
          {{"misfit_deg", e.misfit_deg}, {"snr_db", look.snr_db}}};
}

/// The order is right: what is left of the azimuth is the orientation's, or a reflection's.
Finding judge_azimuth(const KnownSignal& known, const array::SpatialCovariance& covariance,
                      array::AzimuthEstimator& estimator) {
  Finding f{.area = "order"};
  const array::Estimate e = estimator.estimate(covariance);
  if (!e.accepted()) {
    return unheard(
        "order", fmt::format("the known transmitter gives no azimuth: {}", array::word(e.refusal)));
  }
  const double error_deg = wrap_180(e.azimuth_deg - known.line.azimuth_deg);
  f.what = fmt::format("known transmitter at {:.1f} deg, heard from {:.1f}: {:+.1f} deg",
                       known.line.azimuth_deg, e.azimuth_deg, error_deg);
  f.figures = {{"azimuth_error_deg", error_deg}, {"azimuth_sigma_deg", e.sigma_deg}};
  // Three sigma, and never so strict that a floor of half a degree is called wrong.
  if (std::abs(error_deg) <= std::max(3.0 * e.sigma_deg, 1.0)) return f;
  f.severity = Severity::warning;
  f.to_do = fmt::format(
      "add {:+.1f} deg to the array's orientation_deg, unless a reflection did it", -error_deg);
  return f;
}

Finding judge_mistake(const array::OrderVerdict& verdict, bool calibrated) {
  Finding f{.area = "order",
            .severity = Severity::fault,
            .what = array::describe(verdict.likeliest),
            .figures = {{"misfit_deg", verdict.likeliest.misfit_deg},
                        {"turn_deg", verdict.likeliest.turn_deg}}};
  if (verdict.likeliest.mistake == array::ArrayMistake::unknown) {
    f.severity = calibrated ? Severity::fault : Severity::advice;
    f.to_do = calibrated
                  ? "look at the array's measures and the transmitter's place; then calibrate"
                  : "calibrate with a common reference signal first, then check again";
    return f;
  }
  std::string others;
  for (const array::ArrayExplanation& e : verdict.equals) {
    // Two mistakes at once, where one would do, are not worth a line.
    if (e.turn_deg == 0.0) others += (others.empty() ? "" : "; ") + array::describe(e);
  }
  f.to_do = others.empty() ? "mend it at the plugs or in the configuration, unless the "
                             "transmitter stands elsewhere; check again"
                           : "or: " + others + ". A transmitter elsewhere tells them apart";
  return f;
}

}  // namespace

Result<KnownTransmitter> parse_transmitter(std::string_view text) {
  std::array<double, 3> value{};
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  for (std::size_t i = 0; i < value.size(); ++i) {
    const auto [rest, failed] = std::from_chars(at, end, value[i]);
    const bool ends_well = i + 1 < value.size() ? rest != end && *rest == ',' : rest == end;
    if (failed != std::errc{} || !ends_well) {
      return Error{fmt::format("--transmitter {}: must be LAT,LON,FREQ_HZ, three numbers", text)};
    }
    at = rest + 1;
  }
  const auto [latitude, longitude, frequency] = value;
  const bool placed = std::abs(latitude) <= 90.0 && std::abs(longitude) <= 180.0;
  if (!placed || !(frequency > 0.0 && frequency <= 3e11)) {
    return Error{
        fmt::format("--transmitter {}: latitude -90 to 90 and longitude -180 to 180 "
                    "degrees, frequency above 0 to 3e11 Hz",
                    text)};
  }
  return KnownTransmitter{{latitude, longitude}, frequency};
}

TrueLine line_to(const GeoPoint& station, const GeoPoint& transmitter) {
  double back_deg = 0.0;
  TrueLine line;
  GeographicLib::Geodesic::WGS84().Inverse(station.latitude_deg, station.longitude_deg,
                                           transmitter.latitude_deg, transmitter.longitude_deg,
                                           line.range_m, line.azimuth_deg, back_deg);
  line.azimuth_deg = wrap_360(line.azimuth_deg);
  return line;
}

Finding check_coherence(const Survey& survey, const array::Manifold& manifold,
                        const iq::IqSourceConfig& config) {
  const detect::ChannelLook* look = strongest(survey);
  if (survey.channels.empty()) {
    return {"coherence", Severity::advice, "no watched channel lies in the sampled band",
            "list some in [[source.iq.channel]], or tune elsewhere"};
  }
  if (look == nullptr) {
    return unheard("coherence", fmt::format("nothing heard on {} channels: it can't be seen",
                                            survey.channels.size()));
  }
  if (look->faulty_elements != 0) return broken_first("coherence");
  array::AzimuthEstimator estimator = estimator_for(manifold, config.estimator);
  return judge_coherence(*look, estimator, config.misfit_limit_deg);
}

Finding check_order(const std::optional<KnownSignal>& known, const array::Manifold& manifold,
                    array::EstimatorRules rules) {
  if (!known) {
    return {"order", Severity::not_applicable,
            "elements' order and orientation: no known transmitter given",
            "check with --transmitter LAT,LON,FREQ_HZ, one in clear sight"};
  }
  if (known->line.range_m < kNear_m) {
    return {"order", Severity::advice,
            fmt::format("the known transmitter is {:.0f} m away: too near", known->line.range_m),
            fmt::format("take one at {:.0f} m or more", kNear_m)};
  }
  if (known->look == nullptr) return unheard("order", "the known transmitter is not heard");
  if (known->look->faulty_elements != 0) return broken_first("order");
  if (known->look->snr_db < kEnoughSnr_db) {
    return unheard("order", fmt::format("the known transmitter is weak: {:.0f} dB over the noise",
                                        known->look->snr_db));
  }
  const array::SpatialCovariance covariance = iq::covariance_of(*known->look);
  const array::EstimateRefusal refusal =
      array::input_refusal(covariance, manifold.elements(), rules.min_snapshots);
  if (refusal != array::EstimateRefusal::none) {
    return unheard("order", fmt::format("the known transmitter's samples say nothing: {}",
                                        array::word(refusal)));
  }
  const array::OrderVerdict verdict =
      array::explain_order(manifold, {{covariance, known->line.azimuth_deg}});
  if (verdict.likeliest.mistake != array::ArrayMistake::none) {
    return judge_mistake(verdict, !manifold.calibration().elements.empty());
  }
  array::AzimuthEstimator estimator = estimator_for(manifold, rules);
  return judge_azimuth(*known, covariance, estimator);
}

}  // namespace fixwright::agent::check
