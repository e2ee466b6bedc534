#include "server/tools/given_time.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"

namespace fixwright::tools {

std::optional<TimePoint> given_time(std::string_view option, const std::string& text,
                                    TimePoint none_given, std::ostream& err) {
  if (text.empty()) return none_given;
  const auto time = parse_rfc3339(text);
  if (time) return *time;
  err << fmt::format("{} = \"{}\": must be a time such as 2031-05-04T10:00:00Z\n", option,
                     one_line(text, 60));
  return std::nullopt;
}

}  // namespace fixwright::tools
