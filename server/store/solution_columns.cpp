#include "server/store/solution_columns.hpp"

#include "server/model/emitter.hpp"
#include "server/store/rows.hpp"

namespace fixwright::store {

namespace {

std::string ring_text(const std::vector<GeoPoint>& ring) {
  std::string text = "SRID=4326;POLYGON((";
  for (std::size_t i = 0; i < ring.size(); ++i) {
    char pair[80];
    char* end = std::to_chars(pair, pair + 39, ring[i].longitude_deg).ptr;
    *end++ = ' ';
    end = std::to_chars(end, pair + sizeof pair, ring[i].latitude_deg).ptr;
    text += (i == 0 ? "" : ",") + std::string(pair, end);
  }
  return text + "))";
}

using AddSolution = std::function<void(TextArray&, const CrossFix&)>;

/// Adds what `get` finds when there is a position, else NULL.
template <typename Get>
AddSolution if_accepted(Get get) {
  return [get](TextArray& a, const CrossFix& s) { s.accepted() ? a.add(get(s)) : a.add_null(); };
}

void add_region(TextArray& array, const CrossFix& solution) {
  if (!solution.accepted() || solution.region.empty()) return array.add_null();
  array.add(ring_text(solution.region));
}

std::vector<Column<CrossFix>> columns() {
  using S = CrossFix;
  constexpr auto kReal = "double precision";
  return {
      {"refusal", "text", [](TextArray& a, const S& s) { a.add(to_string(s.refusal)); }},
      {"grade", "text", [](TextArray& a, const S& s) { a.add(to_string(s.grade)); }},
      {"position", "text", if_accepted([](const S& s) { return s.position; }), false, "geography"},
      {"covariance_ee_m2", kReal, if_accepted([](const S& s) { return s.covariance.ee_m2; })},
      {"covariance_en_m2", kReal, if_accepted([](const S& s) { return s.covariance.en_m2; })},
      {"covariance_nn_m2", kReal, if_accepted([](const S& s) { return s.covariance.nn_m2; })},
      {"semi_major_m", kReal, if_accepted([](const S& s) { return s.ellipse.semi_major_m; })},
      {"semi_minor_m", kReal, if_accepted([](const S& s) { return s.ellipse.semi_minor_m; })},
      {"orientation_deg", kReal, if_accepted([](const S& s) { return s.ellipse.orientation_deg; })},
      {"probability", kReal, if_accepted([](const S& s) { return s.ellipse.probability; })},
      {"region_kind", "text", if_accepted([](const S& s) { return to_string(s.region_kind); })},
      {"region", "text", add_region, false, "geography"},
      {"region_open", "boolean", [](TextArray& a, const S& s) { a.add(s.region_open); }},
      {"chi_square", kReal, [](TextArray& a, const S& s) { a.add(s.chi_square); }},
      {"degrees_of_freedom", "integer",
       [](TextArray& a, const S& s) { a.add(s.degrees_of_freedom); }},
      {"p_value", kReal, [](TextArray& a, const S& s) { a.add(s.p_value); }},
      {"crossing_deg", kReal, [](TextArray& a, const S& s) { a.add(s.crossing_deg); }},
  };
}

std::vector<GeoPoint> read_ring(const pqxx::row& row) {
  const auto longitudes = numbers(row["region_longitudes_deg"]);
  const auto latitudes = numbers(row["region_latitudes_deg"]);
  std::vector<GeoPoint> ring;
  for (std::size_t i = 0; i < longitudes.size(); ++i) {
    ring.push_back({latitudes[i], longitudes[i]});
  }
  return ring;
}

}  // namespace

template <typename T>
std::vector<Column<T>> solution_columns(const CrossFix& (*solution_of)(const T&)) {
  std::vector<Column<T>> result;
  for (const Column<CrossFix>& c : columns()) {
    const auto add = c.add;
    result.push_back({c.name, c.array_of,
                      [add, solution_of](TextArray& a, const T& t) { add(a, solution_of(t)); },
                      c.key, c.cast});
  }
  return result;
}

template std::vector<Column<Fix>> solution_columns(const CrossFix& (*)(const Fix&));
template std::vector<Column<Emitter>> solution_columns(const CrossFix& (*)(const Emitter&));

std::string solution_select(const std::string& alias) {
  std::string text;
  for (const Column<CrossFix>& c : columns()) {
    if (c.cast.empty()) text += alias + "." + c.name + ", ";
  }
  const std::string points = "(SELECT array_agg(@(geom) ORDER BY path) FROM ST_DumpPoints(" +
                             alias + ".region::geometry))";
  const auto with = [&](std::string coordinate) {
    return std::string(points).replace(points.find('@'), 1, coordinate);
  };
  return text + "ST_Y(" + alias + ".position::geometry) AS latitude_deg, ST_X(" + alias +
         ".position::geometry) AS longitude_deg, " + with("ST_X") + " AS region_longitudes_deg, " +
         with("ST_Y") + " AS region_latitudes_deg";
}

CrossFix read_solution(const pqxx::row& row) {
  CrossFix s;
  s.refusal = word<Refusal>(row["refusal"], Refusal::unbounded);
  s.grade = word<FixGrade>(row["grade"], FixGrade::odd);
  s.region_open = row["region_open"].as<bool>();
  s.chi_square = row["chi_square"].as<double>();
  s.degrees_of_freedom = row["degrees_of_freedom"].as<int>();
  s.p_value = row["p_value"].as<double>();
  s.crossing_deg = row["crossing_deg"].as<double>();
  if (!s.accepted()) return s;
  s.position = {row["latitude_deg"].as<double>(), row["longitude_deg"].as<double>()};
  s.covariance = {row["covariance_ee_m2"].as<double>(), row["covariance_en_m2"].as<double>(),
                  row["covariance_nn_m2"].as<double>()};
  s.ellipse = {row["semi_major_m"].as<double>(), row["semi_minor_m"].as<double>(),
               row["orientation_deg"].as<double>(), row["probability"].as<double>()};
  s.region_kind = word<RegionKind>(row["region_kind"], RegionKind::likelihood);
  s.region = read_ring(row);
  return s;
}

}  // namespace fixwright::store
