#pragma once
/// A port whose answers a test sets, with four stations of Osmere and emitters made to order.

#include <functional>
#include <map>
#include <mutex>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "server/web/http/page_port.hpp"

namespace fixwright::web {

class FakePagePort : public PagePort {
 public:
  std::vector<EmitterView> emitters(const EmitterFilter& filter) override;
  std::optional<EmitterView> emitter(EmitterKey key) override;
  std::vector<FixView> fixes(EmitterKey key, std::size_t limit) override;
  std::vector<AlertView> open_alerts() override;
  std::vector<AlertView> recent_alerts(std::size_t limit) override;
  std::vector<StationView> stations() override;
  std::vector<Bearing> recent_bearings(std::size_t limit) override;
  std::vector<Layer> layers() override;
  /// One layer, "emitters", of as many points as were added: the filter's limit and offset count.
  FeaturePage features(std::string_view layer, const FeatureFilter& filter) override;
  std::optional<std::string> paper(Paper kind, EmitterKey key) override;
  bool database_ready() override;
  std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) override;
  std::unique_ptr<Subscription> watch_alerts(std::function<void(const AlertView&)> each) override;

  void lose_database(bool lost);
  void add(const FixView& fix);
  void add_feature(std::string geojson);
  [[nodiscard]] FeatureFilter last_feature_filter() const;
  /// Stores the emitter and tells who watches.
  void store(const EmitterView& view);
  void store(const AlertView& view);
  void store(const Bearing& bearing);
  [[nodiscard]] std::size_t watchers() const;
  /// The filter of the last call of emitters().
  [[nodiscard]] EmitterFilter last_filter() const;

 private:
  class Watch;
  void need_database() const;

  mutable std::mutex mutex_;
  bool lost_ = false;
  EmitterFilter last_filter_;
  std::map<EmitterKey, EmitterView> emitters_;
  std::vector<FixView> fixes_;
  std::vector<AlertView> alerts_;
  std::vector<Bearing> bearings_;
  std::vector<std::string> features_;
  FeatureFilter last_feature_filter_;
  std::map<int, std::function<void(const EmitterView&)>> emitter_watchers_;
  std::map<int, std::function<void(const AlertView&)>> alert_watchers_;
  int next_watch_ = 0;
};

/// LANTERN-HEAD 1, MOSS-RIDGE 2, QUILL-POINT 3, HARROW-HILL 4.
std::vector<StationView> osmere_stations();

/// A confirmed emitter on 433.92 MHz near the middle of Osmere, heard by stations 1 to 3, with
/// an ellipse of 420 by 180 m, long axis at 30 degrees.
EmitterView osmere_emitter(ChannelId channel = 12, std::int64_t id = 1'893'456'000'000'000'123);

AlertView osmere_alert(const std::string& id);

}  // namespace fixwright::web
