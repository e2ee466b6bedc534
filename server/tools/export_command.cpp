#include "server/tools/export_command.hpp"

#include <fmt/core.h>

#include <exception>
#include <optional>
#include <tuple>
#include <vector>

#include "server/base/text.hpp"
#include "server/report/feature_formats.hpp"
#include "server/store/layers.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/output_file.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

/// Nothing, with a line on `err`, when an option is wrong.
std::optional<FeatureFilter> filter_of(const ExportOptions& options, std::ostream& err) {
  FeatureFilter filter;
  filter.limit = options.limit;
  for (const auto& [name, text, time] : {std::tuple{"--since", &options.since, &filter.from},
                                         std::tuple{"--until", &options.until, &filter.until}}) {
    if (text->empty()) continue;
    *time = given_time(name, *text, TimePoint{}, err);
    if (!*time) return std::nullopt;
  }
  if (options.box.empty()) return filter;
  const auto box = parse_box(options.box);
  if (!box) {
    err << fmt::format("--box = \"{}\": {}\n", one_line(options.box), box.error());
    return std::nullopt;
  }
  filter.box = *box;
  return filter;
}

std::string written(ExportFormat format, const Layer& layer,
                    const std::vector<report::Feature>& features) {
  switch (format) {
    case ExportFormat::geojson:
      return report::features_geojson(features);
    case ExportFormat::geojsonseq:
      return report::features_geojson_sequence(features);
    case ExportFormat::gpx:
      return report::features_gpx(layer, features);
    case ExportFormat::kml:
      return report::features_kml(layer, features);
    case ExportFormat::csv:
      return report::features_csv(features);
  }
  return {};
}

FeaturePage read(const ExportOptions& options, const FeatureFilter& filter) {
  store::Database database{command_rules(options.database)};
  return store::read_features(database, options.layer, filter, options.timeout_s);
}

}  // namespace

int run_export(const ExportOptions& options, std::ostream& out, std::ostream& err) {
  const Layer* const layer = store::find_layer(options.layer);
  if (layer == nullptr) {
    err << fmt::format("export: {}: there is no such layer\n", one_line(options.layer));
    return 2;
  }
  const auto filter = filter_of(options, err);
  if (!filter) return 2;
  try {
    const FeaturePage page = read(options, *filter);
    std::vector<report::Feature> features;
    for (const auto& text : page.features) features.push_back(report::read_feature(text));
    if (page.matched > features.size()) {
      err << fmt::format("export: {} of {} features; --limit, --since or --box say which\n",
                         features.size(), page.matched);
    }
    return put_output("export", written(options.format, *layer, features), options.output, out,
                      err);
  } catch (const std::exception& error) {
    err << fmt::format("export: {}\n", one_line(error.what()));
    return 1;
  }
}

}  // namespace fixwright::tools
