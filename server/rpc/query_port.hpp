#pragma once
/// What the query service needs of the rest of the server; `app` implements it over the store.

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "server/model/views.hpp"

namespace fixwright::rpc {

/// Destroying it ends the subscription; no call comes after that.
class Subscription {
 public:
  Subscription() = default;
  Subscription(const Subscription&) = delete;
  Subscription& operator=(const Subscription&) = delete;
  virtual ~Subscription() = default;
};

/// Calls throw std::exception when the database is away: the service answers UNAVAILABLE.
class QueryPort {
 public:
  QueryPort() = default;
  QueryPort(const QueryPort&) = delete;
  QueryPort& operator=(const QueryPort&) = delete;
  virtual ~QueryPort() = default;

  virtual std::vector<EmitterView> emitters(const EmitterFilter& filter) = 0;
  virtual std::optional<EmitterView> emitter(EmitterKey key) = 0;
  virtual std::vector<FixView> fixes(EmitterKey key, std::size_t limit) = 0;
  virtual std::vector<AlertView> open_alerts() = 0;
  virtual std::vector<StationView> stations() = 0;

  /// `each` is called from the writer's thread for every stored change; it must be quick.
  virtual std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) = 0;
  virtual std::unique_ptr<Subscription> watch_alerts(
      std::function<void(const AlertView&)> each) = 0;
};

}  // namespace fixwright::rpc
