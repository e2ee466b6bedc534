#pragma once
/// What the query service answers with, from the model.

#include <map>
#include <string>
#include <vector>

#include "fixwright/query/v1/query.pb.h"
#include "server/model/views.hpp"

namespace fixwright::rpc {

namespace query_v1 = fixwright::query::v1;

/// Names of stations by id. One that is not known reads "station 7": never nothing.
class StationNames {
 public:
  StationNames() = default;
  explicit StationNames(const std::vector<StationView>& stations);
  [[nodiscard]] std::string of(StationId id) const;

 private:
  std::map<StationId, std::string> names_;
};

query_v1::Emitter to_proto(const EmitterView& view, const StationNames& names);
query_v1::Fix to_proto(const FixView& view, const StationNames& names);
query_v1::Alert to_proto(const AlertView& view, const StationNames& names);
query_v1::Station to_proto(const StationView& view);

}  // namespace fixwright::rpc
