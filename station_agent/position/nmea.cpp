#include "station_agent/position/nmea.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "station_agent/position/nmea_fields.hpp"

namespace fixwright::agent {

namespace {

constexpr std::size_t kMaxBytes = 255;  // the standard's 82 are passed by many receivers

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

Error refused(std::string_view line, std::string_view why) {
  return Error{fmt::format("NMEA \"{}\": {}", one_line(line, 90), why)};
}

std::vector<std::string> split(std::string_view body) {
  std::vector<std::string> fields;
  while (true) {
    const std::size_t comma = body.find(',');
    fields.emplace_back(body.substr(0, comma));
    if (comma == std::string_view::npos) return fields;
    body.remove_prefix(comma + 1);
  }
}

using Reader = void (*)(NmeaFields&, NavReport&);

void read_gga(NmeaFields& in, NavReport& out) {
  const auto quality = in.number(5, 0.0, 9.0);
  // 0: no fix; 7: typed in; 8: simulated.
  if (!quality || *quality == 0.0 || *quality == 7.0 || *quality == 8.0) return;
  out.time_of_day = in.time_of_day(0);
  out.position = in.position(1);
  out.hdop = in.number(7, 0.0, 100.0);
  if (out.hdop == 0.0) out.hdop.reset();
  const auto above_geoid_m = in.number(8, -1000.0, 20'000.0);
  const auto geoid_m = in.number(10, -200.0, 200.0);
  if (above_geoid_m && geoid_m) out.height_m = *above_geoid_m + *geoid_m;
}

void read_gll(NmeaFields& in, NavReport& out) {
  if (!in.is_valid(5, 6)) return;
  out.time_of_day = in.time_of_day(4);
  out.position = in.position(0);
}

void read_rmc(NmeaFields& in, NavReport& out) {
  if (!in.is_valid(1, 11)) return;
  out.time_of_day = in.time_of_day(0);
  out.date = in.date(8);
  out.position = in.position(2);
  out.speed_m_per_s = in.speed_from_knots(6);
  out.course_deg = in.azimuth(7);
  out.variation_deg = in.east_or_west(9);
}

void read_vtg(NmeaFields& in, NavReport& out) {
  if (!in.is_real(8)) return;
  out.course_deg = in.azimuth(0);
  out.speed_m_per_s = in.speed_from_knots(4);
}

void read_gst(NmeaFields& in, NavReport& out) {
  out.time_of_day = in.time_of_day(0);
  const auto north_m = in.number(5, 0.0, 1e6);
  const auto east_m = in.number(6, 0.0, 1e6);
  if (!north_m || !east_m) return;
  const double sigma_m = std::sqrt(0.5 * (*north_m * *north_m + *east_m * *east_m));
  if (sigma_m > 0.0) out.sigma_m = sigma_m;
}

void read_hdt(NmeaFields& in, NavReport& out) { out.heading_deg = in.azimuth(0); }

void read_ths(NmeaFields& in, NavReport& out) {
  const std::string_view mode = in.text(1);  // autonomous or estimated; not manual, simulated, void
  if (mode == "A" || mode == "E") out.heading_deg = in.azimuth(0);
}

void read_hdg(NmeaFields& in, NavReport& out) {
  const auto sensor_deg = in.azimuth(0);
  const auto deviation_deg = in.east_or_west(1);
  out.variation_deg = in.east_or_west(3);
  if (sensor_deg) out.magnetic_heading_deg = wrap_360(*sensor_deg + deviation_deg.value_or(0.0));
}

Reader reader_of(std::string_view type) {
  if (type == "GGA") return read_gga;
  if (type == "GLL") return read_gll;
  if (type == "RMC") return read_rmc;
  if (type == "VTG") return read_vtg;
  if (type == "GST") return read_gst;
  if (type == "HDT") return read_hdt;
  if (type == "THS") return read_ths;
  return type == "HDG" ? read_hdg : nullptr;
}

}  // namespace

Result<NmeaSentence> parse_sentence(std::string_view line) {
  while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.remove_suffix(1);
  if (line.size() > kMaxBytes) return refused(line, "is longer than 255 bytes");
  if (line.empty() || line.front() != '$') return refused(line, "must begin with $");
  const std::size_t star = line.rfind('*');
  if (star == std::string_view::npos || line.size() - star < 3) {
    return refused(line, "has no checksum; let the receiver send one");
  }
  if (line.size() - star > 3) return refused(line, "must end after the checksum's two digits");
  const int high = hex_digit(line[star + 1]);
  const int low = hex_digit(line[star + 2]);
  if (high < 0 || low < 0) return refused(line, "must end with two hex digits");
  unsigned sum = 0;
  for (const char c : line.substr(1, star - 1)) sum ^= static_cast<unsigned char>(c);
  if (sum != static_cast<unsigned>(16 * high + low)) {
    return refused(line, fmt::format("the checksum should be {:02X}", sum));
  }
  NmeaSentence sentence;
  sentence.fields = split(line.substr(1, star - 1));
  const std::string address = sentence.fields.front();
  sentence.fields.erase(sentence.fields.begin());
  const bool own = !address.empty() && address.front() == 'P';
  if (!own && address.size() != 5) return refused(line, "must have an address of 5 letters");
  sentence.talker = own ? "P" : address.substr(0, 2);
  sentence.type = own ? address.substr(1) : address.substr(2);
  return sentence;
}

Result<NavReport> read_sentence(const NmeaSentence& sentence) {
  NavReport report;
  const Reader reader = sentence.talker == "P" ? nullptr : reader_of(sentence.type);
  if (reader == nullptr) return report;
  NmeaFields fields(sentence);
  reader(fields, report);
  if (fields.error()) return Error{*fields.error()};
  return report;
}

}  // namespace fixwright::agent
