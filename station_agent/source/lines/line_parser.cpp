#include "station_agent/source/lines/line_parser.hpp"

#include <fmt/core.h>

#include <cmath>
#include <limits>
#include <utility>

#include "server/base/angle.hpp"
#include "server/base/csv.hpp"
#include "server/base/text.hpp"
#include "station_agent/source/lines/line_time.hpp"

namespace fixwright::agent {

namespace {

constexpr double kAny = std::numeric_limits<double>::max();
constexpr double kTiny = std::numeric_limits<double>::denorm_min();  // > 0, whatever the size
constexpr double kMaxIntegration_s = 60.0;
constexpr double kMaxFrequency_hz = 3e11;
constexpr std::size_t kMaxLabelBytes = 64;
constexpr std::size_t kMaxAlternatives = 8;

struct Range {
  double min;
  double max;
  std::string_view rule;
};

/// Reads fields and keeps the first thing that is wrong with them.
class FieldReader {
 public:
  explicit FieldReader(const FieldTexts& texts) : texts_(texts) {}

  [[nodiscard]] const std::optional<std::string>& text(Field f) const {
    return texts_[index_of(f)];
  }

  /// value = raw * unit + offset, in range; absent where the line does not give it.
  std::optional<double> number(Field f, const Range& range, double unit = 1.0,
                               double offset = 0.0) {
    if (!text(f)) return std::nullopt;
    const auto raw = parse_number(*text(f));
    const double value = raw ? *raw * unit + offset : 0.0;
    if (raw && value >= range.min && value <= range.max) return value;
    complain(f, raw ? range.rule : "must be a number");
    return std::nullopt;
  }

  bool flag(Field f) {
    if (!text(f)) return false;
    const std::string& t = *text(f);
    if (t == "1" || t == "true" || t == "yes") return true;
    if (t != "0" && t != "false" && t != "no") complain(f, "must be 1, true, yes, 0, false or no");
    return false;
  }

  void complain(Field f, std::string_view rule) {
    if (error_) return;
    error_ = text(f) ? fmt::format("{} \"{}\": {}", name_of(f), one_line(*text(f), 40), rule)
                     : fmt::format("{}: {}", name_of(f), rule);
  }
  void fail(std::string message) {
    if (!error_) error_ = std::move(message);
  }
  [[nodiscard]] const std::optional<std::string>& error() const { return error_; }

