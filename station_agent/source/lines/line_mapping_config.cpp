#include "station_agent/source/lines/line_mapping_config.hpp"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "server/base/angle.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

namespace {

/// The value of one word of a list.
template <typename T>
T one_of(const ConfigTable& table, std::string_view key, const std::string& fallback,
         const std::vector<std::pair<std::string, T>>& words) {
  TextRule rule{.fallback = fallback, .required = false, .one_of = {}};
  for (const auto& [word, value] : words) rule.one_of.push_back(word);
  const std::string chosen = table.text(key, rule);
  for (const auto& [word, value] : words) {
    if (word == chosen) return value;
  }
  return words.front().second;
}

char read_separator(const ConfigTable& table) {
  const std::string text =
      table.text("separator", {.fallback = ",", .required = false, .one_of = {}});
  if (text.size() == 1 && text != "\"" && text != "\n" && text != "\r") return text.front();
  table.complain("separator", "must be one character, \"\\t\" for a tab, \" \" for blanks");
  return ',';
}

/// "FIELD=VALUE".
void read_selector(const ConfigTable& table, LineMapping& mapping) {
  const std::string rule = table.text("only_where");
  if (rule.empty()) return;
  const std::size_t equals = rule.find('=');
  if (equals == std::string::npos || equals == 0) {
    return table.complain("only_where", "must be FIELD=VALUE, with the sender's field name");
  }
  mapping.names[index_of(Field::selector)] = rule.substr(0, equals);
  mapping.selector_value = rule.substr(equals + 1);
}

void read_text(const ConfigTable& table, LineMapping& mapping) {
  TextFormat& text = mapping.text;
  text.format = one_of<LineFormat>(
      table, "format", "json", {{"json", LineFormat::json}, {"delimited", LineFormat::delimited}});
  text.separator = read_separator(table);
  text.header = table.flag("header", true);
  text.comment = table.text("comment", {.fallback = "#", .required = false, .one_of = {}});
  text.latin1 = one_of<bool>(table, "encoding", "utf-8", {{"utf-8", false}, {"iso-8859-1", true}});
  text.decimal_comma = one_of<bool>(table, "decimal", ".", {{".", false}, {",", true}});
  if (text.decimal_comma && text.separator == ',') {
    table.complain("decimal", "can't be the separator too");
  }
  read_selector(table, mapping);
}

bool is_pointer(const std::string& name) {
  try {
    return !nlohmann::json::json_pointer(name).empty();
  } catch (const nlohmann::json::exception&) {
    return false;
  }
}

void read_fields_of(const ConfigTable& table, LineMapping& mapping) {
  static const std::map<Field, std::string> kFallbacks{{Field::time, "time"},
                                                       {Field::frequency, "frequency_hz"},
                                                       {Field::azimuth, "azimuth_deg"},
                                                       {Field::sigma, "sigma_deg"}};
  for (std::size_t i = 0; i < index_of(Field::selector); ++i) {
    const auto field = static_cast<Field>(i);
    const auto fallback = kFallbacks.find(field);
    TextRule rule;
    if (fallback != kFallbacks.end()) rule.fallback = fallback->second;
    mapping.names[i] = table.text(name_of(field), rule);
    const bool pointer =
        mapping.text.format == LineFormat::json && mapping.names[i].starts_with('/');
    if (pointer && !is_pointer(mapping.names[i])) {
      table.complain(name_of(field), "begins with / and so must be a JSON pointer (RFC 6901)");
    }
  }
}

TimeConvention read_time(const ConfigTable& table) {
  TimeConvention time;
  time.format = one_of<TimeFormat>(table, "format", "rfc3339",
                                   {{"rfc3339", TimeFormat::rfc3339},
                                    {"unix_s", TimeFormat::unix_s},
                                    {"unix_ms", TimeFormat::unix_ms},
                                    {"unix_us", TimeFormat::unix_us},
                                    {"unix_ns", TimeFormat::unix_ns},
                                    {"arrival", TimeFormat::arrival}});
  time.marks = one_of<TimeMark>(
      table, "marks", "start",
      {{"start", TimeMark::start}, {"middle", TimeMark::middle}, {"end", TimeMark::end}});
  time.ahead_s = table.number("ahead_s", {.min = -86400.0, .max = 86400.0});
  time.integration_unit_s =
      one_of<double>(table, "integration_unit", "s", {{"s", 1.0}, {"ms", 0.001}});
  time.fixed_integration_s = table.number("fixed_integration_s", {.min = 0.0, .max = 60.0});
  return time;
}

AzimuthConvention read_azimuth(const ConfigTable& table) {
  AzimuthConvention azimuth;
  azimuth.reference = one_of<AzimuthReference>(table, "reference", "true",
                                               {{"true", AzimuthReference::true_north},
                                                {"magnetic", AzimuthReference::magnetic_north},
                                                {"relative", AzimuthReference::mount},
                                                {"heading", AzimuthReference::heading}});
  azimuth.counter_clockwise = one_of<bool>(table, "sense", "clockwise",
                                           {{"clockwise", false}, {"counter_clockwise", true}});
  azimuth.unit_deg = one_of<double>(table, "unit", "deg", {{"deg", 1.0}, {"rad", kRadToDeg}});
  azimuth.mount_offset_deg = table.number("mount_offset_deg", {.min = -360.0, .max = 360.0});
  azimuth.declination_deg = table.number("declination_deg", {.min = -180.0, .max = 180.0});
  return azimuth;
}

const std::vector<std::pair<std::string, double>> kHertz{
    {"hz", 1.0}, {"khz", 1e3}, {"mhz", 1e6}, {"ghz", 1e9}};

QualityStep read_quality_step(const ConfigTable& table) {
  QualityStep step;
  if (table.has("at_least")) step.at_least = table.number("at_least", {.min = -1e12, .max = 1e12});
  step.equals = table.text("equals");
  step.sigma_deg = table.number("sigma_deg", {.min = 1e-6, .max = 90.0, .required = true});
  if (step.at_least.has_value() == !step.equals.empty()) {
    table.complain("at_least", "give either at_least, a number, or equals, a word");
  }
  return step;
}

SigmaConvention read_sigma(const ConfigTable& table) {
  SigmaConvention sigma;
  sigma.unit_deg = one_of<double>(table, "unit", "deg", {{"deg", 1.0}, {"rad", kRadToDeg}});
  sigma.scale = table.number("scale", {.min = 1e-3, .max = 1e3, .fallback = 1.0});
  sigma.fixed_deg = table.number("fixed_deg", {.min = 0.0, .max = 90.0});
  for (const ConfigTable& step : table.tables("quality_step")) {
    sigma.quality_steps.push_back(read_quality_step(step));
  }
  return sigma;
}

LevelConvention read_level(const ConfigTable& table) {
  LevelConvention level;
  level.level_offset_db = table.number("level_offset_db", {.min = -300.0, .max = 300.0});
  level.field_strength_offset_db =
      table.number("field_strength_offset_db", {.min = -300.0, .max = 300.0});
  level.bandwidth_unit_hz = one_of<double>(table, "bandwidth_unit", "hz", kHertz);
  return level;
}

/// What one key alone can't show to be wrong.
void check_whole(const ConfigTable& lines, const LineMapping& m) {
  const ConfigTable fields = lines.table("fields");
  const ConfigTable azimuth = lines.table("azimuth");
  if (!m.gives(Field::azimuth)) fields.complain("azimuth", "must name the sender's field");
  if (m.time.format != TimeFormat::arrival && !m.gives(Field::time)) {
    fields.complain("time",
                    "must name the sender's field, or set source.lines.time.format to arrival");
  }
  if (!m.gives(Field::frequency) && m.frequency.fixed_hz <= 0.0) {
    fields.complain("frequency", "name the sender's field, or set source.lines.frequency.fixed_hz");
  }
  const bool by_quality = m.gives(Field::quality) && !m.sigma.quality_steps.empty();
  if (!m.gives(Field::sigma) && !by_quality && m.sigma.fixed_deg <= 0.0) {
    fields.complain("sigma",
                    "name the sender's field, or a quality with source.lines.sigma."
                    "quality_step, or set source.lines.sigma.fixed_deg");
  }
  if (m.azimuth.reference == AzimuthReference::mount && !azimuth.has("mount_offset_deg") &&
      !m.gives(Field::heading)) {
    azimuth.complain("mount_offset_deg",
                     "relative azimuths need it: degrees, true azimuth of "
                     "the array's zero");
  }
  if (m.azimuth.reference == AzimuthReference::heading && m.gives(Field::heading)) {
    azimuth.complain("reference",
                     "the heading comes from [position] or from source.lines.fields.heading, not "
                     "from both; with the field the reference is \"relative\", \"true\" or "
                     "\"magnetic\"");
  }
  if (m.azimuth.reference == AzimuthReference::magnetic_north && !azimuth.has("declination_deg")) {
    azimuth.complain("declination_deg", "magnetic azimuths need it: degrees, east positive");
  }
}

void check_input(const ConfigTable& lines, const LinesConfig& config) {
  if (config.input == InputKind::file && config.path.empty()) {
    lines.complain("path", "input = \"file\" needs it");
  }
  const bool socket = config.input != InputKind::file && config.input != InputKind::standard_input;
  if (!socket) return;
  const auto address = parse_address(config.address);
  if (!address) lines.complain("address", "must be host:port, with a port of 0 to 65535");
}

}  // namespace

