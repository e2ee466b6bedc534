#pragma once
/// How a sender writes its lines: what our fields are called there, in which units and by which
/// conventions. With it any receiver's text can be read without knowing its make.

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright::agent {

/// What a line can tell us. `selector` is the field that says whether a line is a bearing.
enum class Field : std::size_t {
  time,
  integration,
  frequency,
  azimuth,
  sigma,
  quality,
  heading,
  level,
  field_strength,
  snr,
  bandwidth,
  label,
  overload,
  uncalibrated,
  alternatives,
  selector,
};
inline constexpr std::size_t kFieldCount = 16;
inline constexpr std::size_t index_of(Field f) { return static_cast<std::size_t>(f); }
/// The configuration key below source.lines.fields; for `selector` that of the rule.
std::string_view name_of(Field f);

enum class LineFormat { json, delimited };

struct TextFormat {
  LineFormat format = LineFormat::json;
  char separator = ',';  // a blank means any run of blanks and tabs
  bool header = true;    // the first line names the columns; else names are numbers from 1
  std::string comment;   // lines that begin so are passed over; empty: none
  bool latin1 = false;   // ISO 8859-1 instead of UTF-8
  bool decimal_comma = false;
};

enum class TimeFormat { rfc3339, unix_s, unix_ms, unix_us, unix_ns, arrival };
/// Which moment of the integration interval the sender's time is.
enum class TimeMark { start, middle, end };

struct TimeConvention {
  TimeFormat format = TimeFormat::rfc3339;
  TimeMark marks = TimeMark::start;
  double ahead_s = 0.0;              // subtracted: how far the sender's time is ahead of UTC
  double integration_unit_s = 1.0;   // 1 or 0.001
  double fixed_integration_s = 0.0;  // where no field gives it; 0 to 60
};

/// heading: the bow of the vehicle that carries the array; the agent knows where it points.
enum class AzimuthReference { true_north, magnetic_north, mount, heading };

/// true azimuth = raw, turned clockwise, + heading + mount_offset_deg + declination_deg where
/// the reference is magnetic north.
struct AzimuthConvention {
  AzimuthReference reference = AzimuthReference::true_north;
  bool counter_clockwise = false;
  double unit_deg = 1.0;          // degrees in one of the sender's units
  double mount_offset_deg = 0.0;  // true azimuth of the array's zero, or a known correction
  double declination_deg = 0.0;   // east positive: true = magnetic + declination
};

struct FrequencyConvention {
  double unit_hz = 1.0;
  double fixed_hz = 0.0;  // where no field gives it; 0: none
};

/// One rule from a sender's quality to our sigma: a number at least so great, or a word.
struct QualityStep {
  std::optional<double> at_least;
  std::string equals;
  double sigma_deg = 0.0;
};

struct SigmaConvention {
  double unit_deg = 1.0;
  double scale = 1.0;      // one standard deviation = the sender's figure times this
  double fixed_deg = 0.0;  // where neither sigma nor quality says; 0: none
  std::vector<QualityStep> quality_steps;  // the first that fits counts
};

struct LevelConvention {
  double level_offset_db = 0.0;           // dBFS = the sender's level + this
  double field_strength_offset_db = 0.0;  // dBuV/m = the sender's figure + this
  double bandwidth_unit_hz = 1.0;
};

struct LineMapping {
  TextFormat text;
  std::array<std::string, kFieldCount> names;  // the sender's; empty: not given
  std::string selector_value;  // with a selector: lines that say else are passed over
  TimeConvention time;
  AzimuthConvention azimuth;
  FrequencyConvention frequency;
  SigmaConvention sigma;
  LevelConvention level;
  /// Of delimited text: where each field stands, from 0; absent: not given. Set by
  /// bind_numbers() or bind_header().
  std::array<std::optional<std::size_t>, kFieldCount> columns;

  [[nodiscard]] const std::string& name(Field f) const { return names[index_of(f)]; }
  [[nodiscard]] bool gives(Field f) const { return !name(f).empty(); }
};

/// Columns from names that are numbers, 1 to 256.
Result<LineMapping> bind_numbers(LineMapping mapping);
/// Columns from the names in a header line. Fails naming each column that is not there.
Result<LineMapping> bind_header(LineMapping mapping, std::string_view header);

}  // namespace fixwright::agent
