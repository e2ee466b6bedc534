#include "server/store/pool.hpp"
#include "server/store/reader.hpp"
#include "server/store/rows.hpp"
#include "server/store/solution_columns.hpp"

namespace fixwright::store {

namespace {

std::string select_emitters() {
  return "SELECT e.channel_id, e.emitter_id, e.revision, e.state, e.motion, " +
         as_microseconds("e.valid_at", "valid_at_us") + ", e.frequency_hz, " +
         as_microseconds("e.first_heard", "first_heard_us") + ", " +
         as_microseconds("e.last_heard", "last_heard_us") +
         ", e.bearings, e.looks, e.stations, e.speed_m_per_s, e.course_deg, "
         "e.speed_sigma_m_per_s, " +
         solution_select("e") +
         ", n.name, coalesce(w.watched, false) AS watched, r.kept_id, m.verdict, m.posterior, "
         "m.licence_id, "
         "m.distance_m, m.frequency_offset_hz, m.evidence FROM emitter AS e "
         "LEFT JOIN emitter_name AS n "
         "ON n.channel_id = e.channel_id AND n.emitter_id = e.emitter_id "
         "LEFT JOIN LATERAL (SELECT d.kind = 'watch' AS watched FROM emitter_decision AS d "
         "WHERE d.channel_id = e.channel_id AND d.emitter_id = e.emitter_id "
         "AND d.kind IN ('watch', 'unwatch') AND d.undone_by IS NULL "
         "ORDER BY d.decision_id DESC LIMIT 1) AS w ON true "
         "LEFT JOIN emitter_redirect AS r "
         "ON r.channel_id = e.channel_id AND r.emitter_id = e.emitter_id "
         "LEFT JOIN register_match AS m "
         "ON m.channel_id = e.channel_id AND m.emitter_id = e.emitter_id ";
}

// Each condition is void where its parameter is NULL.
constexpr auto kFilter =
    "WHERE (e.state = ANY ($1::text[]) OR ($1 IS NULL AND e.state <> 'retired')) "
    "AND ($2::double precision IS NULL OR e.frequency_hz >= $2) "
    "AND ($3::double precision IS NULL OR e.frequency_hz <= $3) "
    "AND ($4::timestamptz IS NULL OR e.last_heard >= $4) "
    "AND ($5::timestamptz IS NULL OR e.last_heard < $5 OR (e.last_heard = $5 "
    "AND (e.channel_id, e.emitter_id) > ($6::bigint, $7::bigint))) "
    "ORDER BY e.last_heard DESC, e.channel_id, e.emitter_id LIMIT $8::bigint";

using Parameter = std::optional<std::string>;

Parameter number(const std::optional<double>& value) {
  if (!value) return std::nullopt;
  char digits[32];
  return std::string(digits, std::to_chars(digits, digits + sizeof digits, *value).ptr);
}

Parameter states(const std::vector<EmitterState>& wanted) {
  if (wanted.empty()) return std::nullopt;
  TextArray words;
  for (const EmitterState s : wanted) words.add(to_string(s));
  return words.literal();
}

std::vector<Parameter> parameters_of(const EmitterFilter& f) {
  std::vector<Parameter> p{states(f.states), number(f.min_frequency_hz),
                           number(f.max_frequency_hz)};
  p.push_back(f.heard_since ? Parameter(format_rfc3339(*f.heard_since, 6)) : std::nullopt);
  p.push_back(f.after ? Parameter(format_rfc3339(f.after->first, 6)) : std::nullopt);
  p.push_back(f.after ? Parameter(std::to_string(f.after->second.channel)) : std::nullopt);
  p.push_back(f.after ? Parameter(std::to_string(f.after->second.id)) : std::nullopt);
  p.emplace_back(std::to_string(f.limit));
  return p;
}

Emitter emitter_of(const pqxx::row& row) {
  Emitter e;
  e.key = {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()};
  e.revision = row["revision"].as<std::uint32_t>();
  e.state = word<EmitterState>(row["state"], EmitterState::retired);
  e.motion = word<Motion>(row["motion"], Motion::moving);
  e.fix = read_solution(row);
  if (!row["speed_m_per_s"].is_null()) {
    e.velocity = {row["speed_m_per_s"].as<double>(), row["course_deg"].as<double>(),
                  row["speed_sigma_m_per_s"].as<double>()};
  }
  e.valid_at = time(row["valid_at_us"]);
  e.frequency_hz = row["frequency_hz"].as<double>();
  e.first_heard = time(row["first_heard_us"]);
  e.last_heard = time(row["last_heard_us"]);
  e.bearings = row["bearings"].as<std::uint64_t>();
  e.looks = row["looks"].as<std::uint32_t>();
  e.stations = numbers<StationId>(row["stations"]);
  return e;
}

EmitterView view_of(const pqxx::row& row) {
  EmitterView view{emitter_of(row), std::nullopt, optional<std::string>(row["name"]),
                   row["watched"].as<bool>(), std::nullopt};
  if (const auto kept = optional<std::int64_t>(row["kept_id"])) {
    view.merged_into = EmitterKey{view.emitter.key.channel, *kept};
  }
  if (row["verdict"].is_null()) return view;
  view.match = {view.emitter.key,
                word<RegisterVerdict>(row["verdict"], RegisterVerdict::undecided),
                row["posterior"].as<double>(),
                optional<std::string>(row["licence_id"]),
                optional<double>(row["distance_m"]),
                optional<double>(row["frequency_offset_hz"]),
                row["evidence"].as<std::string>()};
  return view;
}

}  // namespace

std::vector<EmitterView> Reader::emitters(const EmitterFilter& filter) {
  return look(database_, [&](auto& tx) {
    std::vector<EmitterView> views;
    for (const pqxx::row& row : execute(tx, select_emitters() + kFilter, parameters_of(filter))) {
      views.push_back(view_of(row));
    }
    return views;
  });
}

std::optional<EmitterView> Reader::emitter(EmitterKey key) {
  return look(database_, [&](auto& tx) -> std::optional<EmitterView> {
    const auto rows = execute(
        tx, select_emitters() + "WHERE e.channel_id = $1::bigint AND e.emitter_id = $2::bigint",
        {std::to_string(key.channel), std::to_string(key.id)});
    if (rows.empty()) return std::nullopt;
    return view_of(rows[0]);
  });
}

std::vector<EmitterEvent> Reader::events(EmitterKey key) {
  return look(database_, [&](auto& tx) {
    std::vector<EmitterEvent> events;
    for (const pqxx::row& row :
         execute(tx,
                 "SELECT " + as_microseconds("at", "at_us") +
                     ", kind, evidence FROM emitter_event WHERE channel_id = $1::bigint "
                     "AND emitter_id = $2::bigint ORDER BY at, kind",
                 {std::to_string(key.channel), std::to_string(key.id)})) {
      events.push_back({key, time(row["at_us"]),
                        word<EmitterEventKind>(row["kind"], EmitterEventKind::retired),
                        row["evidence"].as<std::string>()});
    }
    return events;
  });
}

}  // namespace fixwright::store
