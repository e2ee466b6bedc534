#pragma once
/// One row of a register's file as a licence.

#include <optional>
#include <string>
#include <string_view>

#include "server/base/csv.hpp"
#include "server/model/licence.hpp"
#include "server/register/fields.hpp"
#include "server/register/mapping.hpp"

namespace fixwright::register_ {

/// Reads field by field; remembers the first thing that is wrong with the row.
class RowReader {
 public:
  RowReader(const RegisterMapping& mapping, const CsvColumns& columns, const CsvRow& row);

  /// As far as it could be read where problem() says something.
  Licence licence();

  void refuse(std::string_view field, std::string_view value, std::string_view rule);
  /// "COLUMN = "VALUE": RULE"; empty: the row is good.
  [[nodiscard]] const std::string& problem() const { return problem_; }

 private:
  struct Range {
    double min = 0.0;
    double max = 0.0;
  };
  [[nodiscard]] std::string text(std::string_view field) const;
  [[nodiscard]] std::string column_of(std::string_view field) const;
  double number(std::string_view field, Range range, std::optional<double> fallback = {});
  double angle(std::string_view field, Axis axis);
  std::optional<TimePoint> time(std::string_view field);
  std::optional<double> power_w();
  void read_position(Licence& l);
  void read_band(Licence& l);
  void read_validity(Licence& l);

  const RegisterMapping& mapping_;
  const CsvColumns& columns_;
  const CsvRow& row_;
  std::string problem_;
};

}  // namespace fixwright::register_
