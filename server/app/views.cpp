#include "server/app/views.hpp"

#include <algorithm>
#include <exception>

#include "server/store/layers.hpp"

namespace fixwright::app {

namespace {

constexpr int kMostSeconds = 10;  // for a layer: whoever asks for more waits for nothing

}  // namespace

void RecentBearings::add(const std::vector<Bearing>& stored) {
  const std::lock_guard lock(mutex_);
  for (const Bearing& bearing : stored) bearings_.push_front(bearing);
  if (bearings_.size() > kKept) bearings_.resize(kKept);
}

std::vector<Bearing> RecentBearings::newest(std::size_t limit) const {
  const std::lock_guard lock(mutex_);
  const auto count = static_cast<std::ptrdiff_t>(std::min(limit, bearings_.size()));
  return {bearings_.begin(), bearings_.begin() + count};
}

std::vector<Bearing> PageViews::recent_bearings(std::size_t limit) {
  return sources_.recent.newest(limit);
}

std::vector<Layer> PageViews::layers() { return store::layers(); }

FeaturePage PageViews::features(std::string_view layer, const FeatureFilter& filter) {
  return store::read_features(sources_.database, layer, filter, kMostSeconds);
}

bool PageViews::database_ready() {
  try {
    sources_.database.ping();
    return true;
  } catch (const std::exception&) {
    return false;
  }
}

}  // namespace fixwright::app
