#pragma once
/// A channel's emitters as bytes, so that they outlive the program, and back.

#include <string>
#include <string_view>

#include "server/base/result.hpp"
#include "server/track/emitter_record.hpp"

namespace fixwright::track {

/// All of it: what is read back goes on bit for bit as if it had never been away. Some 4 kB an
/// emitter.
std::string write_memory(ChannelTracks tracks);

/// \return the emitters, or a few words on why the bytes can't be used: written by a program that
/// remembers other things of an emitter, or damaged.
Result<ChannelTracks> read_memory(std::string_view bytes);

}  // namespace fixwright::track
