#pragma once
/// From a log of bearings to what `calibrate` takes.

#include <string>
#include <vector>

#include "server/calibrate/joint_bias.hpp"
#include "server/calibrate/reference_bias.hpp"
#include "server/tools/reference_csv.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools {

/// Bearings of each station at the reference on their frequency: the nearest within the
/// tolerance. By station, rising; stations without any are left out.
std::vector<std::vector<calibrate::ReferenceBearing>> reference_bearings(
    const std::vector<Bearing>& bearings, const std::vector<ReferenceTransmitter>& references,
    double frequency_tolerance_hz);

struct JointInput {
  std::vector<calibrate::JointEmitter> emitters;
  std::vector<calibrate::JointObservation> observations;
  std::vector<std::string> left_out;  // one line a frequency or station mean that takes no part
};

/// Every frequency of the log is one emitter that stood still all the time; a reference's place is
/// known, the others start from a cross-fix whose sigmas allow for the unknown biases. A station's
/// mean is the median of its bearings; stations that moved take no part.
/// \param site_sigma_deg  what no number of bearings averages away, over 0.
JointInput joint_input(const std::vector<Bearing>& bearings,
                       const std::vector<ReferenceTransmitter>& references,
                       const TransmissionRules& transmissions, double site_sigma_deg,
                       double prior_sigma_deg);

}  // namespace fixwright::tools