LinesConfig read_lines_config(const ConfigTable& lines, bool chosen) {
  LinesConfig config;
  config.input = one_of<InputKind>(lines, "input", "stdin",
                                   {{"stdin", InputKind::standard_input},
                                    {"file", InputKind::file},
                                    {"tcp_listen", InputKind::tcp_listen},
                                    {"tcp_connect", InputKind::tcp_connect},
                                    {"udp", InputKind::udp}});
  config.path = lines.text("path");
  config.address = lines.text("address");
  config.follow = lines.flag("follow", true);
  config.from_start = lines.flag("from_start", true);
  config.max_line_bytes = static_cast<std::size_t>(
      lines.integer("max_line_bytes", {.min = 256, .max = 16'777'216, .fallback = 65'536}));
  config.max_delay =
      from_seconds(lines.number("max_delay_s", {.min = 0.0, .max = 3600.0, .fallback = 2.0}));
  LineMapping& mapping = config.mapping;
  read_text(lines.table("text"), mapping);
  read_fields_of(lines.table("fields"), mapping);
  mapping.time = read_time(lines.table("time"));
  mapping.azimuth = read_azimuth(lines.table("azimuth"));
  const ConfigTable frequency = lines.table("frequency");
  mapping.frequency.unit_hz = one_of<double>(frequency, "unit", "hz", kHertz);
  mapping.frequency.fixed_hz = frequency.number("fixed_hz", {.min = 0.0, .max = 3e11});
  mapping.sigma = read_sigma(lines.table("sigma"));
  mapping.level = read_level(lines.table("level"));
  if (!chosen) return config;
  check_input(lines, config);
  check_whole(lines, mapping);
  if (mapping.text.format == LineFormat::delimited && !mapping.text.header) {
    auto bound = bind_numbers(mapping);
    if (!bound) lines.table("fields").complain("azimuth", bound.error());
    if (bound) mapping = std::move(bound).value();
  }
  return config;
}

}  // namespace fixwright::agent
