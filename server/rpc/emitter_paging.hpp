#pragma once
/// What a caller may ask of ListEmitters, and the token that leads to the next page.

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "fixwright/query/v1/query.pb.h"
#include "server/base/result.hpp"
#include "server/model/views.hpp"

namespace fixwright::rpc {

namespace query_v1 = fixwright::query::v1;

inline constexpr std::uint32_t kMaxPage = 1000;

/// The place in the order (last_heard falling, then key rising) after which a page begins.
using PagePlace = std::pair<TimePoint, EmitterKey>;

std::string page_token(const PagePlace& after);
std::optional<PagePlace> parse_page_token(std::string_view token);

/// The filter that was asked for, or a line that names the field that is off, its value and
/// the rule. `limit` is the page size.
Result<EmitterFilter> filter_of(const query_v1::ListEmittersRequest& request);

}  // namespace fixwright::rpc
