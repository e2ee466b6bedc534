#include "station_agent/position/gpsd_report.hpp"

#include <fmt/core.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "server/base/angle.hpp"
#include "server/base/text.hpp"

namespace fixwright::agent {

namespace {

using nlohmann::json;

class Fields {
 public:
  explicit Fields(const json& object) : object_(object) {}

  std::optional<double> number(const char* name, double least, double most) {
    const auto found = object_.find(name);
    if (found == object_.end()) return std::nullopt;
    const double value = found->is_number() ? found->get<double>() : std::nan("");
    if (value >= least && value <= most) return value;
    error_ = fmt::format("gpsd: {} {}: must be a number, {} to {}", name,
                         one_line(found->dump(-1, ' ', false, json::error_handler_t::replace), 40),
                         least, most);
    return std::nullopt;
  }
  std::optional<double> azimuth(const char* name) {
    const auto value = number(name, 0.0, 360.0);
    return value ? std::optional(wrap_360(*value)) : std::nullopt;
  }
  [[nodiscard]] std::string text(const char* name) const {
    const auto found = object_.find(name);
    return found != object_.end() && found->is_string() ? found->get<std::string>() : "";
  }
  [[nodiscard]] const std::optional<std::string>& error() const { return error_; }

 private:
  const json& object_;
  std::optional<std::string> error_;
};

void read_time(Fields& in, NavReport& out) {
  const auto time = parse_rfc3339(in.text("time"));
  if (!time) return;
  out.date = std::chrono::floor<std::chrono::days>(*time);
  out.time_of_day = *time - TimePoint{*out.date};
}

void read_tpv(Fields& in, NavReport& out) {
  if (in.number("mode", 0.0, 3.0).value_or(0.0) < 2.0) return;
  read_time(in, out);
  const auto latitude = in.number("lat", -90.0, 90.0);
  const auto longitude = in.number("lon", -180.0, 180.0);
  if (latitude && longitude) out.position = GeoPoint{*latitude, wrap_180(*longitude)};
  out.height_m = in.number("altHAE", -1000.0, 20'000.0);
  const auto east_m = in.number("epx", 0.0, 1e6);
  const auto north_m = in.number("epy", 0.0, 1e6);
  if (east_m && north_m && *east_m + *north_m > 0.0) {
    out.sigma_m = std::sqrt(0.5 * (*east_m * *east_m + *north_m * *north_m));
  }
  out.speed_m_per_s = in.number("speed", 0.0, 1000.0);
  out.course_deg = in.azimuth("track");
  out.variation_deg = in.number("magvar", -180.0, 180.0);
}

}  // namespace

Result<NavReport> read_gpsd(std::string_view line) {
  const json object = json::parse(line, nullptr, false);
  if (!object.is_object()) {
    return Error{fmt::format("gpsd: \"{}\": must be a JSON object", one_line(line, 60))};
  }
  Fields fields(object);
  NavReport report;
  if (fields.text("class") == "TPV") read_tpv(fields, report);
  if (fields.text("class") == "ATT") {
    read_time(fields, report);
    report.heading_deg = fields.azimuth("heading");
  }
  if (fields.error()) return Error{*fields.error()};
  return report;
}

}  // namespace fixwright::agent
