#pragma once
/// PostgreSQL's binary form of values: what COPY (FORMAT binary) takes and results give.
/// Source: PostgreSQL 15 manual, "COPY", File Formats, Binary Format; numbers in network order;
/// timestamptz as microseconds since 2000-01-01 (its datatype/timestamp.h).

#include <libpq-fe.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::store {

class CopyBuffer {
 public:
  CopyBuffer();
  void begin_row(int fields);
  void add(std::int16_t value);
  void add(std::int32_t value);
  void add(std::int64_t value);
  void add(double value);
  void add(bool value);
  void add(std::string_view value);  // a zero byte, which text can't hold, becomes U+FFFD
  void add(const std::string& value) { add(std::string_view(value)); }
  void add(const std::vector<double>& values);
  void add_time(TimePoint value);  // cut to the microsecond
  void add_null();
  template <typename T>
  void add(const std::optional<T>& value) {
    value ? add(*value) : add_null();
  }

  /// Everything, with the trailer; the buffer is used up.
  [[nodiscard]] std::string finish() &&;

 private:
  template <typename Unsigned>
  void put(Unsigned value);
  std::string bytes_;
};

/// The fields of one row of a binary result, from left to right.
class RowReader {
 public:
  RowReader(const PGresult* result, int row) : result_(result), row_(row) {}
  std::int16_t small();
  std::int32_t integer();
  std::int64_t big();
  double real();
  bool flag();
  std::string text();
  std::vector<double> reals();  // none for NULL
  TimePoint time();
  std::optional<double> optional_real();
  std::optional<std::string> optional_text();

 private:
  [[nodiscard]] bool null() const;
  std::string_view take();

  const PGresult* result_;
  int row_;
  int field_ = 0;
};

}  // namespace fixwright::store
