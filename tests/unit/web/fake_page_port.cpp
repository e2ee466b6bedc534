#include "tests/unit/web/fake_page_port.hpp"

#include <algorithm>

namespace fixwright::web {

class FakePagePort::Watch : public Subscription {
 public:
  Watch(FakePagePort& port, int number) : port_(port), number_(number) {}
  ~Watch() override {
    const std::lock_guard lock(port_.mutex_);
    port_.emitter_watchers_.erase(number_);
    port_.alert_watchers_.erase(number_);
  }

 private:
  FakePagePort& port_;
  int number_;
};

void FakePagePort::need_database() const {
  if (lost_) throw std::runtime_error("connection refused by db.secret.example");
}

std::vector<EmitterView> FakePagePort::emitters(const EmitterFilter& filter) {
  const std::lock_guard lock(mutex_);
  need_database();
  last_filter_ = filter;
  std::vector<EmitterView> out;
  for (const auto& [key, view] : emitters_) {
    if (out.size() < filter.limit) out.push_back(view);
  }
  return out;
}

std::optional<EmitterView> FakePagePort::emitter(EmitterKey key) {
  const std::lock_guard lock(mutex_);
  need_database();
  const auto it = emitters_.find(key);
  return it == emitters_.end() ? std::nullopt : std::optional(it->second);
}

std::vector<FixView> FakePagePort::fixes(EmitterKey key, std::size_t limit) {
  const std::lock_guard lock(mutex_);
  need_database();
  std::vector<FixView> out;
  for (const FixView& view : fixes_) {
    if (view.fix.emitter == key && out.size() < limit) out.push_back(view);
  }
  return out;
}

std::vector<AlertView> FakePagePort::open_alerts() {
  const std::lock_guard lock(mutex_);
  need_database();
  return alerts_;
}

std::vector<AlertView> FakePagePort::recent_alerts(std::size_t limit) {
  auto alerts = open_alerts();
  if (alerts.size() > limit) alerts.resize(limit);
  return alerts;
}

std::vector<StationView> FakePagePort::stations() {
  const std::lock_guard lock(mutex_);
  need_database();
  return osmere_stations();
}

std::vector<Bearing> FakePagePort::recent_bearings(std::size_t limit) {
  const std::lock_guard lock(mutex_);
  need_database();
  std::vector<Bearing> out(bearings_.rbegin(), bearings_.rend());
  if (out.size() > limit) out.resize(limit);
  return out;
}

std::vector<Layer> FakePagePort::layers() {
  return {{"emitters", "Emitters", "Where each emitter most likely is."}};
}

FeaturePage FakePagePort::features(std::string_view /*layer*/, const FeatureFilter& filter) {
  const std::lock_guard lock(mutex_);
  need_database();
  last_feature_filter_ = filter;
  FeaturePage page;
  page.matched = features_.size();
  for (std::size_t i = filter.offset; i < features_.size(); ++i) {
    if (page.features.size() < filter.limit) page.features.push_back(features_[i]);
  }
  return page;
}

std::optional<std::string> FakePagePort::paper(Paper kind, EmitterKey key) {
  if (!emitter(key)) return std::nullopt;
  return std::string("<!doctype html><title>") + (kind == Paper::report ? "report" : "handover") +
         "</title><p>on paper</p>";
}

void FakePagePort::add_feature(std::string geojson) {
  const std::lock_guard lock(mutex_);
  features_.push_back(std::move(geojson));
}

FeatureFilter FakePagePort::last_feature_filter() const {
  const std::lock_guard lock(mutex_);
  return last_feature_filter_;
}

bool FakePagePort::database_ready() {
  const std::lock_guard lock(mutex_);
  return !lost_;
}

std::unique_ptr<Subscription> FakePagePort::watch_emitters(
    std::function<void(const EmitterView&)> each) {
  const std::lock_guard lock(mutex_);
  emitter_watchers_[next_watch_] = std::move(each);
  return std::make_unique<Watch>(*this, next_watch_++);
}

std::unique_ptr<Subscription> FakePagePort::watch_alerts(
    std::function<void(const AlertView&)> each) {
  const std::lock_guard lock(mutex_);
  alert_watchers_[next_watch_] = std::move(each);
  return std::make_unique<Watch>(*this, next_watch_++);
}

void FakePagePort::lose_database(bool lost) {
  const std::lock_guard lock(mutex_);
  lost_ = lost;
}

void FakePagePort::add(const FixView& fix) {
  const std::lock_guard lock(mutex_);
  fixes_.insert(fixes_.begin(), fix);
}

void FakePagePort::store(const EmitterView& view) {
  const std::lock_guard lock(mutex_);
  emitters_.insert_or_assign(view.emitter.key, view);
  for (const auto& [number, each] : emitter_watchers_) each(view);
}

void FakePagePort::store(const AlertView& view) {
  const std::lock_guard lock(mutex_);
  alerts_.push_back(view);
  for (const auto& [number, each] : alert_watchers_) each(view);
}

void FakePagePort::store(const Bearing& bearing) {
  const std::lock_guard lock(mutex_);
  bearings_.push_back(bearing);
}

std::size_t FakePagePort::watchers() const {
  const std::lock_guard lock(mutex_);
  return emitter_watchers_.size() + alert_watchers_.size();
}

EmitterFilter FakePagePort::last_filter() const {
  const std::lock_guard lock(mutex_);
  return last_filter_;
}

namespace {
StationView station(StationId id, std::string name, double latitude_deg, double longitude_deg) {
  StationView view;
  view.station.id = id;
  view.station.name = std::move(name);
  view.station.position = {latitude_deg, longitude_deg};
  view.station.antenna_height_m = 18.0;
  view.connected = true;
  view.last_heartbeat = parse_rfc3339("2030-01-01T00:00:09Z").value();
  view.clock_error = std::chrono::milliseconds(2);
  view.bearings_admitted = 8812;
  view.agent_version = "0.1.0";
  return view;
}
}  // namespace

std::vector<StationView> osmere_stations() {
  return {station(1, "LANTERN-HEAD", 41.430, -150.450), station(2, "MOSS-RIDGE", 41.330, -150.020),
          station(3, "QUILL-POINT", 41.020, -150.120), station(4, "HARROW-HILL", 41.080, -150.560)};
}

EmitterView osmere_emitter(ChannelId channel, std::int64_t id) {
  EmitterView view;
  Emitter& e = view.emitter;
  e.key = {channel, id};
  e.state = EmitterState::confirmed;
  e.fix.grade = FixGrade::checked;
  e.fix.position = {41.21, -150.31};
  e.fix.ellipse = {420.0, 180.0, 30.0, 0.95};
  e.frequency_hz = 433.92e6;
  e.first_heard = parse_rfc3339("2030-01-01T00:00:00Z").value();
  e.last_heard = parse_rfc3339("2030-01-01T00:00:10.5Z").value();
  e.valid_at = e.last_heard;
  e.bearings = 33;
  e.looks = 11;
  e.stations = {1, 2, 3};
  RegisterMatch match;
  match.emitter = e.key;
  match.verdict = RegisterVerdict::unregistered;
  match.posterior = 0.97;
  view.match = match;
  return view;
}

AlertView osmere_alert(const std::string& id) {
  AlertView view;
  view.alert.id = id;
  view.alert.rule = "new_unregistered_emitter";
  view.alert.severity = AlertSeverity::warning;
  view.alert.raised_at = parse_rfc3339("2030-01-01T00:00:10Z").value();
  view.alert.emitter = EmitterKey{12, 1'893'456'000'000'000'123};
  view.alert.message = "433.920 MHz: heard by three stations, not found in the register";
  return view;
}

}  // namespace fixwright::web
