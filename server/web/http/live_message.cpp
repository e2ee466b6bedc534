#include "server/web/http/live_message.hpp"

#include <algorithm>
#include <exception>
#include <nlohmann/json.hpp>
#include <utility>

#include "server/base/log.hpp"
#include "server/web/http/view_json.hpp"

namespace fixwright::web {

namespace {
LiveText text(const nlohmann::json& json) {
  return std::make_shared<const std::string>(json_text(json));
}
}  // namespace

LiveText hello_message() { return text({{"type", "hello"}}); }
LiveText reload_message() { return text({{"type", "reload"}}); }

void LiveWriter::learn_names(const Changes& changes) {
  const auto known = [this](StationId id) { return names_.knows(id); };
  const auto all_known = [&](const EmitterView& view) {
    return std::all_of(view.emitter.stations.begin(), view.emitter.stations.end(), known);
  };
  const auto alert_known = [&](const AlertView& view) {
    return !view.alert.station || known(*view.alert.station);
  };
  if (std::all_of(changes.emitters.begin(), changes.emitters.end(), all_known) &&
      std::all_of(changes.alerts.begin(), changes.alerts.end(), alert_known)) {
    return;
  }
  try {
    names_ = StationNames{port_.stations()};
  } catch (const std::exception& away) {
    log::warn("web: live: station names can't be read: {}", away.what());
  }
}

LiveText LiveWriter::write(const Changes& changes) {
  if (changes.overflowed) return reload_message();
  learn_names(changes);
  nlohmann::json emitters = nlohmann::json::array();
  for (const EmitterView& view : changes.emitters) emitters.push_back(emitter_json(view, names_));
  nlohmann::json alerts = nlohmann::json::array();
  for (const AlertView& view : changes.alerts) alerts.push_back(alert_json(view, names_));
  return text(
      {{"type", "changes"}, {"emitters", std::move(emitters)}, {"alerts", std::move(alerts)}});
}

}  // namespace fixwright::web
