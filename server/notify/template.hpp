#pragma once
/// Texts with {placeholders}, checked when the server starts.

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "server/notify/notification.hpp"

namespace fixwright::notify {

using Fields = std::map<std::string, std::string, std::less<>>;

/// id, severity, rule, message, raised_at, ended_at, emitter, station, stations, position, ellipse,
/// posterior, would_change, link, caution. One that an alert has not is empty.
Fields fields_of(const Alert& alert, const Surroundings& around);

class Template {
 public:
  /// "{{" and "}}" stand for braces. Fails with one line: a placeholder that there is none of, or
  /// a brace without its other.
  static Result<Template> parse(std::string_view text);

  /// A line whose placeholders are all empty is left out.
  [[nodiscard]] std::string fill(const Fields& fields) const;

 private:
  struct Piece {
    std::string text;  // or the name of a field
    bool is_field = false;
  };
  using Line = std::vector<Piece>;
  std::vector<Line> lines_;
};

inline constexpr std::string_view kUsualSubject = "{severity}: {message}";
inline constexpr std::string_view kUsualText =
    "{message}\n\n"
    "Severity:     {severity}\n"
    "Rule:         {rule}\n"
    "Raised:       {raised_at}\n"
    "Ended:        {ended_at}\n"
    "Emitter:      {emitter}\n"
    "Heard by:     {stations}\n"
    "Position:     {position}\n"
    "Ellipse:      {ellipse}\n"
    "Posterior:    {posterior}\n"
    "Would change: {would_change}\n"
    "Look:         {link}\n"
    "{caution}\n";

}  // namespace fixwright::notify
