#include "server/tools/accuracy_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "server/app/server_config.hpp"
#include "server/base/angle.hpp"
#include "server/base/text.hpp"
#include "server/locate/accuracy.hpp"
#include "server/model/feature.hpp"
#include "server/report/feature_formats.hpp"
#include "server/tools/given_place.hpp"
#include "server/tools/output_file.hpp"

namespace fixwright::tools {

namespace {

using nlohmann::ordered_json;

constexpr double kMetresPerDegree = 111'200.0;
constexpr std::size_t kMostCells = 250'000;

struct Cell {
  GeoPoint middle;
  double half_east_deg = 0.0, half_north_deg = 0.0;
  std::optional<locate::ExpectedFix> fix;
};

std::vector<Cell> cells_of(const GeoBox& box, double step_km) {
  const double north_deg = step_km * 1000.0 / kMetresPerDegree;
  const double middle_deg = 0.5 * (box.south_deg + box.north_deg);
  const double east_deg = north_deg / std::max(0.05, std::cos(middle_deg * kDegToRad));
  std::vector<Cell> cells;
  for (double lat = box.south_deg + 0.5 * north_deg; lat < box.north_deg; lat += north_deg) {
    for (double lon = box.west_deg + 0.5 * east_deg; lon < box.east_deg; lon += east_deg) {
      if (cells.size() >= kMostCells) return {};
      cells.push_back({{lat, lon}, 0.5 * east_deg, 0.5 * north_deg, std::nullopt});
    }
  }
  return cells;
}

/// What a station says of a place: the mean of its bearings, with the site's own error.
double sigma_of(double site_sigma_deg, const AccuracyOptions& options) {
  return std::hypot(options.sigma_deg / std::sqrt(static_cast<double>(options.bearings)),
                    site_sigma_deg);
}

/// Nothing, with a line on `err`, when an option is wrong.
std::optional<std::vector<locate::Receiver>> receivers_of(const AccuracyOptions& options,
                                                          std::ostream& err) {
  const auto config = app::read_server_config(options.config);
  if (!config) {
    err << config.error() << '\n';
    return std::nullopt;
  }
  std::vector<locate::Receiver> receivers;
  std::vector<std::string> unknown = options.without;
  for (const Station& s : config->stations) {
    const auto away = std::find(options.without.begin(), options.without.end(), s.name);
    std::erase(unknown, s.name);
    if (s.moves || away != options.without.end()) continue;
    receivers.push_back({s.position, sigma_of(s.site_sigma_deg, options), s.antenna_height_m});
  }
  if (!unknown.empty()) {
    err << fmt::format("accuracy: --without {}: the configuration has no such station\n",
                       one_line(unknown.front(), 100));
    return std::nullopt;
  }
  for (const std::string& text : options.with) {
    const auto place = given_place("accuracy: --with", text, err);
    if (!place) return std::nullopt;
    receivers.push_back({*place, sigma_of(Station{}.site_sigma_deg, options), 10.0});
  }
  return receivers;
}

report::Feature feature_of(const Cell& cell, std::size_t number) {
  report::Feature f;
  f.id = std::to_string(number);
  const double w = cell.middle.longitude_deg - cell.half_east_deg;
  const double e = cell.middle.longitude_deg + cell.half_east_deg;
  const double s = cell.middle.latitude_deg - cell.half_north_deg;
  const double n = cell.middle.latitude_deg + cell.half_north_deg;
  const ordered_json ring{{w, s}, {e, s}, {e, n}, {w, n}, {w, s}};
  f.geometry = {{"type", "MultiPolygon"},
                {"coordinates", ordered_json::array({ordered_json::array({ring})})}};
  f.properties["latitude"] = cell.middle.latitude_deg;
  f.properties["longitude"] = cell.middle.longitude_deg;
  for (const char* name : {"semi_major_m", "semi_minor_m", "orientation_deg", "stations"}) {
    f.properties[name] = nullptr;
  }
  if (!cell.fix) return f;
  f.title = fmt::format("{:.0f} m", cell.fix->ellipse.semi_major_m);
  f.properties["semi_major_m"] = std::round(cell.fix->ellipse.semi_major_m);
  f.properties["semi_minor_m"] = std::round(cell.fix->ellipse.semi_minor_m);
  f.properties["orientation_deg"] = std::round(cell.fix->ellipse.orientation_deg);
  f.properties["stations"] = cell.fix->stations;
  return f;
}

std::string summary_of(const std::vector<Cell>& cells) {
  std::vector<double> axes;
  for (const Cell& c : cells) {
    if (c.fix) axes.push_back(c.fix->ellipse.semi_major_m);
  }
  if (axes.empty()) return "nowhere in this area would two stations hear a transmitter\n";
  std::sort(axes.begin(), axes.end());
  const auto share = [&](double part) {
    return axes[static_cast<std::size_t>(part * static_cast<double>(axes.size() - 1))];
  };
  return fmt::format(
      "semi-major axis at 95 %: {:.0f} m at the median, under {:.0f} m in nine tenths of what is "
      "covered\ncovered by two stations or more: {:.0f} % of the area\n",
      share(0.5), share(0.9),
      100.0 * static_cast<double>(axes.size()) / static_cast<double>(cells.size()));
}

std::string suggestion(const std::vector<Cell>& cells,
                       const std::vector<locate::Receiver>& receivers,
                       const AccuracyOptions& options, const locate::AccuracyRules& rules) {
  std::vector<GeoPoint> places;
  std::vector<locate::Receiver> candidates;
  for (const Cell& c : cells) {
    places.push_back(c.middle);
    candidates.push_back({c.middle, sigma_of(Station{}.site_sigma_deg, options), 10.0});
  }
  const auto best = locate::best_candidate(candidates, places, receivers, rules);
  const GeoPoint at = places[*best];
  return fmt::format(
      "one more would help most near {:.4f}, {:.4f}: --with {:.4f},{:.4f} shows how much; whether "
      "a "
      "mast may stand there, and hears anything, nobody asked\n",
      at.latitude_deg, at.longitude_deg, at.latitude_deg, at.longitude_deg);
}

std::string written(const std::vector<Cell>& cells, AccuracyFormat format) {
  std::vector<report::Feature> features;
  for (const Cell& c : cells) features.push_back(feature_of(c, features.size() + 1));
  return format == AccuracyFormat::csv ? report::features_csv(features)
                                       : report::features_geojson(features);
}

}  // namespace

int run_accuracy(const AccuracyOptions& options, std::ostream& out, std::ostream& err) {
  const auto box = parse_box(options.box);
  if (!box || box->east_deg <= box->west_deg) {
    err << fmt::format("accuracy: --box = \"{}\": {}\n", one_line(options.box, 100),
                       box ? "east must be more than west" : box.error());
    return 2;
  }
  const auto receivers = receivers_of(options, err);
  if (!receivers) return 2;
  std::vector<Cell> cells = cells_of(*box, options.step_km);
  if (cells.empty()) {
    err << fmt::format("accuracy: more than {} cells: give a longer --step\n", kMostCells);
    return 2;
  }
  locate::AccuracyRules rules;
  rules.range_m = options.range_km * 1000.0;
  if (options.transmitter_height_m > 0.0) {
    rules.transmitter_height_m = options.transmitter_height_m;
  }
  for (Cell& c : cells) c.fix = locate::expected_fix(c.middle, *receivers, rules);
  std::string text =
      options.format == AccuracyFormat::table ? summary_of(cells) : written(cells, options.format);
  if (options.suggest && options.format == AccuracyFormat::table) {
    text += suggestion(cells, *receivers, options, rules);
  }
  return put_output("accuracy", text, options.output, out, err);
}

}  // namespace fixwright::tools
