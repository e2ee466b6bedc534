#include "server/rpc/convert_time.hpp"

#include <cstdint>
#include <cstdlib>

namespace fixwright::rpc {

namespace {

using std::chrono::floor;
using std::chrono::sys_days;
using std::chrono::year;

constexpr std::int64_t kNanosPerSecond = 1'000'000'000;

constexpr std::int64_t first_second_of(int y) {
  const sys_days new_year{year{y} / std::chrono::January / 1};
  return std::chrono::duration_cast<std::chrono::seconds>(new_year.time_since_epoch()).count();
}

}  // namespace

TimePoint from_proto(const google::protobuf::Timestamp& t) {
  const bool nanos_ok = t.nanos() >= 0 && t.nanos() < kNanosPerSecond;
  if (!nanos_ok || t.seconds() < first_second_of(1678)) return TimePoint::min();
  if (t.seconds() >= first_second_of(2262)) return TimePoint::max();
  return TimePoint{Duration{t.seconds() * kNanosPerSecond + t.nanos()}};
}

Duration from_proto(const google::protobuf::Duration& d) {
  constexpr std::int64_t kMaxSeconds = Duration::max().count() / kNanosPerSecond - 1;
  const bool negative = d.seconds() < 0 || (d.seconds() == 0 && d.nanos() < 0);
  const bool nanos_ok = std::abs(std::int64_t{d.nanos()}) < kNanosPerSecond &&
                        (d.seconds() == 0 || d.nanos() == 0 || (d.nanos() < 0) == negative);
  if (!nanos_ok || d.seconds() > kMaxSeconds || d.seconds() < -kMaxSeconds) {
    return negative ? Duration::min() : Duration::max();
  }
  return Duration{d.seconds() * kNanosPerSecond + d.nanos()};
}

google::protobuf::Timestamp to_proto(TimePoint t) {
  const auto whole = floor<std::chrono::seconds>(t);  // nanos count forward, also before 1970
  google::protobuf::Timestamp proto;
  proto.set_seconds(whole.time_since_epoch().count());
  proto.set_nanos(static_cast<std::int32_t>((t - whole).count()));
  return proto;
}

google::protobuf::Duration to_proto(Duration d) {
  google::protobuf::Duration proto;
  proto.set_seconds(d.count() / kNanosPerSecond);
  proto.set_nanos(static_cast<std::int32_t>(d.count() % kNanosPerSecond));
  return proto;
}

}  // namespace fixwright::rpc
