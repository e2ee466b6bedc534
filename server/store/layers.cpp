#include "server/store/layers.hpp"

#include <algorithm>
#include <sstream>
#include <stdexcept>

#include "server/store/layer_files.hpp"
#include "server/store/pool.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameters = std::vector<std::optional<std::string>>;

struct ReadLayer {
  Layer layer;
  std::string select;
};

ReadLayer parse(const LayerFile& file) {
  ReadLayer read;
  read.layer.name = file.name;
  std::istringstream lines(file.text);
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("-- ", 0) != 0) {
      read.select += line + "\n";
    } else if (read.layer.title.empty()) {
      read.layer.title = line.substr(3);
    } else {
      read.layer.about += (read.layer.about.empty() ? "" : " ") + line.substr(3);
    }
  }
  return read;
}

const std::vector<ReadLayer>& all() {
  static const std::vector<ReadLayer> kAll = [] {
    std::vector<ReadLayer> read;
    for (const LayerFile& file : layer_files()) read.push_back(parse(file));
    return read;
  }();
  return kAll;
}

const ReadLayer& read_layer(std::string_view name) {
  const auto found = std::find_if(all().begin(), all().end(),
                                  [&](const ReadLayer& l) { return l.layer.name == name; });
  if (found == all().end()) throw std::logic_error("no such layer");
  return *found;
}

/// A box over the antimeridian is two, which the two halves of a MultiPolygon say.
constexpr auto kWhere =
    " WHERE ($1::text IS NULL OR q.id = $1)"
    " AND ($2::timestamptz IS NULL OR q.end_at IS NULL OR q.end_at >= $2::timestamptz)"
    " AND ($3::timestamptz IS NULL OR q.begin_at IS NULL OR q.begin_at <= $3::timestamptz)"
    " AND ($4::float8 IS NULL OR ST_Intersects(q.geometry, CASE WHEN $4::float8 <= $6::float8 "
    "THEN ST_MakeEnvelope($4::float8, $5::float8, $6::float8, $7::float8, 4326) ELSE "
    "ST_Collect(ST_MakeEnvelope($4::float8, $5::float8, 180, $7::float8, 4326), "
    "ST_MakeEnvelope(-180, $5::float8, $6::float8, $7::float8, 4326)) END))";

Parameters parameters_of(const FeatureFilter& filter) {
  Parameters p{filter.id, std::nullopt, std::nullopt};
  if (filter.from) p[1] = format_rfc3339(*filter.from, 6);
  if (filter.until) p[2] = format_rfc3339(*filter.until, 6);
  const GeoBox box = filter.box.value_or(GeoBox{});
  for (const double edge : {box.west_deg, box.south_deg, box.east_deg, box.north_deg}) {
    p.push_back(filter.box ? std::optional(pqxx::to_string(edge)) : std::nullopt);
  }
  return p;
}

/// PostGIS 3.3 has no way to say it. \param id  JSON.
std::string with_id(const std::string& id, const std::string& feature) {
  return "{\"id\": " + id + ", " + feature.substr(1);
}

}  // namespace

const std::vector<Layer>& layers() {
  static const std::vector<Layer> kLayers = [] {
    std::vector<Layer> found;
    for (const ReadLayer& read : all()) found.push_back(read.layer);
    return found;
  }();
  return kLayers;
}

const Layer* find_layer(std::string_view name) {
  const auto found = std::find_if(layers().begin(), layers().end(),
                                  [&](const Layer& layer) { return layer.name == name; });
  return found == layers().end() ? nullptr : &*found;
}

FeaturePage read_features(Database& database, std::string_view layer, const FeatureFilter& filter,
                          int at_most_s) {
  const std::string from = " FROM (" + read_layer(layer).select + ") AS q" + kWhere;
  const Parameters wanted = parameters_of(filter);
  Parameters paged = wanted;
  paged.push_back(std::to_string(filter.limit));
  paged.push_back(std::to_string(filter.offset));
  return look(database, [&](auto& tx) {
    tx.exec0("SET LOCAL statement_timeout = '" + std::to_string(at_most_s) + "s'");
    tx.exec0("SET LOCAL timezone = 'UTC'");
    FeaturePage page;
    page.matched =
        execute(tx, "SELECT count(*)" + from, wanted).at(0)[0].template as<std::size_t>();
    const auto rows = execute(tx,
                              "SELECT to_json(q.id), ST_AsGeoJSON(q, 'geometry', 7)" + from +
                                  " ORDER BY q.id LIMIT $8::bigint OFFSET $9::bigint",
                              paged);
    for (const auto& row : rows) {
      page.features.push_back(
          with_id(row[0].template as<std::string>(), row[1].template as<std::string>()));
    }
    return page;
  });
}

}  // namespace fixwright::store
