#pragma once
/// The wire contract as sorted lines of text, one a promise, so that a snapshot can be read and
/// a broken promise be named.

#include <google/protobuf/descriptor.pb.h>

#include <set>
#include <string>
#include <vector>

namespace fixwright::lint {

/// For example
///     field fixwright.station.v1.Bearing.channel_id = 6 optional int64
///     value fixwright.station.v1.ClockState.CLOCK_STATE_HOLDOVER = 2
///     rpc fixwright.station.v1.StationService.Stream (stream ….StationMessage) returns (…)
std::set<std::string> contract_lines(const google::protobuf::FileDescriptorSet& files);

/// Lines of the snapshot that the contract keeps no more: something was lost, renumbered,
/// retyped or renamed.
std::vector<std::string> broken_promises(const std::set<std::string>& snapshot,
                                         const google::protobuf::FileDescriptorSet& files);

/// Lines of the contract that the snapshot does not have yet: append them.
std::vector<std::string> new_promises(const std::set<std::string>& snapshot,
                                      const google::protobuf::FileDescriptorSet& files);

/// Full names of fields without a comment above or beside them.
/// \pre the set was made with --include_source_info.
std::vector<std::string> uncommented_fields(const google::protobuf::FileDescriptorSet& files);

}  // namespace fixwright::lint
