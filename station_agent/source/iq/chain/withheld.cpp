#include "station_agent/source/iq/chain/withheld.hpp"

#include <fmt/core.h>

namespace fixwright::agent::iq {

namespace {

std::string faulty_list(std::uint32_t faulty) {
  std::string list;
  for (int e = 0; e < 32; ++e) {
    if (((faulty >> static_cast<unsigned>(e)) & 1U) == 0) continue;
    list += fmt::format("{}{}", list.empty() ? "" : ", ", e + 1);
  }
  return list;
}

std::string advice(const array::Estimate& estimate) {
  switch (estimate.refusal) {
    case array::EstimateRefusal::dead_element:
      return fmt::format("element {} is silent: look at its antenna, cable and receiver",
                         estimate.element + 1);
    case array::EstimateRefusal::incoherent_element:
      return fmt::format(
          "element {} shares no phase with the others: has its receiver lost the common clock, or "
          "samples?",
          estimate.element + 1);
    case array::EstimateRefusal::uncalibrated:
      return fmt::format("the array's calibration is {}: calibrate, or set allow_uncalibrated",
                         array::word(estimate.calibration));
    case array::EstimateRefusal::poor_fit:
      return "what arrives is no wave of this array: look at the elements' order and places, and "
             "calibrate";
    default:
      return "this should not be: please report it";
  }
}

}  // namespace

Withheld why_withheld(const detect::ChannelLook& look, const array::Estimate& estimate) {
  if (look.faulty_elements != 0) {
    const std::string list = faulty_list(look.faulty_elements);
    return {
        "faulty " + list,
        fmt::format("faulty element {} [faulty_element]: bearings wait until it is mended", list)};
  }
  if (estimate.refusal == array::EstimateRefusal::no_signal ||
      estimate.refusal == array::EstimateRefusal::too_few_snapshots) {
    return {};
  }
  return {fmt::format("{} {}", array::word(estimate.refusal), estimate.element),
          fmt::format("{} [{}]", advice(estimate), array::word(estimate.refusal))};
}

Withheld withheld_for_order(const std::vector<ElementPair>& swaps) {
  return {"order", fmt::format("what arrives is no wave of this array, and would be one with {} "
                               "swapped [element_order]: look at the plugs",
                               describe(swaps))};
}

}  // namespace fixwright::agent::iq
