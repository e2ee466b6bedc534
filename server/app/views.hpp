#pragma once
/// Answers the query service and the page, which ask much the same things, from the store and
/// from what is known right now.

#include <deque>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

#include "server/app/hub.hpp"
#include "server/app/station_board.hpp"
#include "server/report/roads.hpp"
#include "server/rpc/query_port.hpp"
#include "server/store/reader.hpp"
#include "server/web/http/page_port.hpp"

namespace fixwright::app {

/// The last bearings admitted, newest first. Safe from any thread.
class RecentBearings {
 public:
  void add(const std::vector<Bearing>& stored);
  [[nodiscard]] std::vector<Bearing> newest(std::size_t limit) const;

 private:
  static constexpr std::size_t kKept = 2000;
  mutable std::mutex mutex_;
  std::deque<Bearing> bearings_;
};

/// What both ports are answered from.
struct ViewSources {
  store::Database& database;
  const StationBoard& board;
  const RecentBearings& recent;
  Hub<EmitterView>& emitters;
  Hub<AlertView>& alerts;
  std::vector<report::Road> roads = {};  // of the basemap
};

/// The part that is the same for both ports, each with a Subscription type of its own.
template <typename Port, typename Subscription>
class Views : public Port {
 public:
  explicit Views(ViewSources sources) : sources_(sources), reader_(sources.database) {}

  std::vector<EmitterView> emitters(const EmitterFilter& filter) override {
    return reader_.emitters(filter);
  }
  std::optional<EmitterView> emitter(EmitterKey key) override { return reader_.emitter(key); }
  std::vector<FixView> fixes(EmitterKey key, std::size_t limit) override {
    return reader_.fixes(key, limit);
  }
  std::vector<AlertView> open_alerts() override { return reader_.open_alerts(); }
  std::vector<StationView> stations() override { return sources_.board.views(); }

  std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) override {
    return std::make_unique<HubSubscription<EmitterView, Subscription>>(sources_.emitters,
                                                                        std::move(each));
  }
  std::unique_ptr<Subscription> watch_alerts(std::function<void(const AlertView&)> each) override {
    return std::make_unique<HubSubscription<AlertView, Subscription>>(sources_.alerts,
                                                                      std::move(each));
  }

 protected:
  ViewSources sources_;

 private:
  store::Reader reader_;
};

using QueryViews = Views<rpc::QueryPort, rpc::Subscription>;

class PageViews final : public Views<web::PagePort, web::Subscription> {
 public:
  using Views::Views;
  std::vector<AlertView> recent_alerts(std::size_t limit) override {
    return store::Reader(sources_.database).recent_alerts(limit);
  }
  std::vector<Bearing> recent_bearings(std::size_t limit) override;
  std::vector<Layer> layers() override;
  FeaturePage features(std::string_view layer, const FeatureFilter& filter) override;
  std::optional<std::string> paper(web::Paper kind, EmitterKey key) override;
  bool database_ready() override;
};

}  // namespace fixwright::app
