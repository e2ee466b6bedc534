#include "station_agent/array/calibration_file.hpp"

#include <fmt/core.h>

#include <cmath>
#include <limits>

namespace fixwright::agent::array {

namespace {

/// As a TOML basic string on one line.
std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    const bool control = static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
    if (c == '"' || c == '\\') out += '\\';
    out += control ? ' ' : c;
  }
  return out + '"';
}

constexpr double kHighest_hz = 1e11;
const double kNone = std::numeric_limits<double>::quiet_NaN();

/// Reads keys and remembers whether one of them was no good.
class Reader {
 public:
  double number(const ConfigTable& table, std::string_view key, double min, double max) {
    const double value =
        table.number(key, {.min = min, .max = max, .fallback = kNone, .required = true});
    good_ = good_ && !std::isnan(value);
    return value;
  }
  TimePoint time(const ConfigTable& table, std::string_view key) {
    const auto parsed = parse_rfc3339(table.text(key, {.required = true}));
    if (parsed) return *parsed;
    if (table.has(key)) table.complain(key, "must be a time like 2031-05-04T10:15:02Z");
    good_ = false;
    return {};
  }
  CalibrationMethod method(const ConfigTable& table) {
    const std::string chosen = table.text(
        "method",
        {.required = true, .one_of = {"configured", "common_reference", "known_transmitter"}});
    for (const auto m : {CalibrationMethod::configured, CalibrationMethod::common_reference,
                         CalibrationMethod::known_transmitter}) {
      if (word(m) == chosen) return m;
    }
    good_ = false;
    return CalibrationMethod::configured;
  }
  void fail() { good_ = false; }
  [[nodiscard]] bool good() const { return good_; }

 private:
  bool good_ = true;
};

ElementResponse read_element(const ConfigTable& table, Reader& reader) {
  ElementResponse r;
  r.gain_db = reader.number(table, "gain_db", -100.0, 100.0);
  r.phase_deg = reader.number(table, "phase_deg", -360.0, 360.0);
  r.delay_s = reader.number(table, "delay_s", -1e-3, 1e-3);
  return r;
}

}  // namespace

std::string calibration_toml(const ArrayCalibration& c) {
  std::string text = fmt::format(
      "# Responses of the array's elements, as measured. Written by fixwright-station.\n"
      "method = \"{}\"\ndate = \"{}\"\n",
      word(c.method), format_rfc3339(c.date, 9));
  if (!c.reference.empty()) text += fmt::format("reference = {}\n", quoted(c.reference));
  if (c.temperature_c) text += fmt::format("temperature_c = {}\n", *c.temperature_c);
  text += fmt::format("reference_hz = {}\nlow_hz = {}\nhigh_hz = {}\nresidual_deg = {}\n",
                      c.reference_hz, c.low_hz, c.high_hz, c.residual_deg);
  for (const ElementResponse& e : c.elements) {
    text += fmt::format("\n[[element]]\ngain_db = {}\nphase_deg = {}\ndelay_s = {}\n", e.gain_db,
                        e.phase_deg, e.delay_s);
  }
  return text;
}

std::optional<ArrayCalibration> read_calibration(const ConfigTable& table, int elements) {
  Reader reader;
  ArrayCalibration c;
  c.method = reader.method(table);
  c.date = reader.time(table, "date");
  if (table.has("temperature_c")) {
    c.temperature_c = reader.number(table, "temperature_c", -100.0, 100.0);
  }
  c.reference = table.text("reference");
  c.reference_hz = reader.number(table, "reference_hz", 0.0, kHighest_hz);
  c.low_hz = reader.number(table, "low_hz", 0.0, kHighest_hz);
  c.high_hz = reader.number(table, "high_hz", 0.0, kHighest_hz);
  c.residual_deg = reader.number(table, "residual_deg", 0.0, 180.0);
  if (c.high_hz < c.low_hz) {
    table.complain("high_hz", "must not be below low_hz");
    reader.fail();
  }
  for (const ConfigTable& element : table.tables("element")) {
    c.elements.push_back(read_element(element, reader));
  }
  if (static_cast<int>(c.elements.size()) != elements) {
    table.complain("element",
                   fmt::format("{} of them: the array has {}", c.elements.size(), elements));
    reader.fail();
  }
  return reader.good() ? std::optional{c} : std::nullopt;
}

}  // namespace fixwright::agent::array
