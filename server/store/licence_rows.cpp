#include "server/store/licence_rows.hpp"

#include "server/store/rows.hpp"

namespace fixwright::store {

namespace {

constexpr auto kReal = "double precision";

/// A member of the licence as a column.
template <typename Member>
auto of(Member Licence::*member) {
  return [member](TextArray& a, const LicenceVersion& v) { a.add(v.licence.*member); };
}

}  // namespace

std::vector<Column<LicenceVersion>> licence_columns() {
  using L = Licence;
  return {
      {"licence_id", "text", of(&L::id), true},
      {"holder", "text", of(&L::holder)},
      {"service", "text", of(&L::service)},
      {"position", "text", of(&L::position), false, "geography"},
      {"position_sigma_m", kReal, of(&L::position_sigma_m)},
      {"frequency_hz", kReal, of(&L::frequency_hz)},
      {"bandwidth_hz", kReal, of(&L::bandwidth_hz)},
      {"valid_from", "timestamptz", of(&L::valid_from)},
      {"valid_until", "timestamptz", of(&L::valid_until)},
      {"power_w", kReal, of(&L::power_w)},
      {"emission", "text", of(&L::emission)},
      {"import_id", "bigint", [](TextArray& a, const LicenceVersion& v) { a.add(v.from_import); }},
  };
}

std::string licence_names() {
  return "licence_id, holder, service, position, position_sigma_m, frequency_hz, bandwidth_hz, "
         "valid_from, valid_until, power_w, emission";
}

std::string select_licence() {
  return "licence_id, holder, service, ST_Y(position::geometry) AS latitude_deg, "
         "ST_X(position::geometry) AS longitude_deg, position_sigma_m, frequency_hz, "
         "bandwidth_hz, power_w, emission, " +
         as_microseconds("valid_from", "valid_from_us") + ", " +
         as_microseconds("valid_until", "valid_until_us");
}

Licence licence_of(const pqxx::row& row) {
  Licence l;
  l.id = row["licence_id"].as<std::string>();
  l.holder = row["holder"].as<std::string>();
  l.service = row["service"].as<std::string>();
  l.position = {row["latitude_deg"].as<double>(), row["longitude_deg"].as<double>()};
  l.position_sigma_m = row["position_sigma_m"].as<double>();
  l.frequency_hz = row["frequency_hz"].as<double>();
  l.bandwidth_hz = row["bandwidth_hz"].as<double>();
  l.valid_from = optional_time(row["valid_from_us"]);
  l.valid_until = optional_time(row["valid_until_us"]);
  l.power_w = optional<double>(row["power_w"]);
  l.emission = row["emission"].as<std::string>();
  return l;
}

}  // namespace fixwright::store
