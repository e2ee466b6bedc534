#include "server/store/binary_row.hpp"

#include <bit>
#include <cassert>

#include "server/store/identity.hpp"

namespace fixwright::store {

namespace {

constexpr std::int32_t kFloat8Oid = 701;  // pg_type.dat
// 2000-01-01 less 1970-01-01, microseconds.
constexpr std::int64_t kEpochShift = 946'684'800'000'000;

template <typename Unsigned>
Unsigned number(std::string_view bytes) {
  assert(bytes.size() == sizeof(Unsigned));
  Unsigned value = 0;
  for (const char c : bytes) {
    value = static_cast<Unsigned>((value << 8U) | static_cast<unsigned char>(c));
  }
  return value;
}

}  // namespace

CopyBuffer::CopyBuffer() : bytes_("PGCOPY\n\377\r\n\0\0\0\0\0\0\0\0\0", 19) {}

template <typename Unsigned>
void CopyBuffer::put(Unsigned value) {
  for (int shift = 8 * (static_cast<int>(sizeof value) - 1); shift >= 0; shift -= 8) {
    bytes_ += static_cast<char>((value >> shift) & 0xFFU);
  }
}

void CopyBuffer::begin_row(int fields) { put(static_cast<std::uint16_t>(fields)); }

void CopyBuffer::add(std::int16_t value) {
  put(std::uint32_t{2});
  put(static_cast<std::uint16_t>(value));
}

void CopyBuffer::add(std::int32_t value) {
  put(std::uint32_t{4});
  put(static_cast<std::uint32_t>(value));
}

void CopyBuffer::add(std::int64_t value) {
  put(std::uint32_t{8});
  put(static_cast<std::uint64_t>(value));
}

void CopyBuffer::add(double value) {
  put(std::uint32_t{8});
  put(std::bit_cast<std::uint64_t>(value));
}

void CopyBuffer::add(bool value) {
  put(std::uint32_t{1});
  bytes_ += value ? '\1' : '\0';
}

void CopyBuffer::add(std::string_view value) {
  if (value.find('\0') == std::string_view::npos) {
    put(static_cast<std::uint32_t>(value.size()));
    bytes_ += value;
    return;
  }
  std::string clean;
  for (const char c : value) c == '\0' ? clean += "\xEF\xBF\xBD" : clean += c;
  add(std::string_view(clean));
}

void CopyBuffer::add(const std::vector<double>& values) {
  if (values.empty()) return add_null();
  const auto n = static_cast<std::uint32_t>(values.size());
  put(20 + 12 * n);
  put(std::uint32_t{1});  // dimensions
  put(std::uint32_t{0});  // no NULLs
  put(static_cast<std::uint32_t>(kFloat8Oid));
  put(n);
  put(std::uint32_t{1});  // first index
  for (const double v : values) add(v);
}

void CopyBuffer::add_time(TimePoint value) {
  add(static_cast<std::int64_t>(to_microseconds(value).time_since_epoch().count() - kEpochShift));
}

void CopyBuffer::add_null() { put(static_cast<std::uint32_t>(-1)); }

std::string CopyBuffer::finish() && {
  put(static_cast<std::uint16_t>(-1));
  return std::move(bytes_);
}

bool RowReader::null() const { return PQgetisnull(result_, row_, field_) == 1; }

std::string_view RowReader::take() {
  assert(field_ < PQnfields(result_));
  const auto size = static_cast<std::size_t>(PQgetlength(result_, row_, field_));
  return {PQgetvalue(result_, row_, field_++), size};
}

std::int16_t RowReader::small() { return static_cast<std::int16_t>(number<std::uint16_t>(take())); }

std::int32_t RowReader::integer() {
  return static_cast<std::int32_t>(number<std::uint32_t>(take()));
}

std::int64_t RowReader::big() { return static_cast<std::int64_t>(number<std::uint64_t>(take())); }

double RowReader::real() { return std::bit_cast<double>(number<std::uint64_t>(take())); }

bool RowReader::flag() { return take() != std::string_view("\0", 1); }

std::string RowReader::text() { return std::string(take()); }

std::vector<double> RowReader::reals() {
  std::vector<double> values;
  if (null()) return ++field_, values;
  std::string_view bytes = take();
  if (bytes.size() <= 20) return values;  // an empty array has a short header
  for (bytes.remove_prefix(20); bytes.size() >= 12; bytes.remove_prefix(12)) {
    values.push_back(std::bit_cast<double>(number<std::uint64_t>(bytes.substr(4, 8))));
  }
  return values;
}

TimePoint RowReader::time() { return TimePoint{std::chrono::microseconds(big() + kEpochShift)}; }

std::optional<double> RowReader::optional_real() {
  if (null()) return ++field_, std::nullopt;
  return real();
}

std::optional<std::string> RowReader::optional_text() {
  if (null()) return ++field_, std::nullopt;
  return text();
}

}  // namespace fixwright::store
