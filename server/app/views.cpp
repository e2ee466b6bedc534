#include "server/app/views.hpp"

#include <algorithm>
#include <exception>

#include "server/base/clock.hpp"
#include "server/report/emitter_report.hpp"
#include "server/report/handover_sheet.hpp"
#include "server/store/evidence.hpp"
#include "server/store/layers.hpp"

namespace fixwright::app {

namespace {

constexpr int kMostSeconds = 10;  // for a layer: whoever asks for more waits for nothing

constexpr std::chrono::hours kReported{7 * 24};
constexpr auto kWriter = "the server's page";

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

std::optional<std::string> PageViews::paper(web::Paper kind, EmitterKey key) {
  const bool whole = kind == web::Paper::report;
  const TimePoint now = SystemClock{}.now();
  const auto evidence = store::read_evidence(
      sources_.database,
      {key, whole ? now - kReported : now, now, whole ? store::EvidenceOrder{}.most_bearings : 0});
  if (!evidence) return std::nullopt;
  if (whole) return report::emitter_report(*evidence, {"", kWriter, now});
  if (evidence->region.empty()) return std::nullopt;
  return report::handover_sheet(*evidence, {now, kWriter, "", sources_.roads});
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
