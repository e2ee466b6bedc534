#pragma once
/// What the page needs of the rest of the server; `app` implements it over the store.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/model/feature.hpp"
#include "server/model/views.hpp"

namespace fixwright::web {

/// Destroying it ends the subscription; no call comes after that.
class Subscription {
 public:
  Subscription() = default;
  Subscription(const Subscription&) = delete;
  Subscription& operator=(const Subscription&) = delete;
  virtual ~Subscription() = default;
};

/// A paper about one emitter.
enum class Paper {
  report,    // what is known of it, of the last seven days
  handover,  // for whoever goes and looks
};

/// Called from several threads at once, never from the writer's. A call throws
/// std::exception when the database is away: the page is answered 503.
class PagePort {
 public:
  PagePort() = default;
  PagePort(const PagePort&) = delete;
  PagePort& operator=(const PagePort&) = delete;
  virtual ~PagePort() = default;

  /// In the order that EmitterFilter names.
  virtual std::vector<EmitterView> emitters(const EmitterFilter& filter) = 0;
  virtual std::optional<EmitterView> emitter(EmitterKey key) = 0;
  /// The emitter's fixes, newest first.
  virtual std::vector<FixView> fixes(EmitterKey key, std::size_t limit) = 0;
  virtual std::vector<AlertView> open_alerts() = 0;
  /// Acknowledged or not, newest first.
  virtual std::vector<AlertView> recent_alerts(std::size_t limit) = 0;
  virtual std::vector<StationView> stations() = 0;
  /// The last bearings admitted on any channel, newest first.
  virtual std::vector<Bearing> recent_bearings(std::size_t limit) = 0;
  /// The map layers that GIS clients may read; they never change.
  virtual std::vector<Layer> layers() = 0;
  /// \param layer  name of one of them.
  virtual FeaturePage features(std::string_view layer, const FeatureFilter& filter) = 0;
  /// As HTML that needs nothing else; nothing when there is no such emitter, or it has no place to
  /// go to.
  virtual std::optional<std::string> paper(Paper kind, EmitterKey key) = 0;
  /// Can the database be asked right now? Decides /readyz.
  virtual bool database_ready() = 0;

  /// `each` is called from the writer's thread for every stored change; it is quick and does
  /// not throw.
  virtual std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) = 0;
  virtual std::unique_ptr<Subscription> watch_alerts(
      std::function<void(const AlertView&)> each) = 0;
};

}  // namespace fixwright::web
