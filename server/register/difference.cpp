#include "server/register/difference.hpp"

#include <fmt/core.h>

#include <unordered_map>
#include <unordered_set>

namespace fixwright::register_ {

namespace {

std::string time_text(const std::optional<TimePoint>& t) {
  return t ? format_rfc3339(*t, 0) : "none";
}

std::string number_text(const std::optional<double>& value) {
  return value ? fmt::format("{:.12g}", *value) : "none";
}

/// Gathers what differs, one after the other.
class ChangeText {
 public:
  void add(std::string_view name, const std::string& before, const std::string& after) {
    if (before == after) return;
    text_ += fmt::format("{}{} {} -> {}", text_.empty() ? "" : "; ", name,
                         before.empty() ? "none" : before, after.empty() ? "none" : after);
  }
  void add(std::string_view name, std::optional<double> before, std::optional<double> after) {
    add(name, number_text(before), number_text(after));
  }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  std::string text_;
};

}  // namespace

RegisterDifference difference(const std::vector<Licence>& before, const std::vector<Licence>& after,
                              const std::set<std::string>& kept) {
  std::unordered_map<std::string_view, const Licence*> old_by_id;
  for (const Licence& l : before) old_by_id.emplace(l.id, &l);
  std::unordered_set<std::string_view> there;
  RegisterDifference d;
  for (const Licence& l : after) {
    there.insert(l.id);
    const auto old = old_by_id.find(l.id);
    if (old == old_by_id.end()) {
      d.added.push_back(l);
    } else if (*old->second == l) {
      ++d.unchanged;
    } else {
      d.changed.push_back({*old->second, l});
    }
  }
  for (const Licence& l : before) {
    if (there.contains(l.id)) continue;
    if (kept.contains(l.id)) {
      ++d.unchanged;
    } else {
      d.ended.push_back(l);
    }
  }
  return d;
}

bool ends_too_many(const RegisterDifference& difference) {
  constexpr std::size_t kFew = 20;
  const std::size_t before =
      difference.ended.size() + difference.changed.size() + difference.unchanged;
  return before >= kFew && difference.ended.size() * 5 >= before;
}

std::string change_text(const Licence& before, const Licence& after) {
  ChangeText text;
  text.add("holder", before.holder, after.holder);
  text.add("service", before.service, after.service);
  text.add("latitude", before.position.latitude_deg, after.position.latitude_deg);
  text.add("longitude", before.position.longitude_deg, after.position.longitude_deg);
  text.add("position_sigma_m", before.position_sigma_m, after.position_sigma_m);
  text.add("frequency_hz", before.frequency_hz, after.frequency_hz);
  text.add("bandwidth_hz", before.bandwidth_hz, after.bandwidth_hz);
  text.add("power_w", before.power_w, after.power_w);
  text.add("emission", before.emission, after.emission);
  text.add("valid_from", time_text(before.valid_from), time_text(after.valid_from));
  text.add("valid_until", time_text(before.valid_until), time_text(after.valid_until));
  return text.text();
}

}  // namespace fixwright::register_
