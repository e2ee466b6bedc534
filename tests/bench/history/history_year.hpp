#pragma once
/// A long invented history in a database of its own, and the questions of sql/README.md to it.

#include <memory>
#include <string>
#include <vector>

#include "tests/support/database.hpp"

namespace fixwright::test {

/// A question ready to be asked: its title or name, the SELECT and the values of $1 and so on.
struct Asked {
  std::string name;
  std::string select;
  std::vector<std::string> values;
};

/// Every question of sql/README.md with the arguments shown there.
std::vector<Asked> documented_questions();

/// Those with a stretch of time, over a whole year.
std::vector<Asked> questions_of_a_year();

class HistoryYear {
 public:
  /// Fills a scratch database by year.sql beside this file: `days` of `per_day` transmissions,
  /// about eleven bearings each. Throws std::runtime_error when that fails.
  HistoryYear(int days, int per_day);
  /// One that is filled already; as a libpq connection of fixwright_reader.
  explicit HistoryYear(std::string reader);
  ~HistoryYear();

  /// As fixwright_reader, at 2031-05-04 12:00 UTC.
  [[nodiscard]] std::string reader() const;

  /// Milliseconds from the question to its last row, over a connection that is open.
  /// Median of `times`, after one that is not counted.
  double median_ms(const Asked& asked, int times);

  /// What EXPLAIN ANALYZE says, one line a line.
  std::string plan(const Asked& asked);

  /// The first field of the first row.
  std::string value(const std::string& query);

 private:
  struct Session;
  std::unique_ptr<ScratchDatabase> own_;
  std::string reader_;
  std::unique_ptr<Session> session_;
};

}  // namespace fixwright::test