 private:
  const FieldTexts& texts_;
  std::optional<std::string> error_;
};

void read_time(FieldReader& in, const TimeConvention& how, TimePoint arrival, SourceBearing& b) {
  const Range range{0.0, kMaxIntegration_s, "must be 0 to 60 s"};
  const auto integration = in.number(Field::integration, range, how.integration_unit_s);
  b.integration = from_seconds(integration.value_or(how.fixed_integration_s));
  if (how.format == TimeFormat::arrival) {
    b.start = arrival - b.integration;
    return;
  }
  if (!in.text(Field::time)) return in.complain(Field::time, "is missing");
  const auto time = parse_sender_time(*in.text(Field::time), how.format);
  if (!time) return in.fail(time.error());
  const Duration into = how.marks == TimeMark::start    ? Duration{0}
                        : how.marks == TimeMark::middle ? b.integration / 2
                                                        : b.integration;
  b.start = *time - into - from_seconds(how.ahead_s);
}

void read_azimuth(FieldReader& in, const AzimuthConvention& how, SourceBearing& b) {
  const double turn = 360.0 / how.unit_deg;
  const Range range{-0.5 * turn, turn, "must be -180 to 360 degrees"};
  const auto heading = in.number(Field::heading, {-180.0, 360.0, "must be -180 to 360 degrees"});
  const auto raw = in.number(Field::azimuth, range);
  if (!raw) return in.complain(Field::azimuth, "is missing");
  b.azimuth_deg = true_azimuth_deg(*raw, heading.value_or(0.0), how);
  b.from_heading = how.reference == AzimuthReference::heading;
}

void read_frequency(FieldReader& in, const FrequencyConvention& how, SourceBearing& b) {
  const Range range{kTiny, kMaxFrequency_hz, "must be more than 0 and at most 3e11 Hz"};
  const auto value = in.number(Field::frequency, range, how.unit_hz);
  if (!value && how.fixed_hz <= 0.0) return in.complain(Field::frequency, "is missing");
  b.frequency_hz = value.value_or(how.fixed_hz);
}

std::optional<double> sigma_of_quality(const std::string& quality, const SigmaConvention& how) {
  const auto number = parse_number(quality);
  for (const QualityStep& step : how.quality_steps) {
    const bool fits = step.at_least ? number && *number >= *step.at_least : quality == step.equals;
    if (fits) return step.sigma_deg;
  }
  return std::nullopt;
}

void read_sigma(FieldReader& in, const SigmaConvention& how, SourceBearing& b) {
  const Range range{kTiny, 90.0, "must be more than 0 and at most 90 degrees"};
  std::optional<double> sigma = in.number(Field::sigma, range, how.unit_deg * how.scale);
  const auto& quality = in.text(Field::quality);
  if (!sigma && quality) {
    sigma = sigma_of_quality(*quality, how);
    if (!sigma) return in.complain(Field::quality, "fits no source.lines.sigma.quality_step");
  }
  if (!sigma && how.fixed_deg > 0.0) sigma = how.fixed_deg;
  if (!sigma) return in.complain(Field::sigma, "is missing, and no source.lines.sigma rule fits");
  b.sigma_deg = *sigma;
}

/// At most 64 bytes, cut between characters: a label too long is no reason to lose a bearing.
std::string short_label(std::string text) {
  if (text.size() <= kMaxLabelBytes) return text;
  std::size_t end = kMaxLabelBytes;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  text.resize(end);
  return text;
}

void read_strength(FieldReader& in, const LevelConvention& how, SourceBearing& b) {
  const Range any{-kAny, kAny, "must be a number"};
  b.level_dbfs =
      in.number(Field::level, {-kAny, 0.0, "must be at most 0 dBFS"}, 1.0, how.level_offset_db);
  b.field_strength_dbuv_per_m =
      in.number(Field::field_strength, any, 1.0, how.field_strength_offset_db);
  b.snr_db = in.number(Field::snr, any);
  b.bandwidth_hz = in.number(Field::bandwidth, {kTiny, kMaxFrequency_hz, "must be more than 0 Hz"},
                             how.bandwidth_unit_hz);
}

/// The numbers of a text, whatever marks stand between them; nothing if one is no number.
std::optional<std::vector<double>> numbers_in(std::string_view text) {
  static constexpr std::string_view kMarks = " \t,;:|()[]{}";
  std::vector<double> numbers;
  while (true) {
    const std::size_t begin = text.find_first_not_of(kMarks);
    if (begin == std::string_view::npos) return numbers;
    text.remove_prefix(begin);
    const std::size_t end = std::min(text.find_first_of(kMarks), text.size());
    const auto number = parse_number(text.substr(0, end));
    if (!number) return std::nullopt;
    numbers.push_back(*number);
    text.remove_prefix(end);
  }
}

void read_alternatives(FieldReader& in, const AzimuthConvention& how, SourceBearing& b) {
  if (!in.text(Field::alternatives)) return;
  const auto numbers = numbers_in(*in.text(Field::alternatives));
  if (!numbers || numbers->size() % 2 != 0 || numbers->size() / 2 > kMaxAlternatives) {
    return in.complain(Field::alternatives, "must be at most 8 pairs of azimuth and weight");
  }
  const auto heading = in.number(Field::heading, {-180.0, 360.0, "must be -180 to 360 degrees"});
  for (std::size_t i = 0; i < numbers->size(); i += 2) {
    const double azimuth = (*numbers)[i];
    const double weight = (*numbers)[i + 1];
    const bool fair = std::abs(azimuth * how.unit_deg) <= 360.0 && weight > 0.0 && weight <= 1.0;
    if (!fair) {
      return in.complain(Field::alternatives, "azimuths to 360 degrees, weights above 0 to 1");
    }
    b.alternatives.push_back({true_azimuth_deg(azimuth, heading.value_or(0.0), how), weight});
  }
}

}  // namespace

double true_azimuth_deg(double raw, double heading_deg, const AzimuthConvention& convention) {
  const double sense = convention.counter_clockwise ? -1.0 : 1.0;
  const bool magnetic = convention.reference == AzimuthReference::magnetic_north;
  const double declination_deg = magnetic ? convention.declination_deg : 0.0;
  return wrap_360(sense * raw * convention.unit_deg + heading_deg + convention.mount_offset_deg +
                  declination_deg);
}

bool is_selected(const FieldTexts& texts, const LineMapping& mapping) {
  if (!mapping.gives(Field::selector)) return true;
  return texts[index_of(Field::selector)] == mapping.selector_value;
}

Result<SourceBearing> to_bearing(const FieldTexts& texts, const LineMapping& mapping,
                                 TimePoint arrival) {
  FieldReader in(texts);
  SourceBearing b;
  read_time(in, mapping.time, arrival, b);
  read_azimuth(in, mapping.azimuth, b);
  read_frequency(in, mapping.frequency, b);
  read_sigma(in, mapping.sigma, b);
  read_strength(in, mapping.level, b);
  read_alternatives(in, mapping.azimuth, b);
  // A label goes to logs, pages and a database that takes no zero byte: no control characters.
  if (in.text(Field::label)) b.label = short_label(one_line(*in.text(Field::label)));
  if (b.label && b.label->empty()) b.label.reset();
  b.overload = in.flag(Field::overload);
  b.uncalibrated = in.flag(Field::uncalibrated);
  if (in.error()) return Error{*in.error()};
  return b;
}

Result<SourceBearing> parse_line(std::string_view line, const LineMapping& mapping,
                                 TimePoint arrival) {
  const auto texts = read_fields(line, mapping);
  if (!texts) return Error{texts.error()};
  if (!is_selected(*texts, mapping)) return Error{"is no bearing by source.lines.text.only_where"};
  return to_bearing(*texts, mapping, arrival);
}

}  // namespace fixwright::agent
