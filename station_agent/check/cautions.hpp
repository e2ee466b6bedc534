#pragma once
/// What a host must know before climbing, driving, listening or publishing.

#include <array>
#include <string_view>

namespace fixwright::agent::check {

/// One line each, at most 78 characters.
inline constexpr std::array<std::string_view, 6> kCautions{
    "Height: on masts and roofs only secured, never alone, never in wind or ice.",
    "Power lines: mast, antenna and guys a fall's length away from every one.",
    "Lightning: bond and earth the mast; in a storm touch neither it nor cables.",
    "Exposure: keep away from transmitting antennas; strong fields burn unseen.",
    "Driving: a passenger operates. Private land: ask first.",
    "Law: listening, decoding or publishing is regulated in many places: follow it.",
};

}  // namespace fixwright::agent::check
