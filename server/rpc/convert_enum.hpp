#pragma once
/// Enumerations of the query service between proto and model, one switch each: the compiler
/// names the enumerator that is forgotten.

#include <optional>

#include "fixwright/query/v1/query.pb.h"
#include "server/model/views.hpp"

namespace fixwright::rpc {

namespace query_v1 = fixwright::query::v1;

query_v1::EmitterState to_proto(EmitterState s);
query_v1::Motion to_proto(Motion m);
query_v1::RegisterVerdict to_proto(RegisterVerdict v);
query_v1::FixState to_proto(ResultState s);
query_v1::AlertSeverity to_proto(AlertSeverity s);

/// Nothing for unspecified, and for a number that this version does not know.
std::optional<EmitterState> from_proto(query_v1::EmitterState s);
std::optional<RegisterVerdict> from_proto(query_v1::RegisterVerdict v);

}  // namespace fixwright::rpc
