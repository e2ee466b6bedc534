#include "tests/bench/history/history_year.hpp"

#include <algorithm>
#include <chrono>
#include <pqxx/pqxx>
#include <stdexcept>

#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"

namespace fixwright::test {

namespace {

Asked asked(const std::string& name, const std::map<std::string, std::string>& arguments) {
  const tools::NamedQuery query = query_named(name);
  const auto values = tools::query_values(query, arguments);
  if (!values.ok()) throw std::invalid_argument(values.error());
  return {name, query.select, *values};
}

std::unique_ptr<ScratchDatabase> filled(int days, int per_day) {
  auto database = std::make_unique<ScratchDatabase>();
  const Finished done =
      run_command({"/usr/bin/psql", "-X", "-q", "-d", database->owner(), "-v",
                   "days=" + std::to_string(days), "-v", "per_day=" + std::to_string(per_day), "-f",
                   FIXWRIGHT_SOURCE_DIR "/tests/bench/history/year.sql"});
  if (done.status != 0) throw std::runtime_error("year.sql failed: " + done.output);
  return database;
}

pqxx::result run(pqxx::connection& connection, const std::string& before, const Asked& question) {
  pqxx::nontransaction tx(connection);
  return tx.exec_params(before + question.select,
                        pqxx::prepare::make_dynamic_params(question.values));
}

}  // namespace

std::vector<Asked> documented_questions() {
  std::vector<Asked> questions;
  for (Question& q : read_questions()) {
    q.query.erase(q.query.find_last_of(';'));
    questions.push_back({q.title, q.query, {}});
  }
  for (const Example& e : read_examples()) questions.push_back(asked(e.name, e.arguments));
  return questions;
}

std::vector<Asked> questions_of_a_year() {
  const std::pair<const std::string, std::string> until{"until", "2031-05-04T12:00:00Z"};
  const std::pair<const std::string, std::string> channel{"channel", "12"}, emitter{"emitter", "1"};
  return {asked("nights", {until, channel, emitter, {"weeks", "52"}}),
          asked("occupancy", {until, channel, {"hours", "8760"}}),
          asked("busy_hours", {until, channel, {"days", "365"}}),
          asked("heard_by", {until, channel, emitter, {"days", "365"}}),
          asked("bearing_only", {until, {"days", "365"}}),
          asked("first_seen", {until, {"days", "365"}}),
          asked("in_area", {until,
                            {"west", "-150.35"},
                            {"south", "41.1"},
                            {"east", "-150.2"},
                            {"north", "41.25"},
                            {"days", "365"}}),
          asked("hearing", {until, {"days", "365"}}),
          asked("station_hours", {until, {"hours", "8760"}})};
}

struct HistoryYear::Session {
  explicit Session(const std::string& text) : connection(text) {}
  pqxx::connection connection;
};

HistoryYear::HistoryYear(int days, int per_day)
    : own_(filled(days, per_day)), reader_(own_->reader()) {
  session_ = std::make_unique<Session>(reader());
}

HistoryYear::HistoryYear(std::string reader) : reader_(std::move(reader)) {
  session_ = std::make_unique<Session>(this->reader());
}

HistoryYear::~HistoryYear() = default;

std::string HistoryYear::reader() const {
  return reader_ + " options='-c search_path=frozen,public,pg_catalog -c timezone=UTC'";
}

double HistoryYear::median_ms(const Asked& question, int times) {
  std::vector<double> taken_ms;
  for (int i = 0; i <= times; ++i) {
    const auto begin = std::chrono::steady_clock::now();
    run(session_->connection, "", question);
    const std::chrono::duration<double, std::milli> taken =
        std::chrono::steady_clock::now() - begin;
    if (i > 0) taken_ms.push_back(taken.count());
  }
  const auto middle = taken_ms.begin() + times / 2;
  std::nth_element(taken_ms.begin(), middle, taken_ms.end());
  return *middle;
}

std::string HistoryYear::plan(const Asked& question) {
  std::string text;
  for (const pqxx::row& line : run(session_->connection, "EXPLAIN (ANALYZE, BUFFERS) ", question)) {
    text += std::string(line[0].c_str()) + "\n";
  }
  return text;
}

std::string HistoryYear::value(const std::string& query) {
  return run(session_->connection, "", {"", query, {}}).at(0)[0].c_str();
}

}  // namespace fixwright::test
