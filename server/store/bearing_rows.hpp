#pragma once
/// Rows of table `bearing`.

#include <functional>
#include <string>

#include "server/model/bearing.hpp"
#include "server/store/binary_row.hpp"
#include "server/store/pq.hpp"

namespace fixwright::store {

/// The COPY that takes what encode() makes.
extern const char* const kCopyBearings;

void encode(const Bearing& bearing, CopyBuffer& buffer);

/// Hands out, in EventOrder, the bearings that start in [from, to) on one UTC day or on one
/// channel. A fixed station's place is its registered one.
void each_of_day(PqConnection& connection, TimePoint from, TimePoint to,
                 const std::function<void(const Bearing&)>& each);
void each_of_channel(PqConnection& connection, ChannelId channel, TimePoint from, TimePoint to,
                     const std::function<void(const Bearing&)>& each);

}  // namespace fixwright::store
