#include "server/rpc/emitter_paging.hpp"

#include <fmt/core.h>

#include <charconv>
#include <cmath>

#include "server/rpc/convert_enum.hpp"
#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {

namespace {

/// A whole number at the front of `rest`, taken off it.
std::optional<std::int64_t> take_number(std::string_view& rest) {
  std::int64_t value = 0;
  const auto [stop, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
  if (error != std::errc{}) return std::nullopt;
  rest.remove_prefix(static_cast<std::size_t>(stop - rest.data()));
  return value;
}

bool take_dot(std::string_view& rest) {
  if (rest.empty() || rest.front() != '.') return false;
  rest.remove_prefix(1);
  return true;
}

std::optional<std::string> states_problem(const query_v1::ListEmittersRequest& request,
                                          EmitterFilter& filter) {
  for (int i = 0; i < request.states_size(); ++i) {
    const auto state = from_proto(request.states(i));
    if (!state) {
      return fmt::format("states[{}] = {}: is no state; leave states empty for all but retired", i,
                         static_cast<int>(request.states(i)));
    }
    filter.states.push_back(*state);
  }
  return std::nullopt;
}

std::optional<std::string> frequency_problem(const query_v1::ListEmittersRequest& request,
                                             EmitterFilter& filter) {
  if (request.has_min_frequency_hz()) filter.min_frequency_hz = request.min_frequency_hz();
  if (request.has_max_frequency_hz()) filter.max_frequency_hz = request.max_frequency_hz();
  const double low = filter.min_frequency_hz.value_or(0.0);
  const double high = filter.max_frequency_hz.value_or(3e11);
  if (!(std::isfinite(low) && low >= 0.0)) {
    return fmt::format("min_frequency_hz = {}: must be a number, 0 or above", low);
  }
  if (!(std::isfinite(high) && high >= low)) {
    return fmt::format("max_frequency_hz = {}: must be a number, not below min_frequency_hz = {}",
                       high, low);
  }
  return std::nullopt;
}

std::optional<std::string> page_problem(const query_v1::ListEmittersRequest& request,
                                        EmitterFilter& filter) {
  if (request.page_size() > kMaxPage) {
    return fmt::format("page_size = {}: must be 1 to {}, or 0 for 100", request.page_size(),
                       kMaxPage);
  }
  filter.limit = request.page_size() == 0 ? 100 : request.page_size();
  if (request.page_token().empty()) return std::nullopt;
  filter.after = parse_page_token(request.page_token());
  if (filter.after) return std::nullopt;
  return "page_token: is none of ours; take next_page_token of the answer before";
}

std::optional<std::string> time_problem(const query_v1::ListEmittersRequest& request,
                                        EmitterFilter& filter) {
  if (!request.has_heard_since()) return std::nullopt;
  const TimePoint since = from_proto(request.heard_since());
  if (since == TimePoint::min() || since == TimePoint::max()) {
    return fmt::format("heard_since = {} s, {} ns: must lie in the years 1678 to 2261",
                       request.heard_since().seconds(), request.heard_since().nanos());
  }
  filter.heard_since = since;
  return std::nullopt;
}

}  // namespace

std::string page_token(const PagePlace& after) {
  return fmt::format("{}.{}.{}", after.first.time_since_epoch().count(), after.second.channel,
                     after.second.id);
}

std::optional<PagePlace> parse_page_token(std::string_view token) {
  const auto time = take_number(token);
  if (!time || !take_dot(token)) return std::nullopt;
  const auto channel = take_number(token);
  if (!channel || !take_dot(token)) return std::nullopt;
  const auto id = take_number(token);
  if (!id || !token.empty()) return std::nullopt;
  return PagePlace{TimePoint{Duration{*time}}, {*channel, *id}};
}

Result<EmitterFilter> filter_of(const query_v1::ListEmittersRequest& request) {
  EmitterFilter filter;
  for (const auto check : {states_problem, frequency_problem, time_problem, page_problem}) {
    if (const auto problem = check(request, filter)) return Error{*problem};
  }
  return filter;
}

}  // namespace fixwright::rpc
