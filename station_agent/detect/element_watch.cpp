#include "station_agent/detect/element_watch.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

namespace fixwright::agent::detect {
namespace {

constexpr Duration kOver = std::chrono::seconds{1};
constexpr std::size_t kDeafLooks = 3;
constexpr double kStrong = 30.0;       // times the noise: 15 dB
constexpr double kSilence_db = 200.0;  // told of what has no power at all

double db_below(double value, double reference) {
  if (!(value > 0.0)) {
    return reference > 0.0 ? kSilence_db : 0.0;
  }
  return std::min(kSilence_db, 10.0 * std::log10(reference / value));
}

}  // namespace

ElementWatch::ElementWatch(std::size_t elements, const DetectionRules& rules)
    : elements_(elements),
      rules_(rules),
      conditions_(elements),
      deaf_looks_(elements),
      sorted_(elements),
      signal_(elements) {}

ElementWatch::Condition& ElementWatch::condition(NoticeKind kind, std::size_t e) {
  return conditions_[e][static_cast<std::size_t>(kind)];
}

void ElementWatch::update(NoticeKind kind, std::size_t e, bool bad, TimePoint at, double value,
                          std::vector<Notice>& out) {
  Condition& c = condition(kind, e);
  if (bad) {
    c.seen = at;
  }
  const bool on = bad || (c.on && at - c.seen < kOver);
  if (on != c.on) {
    c.on = on;
    out.push_back({kind, on, at, e, value});
  }
  const auto& all = conditions_[e];
  const bool faulty = all[0].on || all[1].on || all[2].on;
  faulty_ = (faulty_ & ~(1U << e)) | (faulty ? 1U << e : 0U);
}

void ElementWatch::samples(std::size_t e, std::span<const std::complex<float>> fresh, TimePoint at,
                           std::vector<Notice>& out) {
  const std::complex<float> first = fresh.front();
  // Noise ends this at the second sample.
  const bool constant =
      std::all_of(fresh.begin(), fresh.end(), [&](std::complex<float> x) { return x == first; });
  const bool zero = first == std::complex<float>{};
  update(NoticeKind::stuck, e, constant && !zero, at, static_cast<double>(fresh.size()), out);
  update(NoticeKind::dead, e, constant && zero, at, kSilence_db, out);
}

double ElementWatch::median_of_others(std::span<const double> values, std::size_t e) {
  std::size_t count = 0;
  for (std::size_t i = 0; i < elements_; ++i) {
    if (i != e && (faulty_ >> i & 1U) == 0) {
      sorted_[count++] = values[i];
    }
  }
  if (count == 0) {
    return 0.0;
  }
  const auto middle = sorted_.begin() + static_cast<std::ptrdiff_t>(count / 2);
  std::nth_element(sorted_.begin(), middle, sorted_.begin() + static_cast<std::ptrdiff_t>(count));
  return *middle;
}

void ElementWatch::noise(std::span<const double> power, TimePoint at, std::vector<Notice>& out) {
  for (std::size_t e = 0; e < elements_; ++e) {
    const double below_db = db_below(power[e], median_of_others(power, e));
    if (!condition(NoticeKind::stuck, e).on) {
      update(NoticeKind::dead, e, below_db >= rules_.dead_db, at, below_db, out);
    }
  }
}

bool ElementWatch::clipped(std::span<const std::uint32_t> counts, std::size_t frames, TimePoint at,
                           std::vector<Notice>& out) {
  bool any = false;
  for (std::size_t e = 0; e < std::min(elements_, counts.size()); ++e) {
    const double share = static_cast<double>(counts[e]) / static_cast<double>(frames);
    const bool bad = share > rules_.overload_share;
    update(NoticeKind::overload, e, bad, at, share, out);
    any = any || bad;
  }
  return any;
}

void ElementWatch::look(const ChannelLook& look, std::vector<Notice>& out) {
  for (std::size_t e = 0; e < elements_; ++e) {
    const auto i = static_cast<Eigen::Index>(e);
    signal_[e] = std::max(0.0, look.covariance(i, i).real() - look.noise_power(i));
  }
  for (std::size_t e = 0; e < elements_; ++e) {
    const auto i = static_cast<Eigen::Index>(e);
    const double others = median_of_others(signal_, e);
    if (others < kStrong * look.noise_power(i) || condition(NoticeKind::dead, e).on ||
        condition(NoticeKind::stuck, e).on) {
      continue;
    }
    const double below_db = db_below(signal_[e], others);
    deaf_looks_[e] = below_db >= rules_.deaf_db ? deaf_looks_[e] + 1 : 0;
    update(NoticeKind::deaf, e, deaf_looks_[e] >= kDeafLooks, look.start + look.integration,
           below_db, out);
  }
}

}  // namespace fixwright::agent::detect
