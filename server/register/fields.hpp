#pragma once
/// Single fields of other people's registers, read strictly: nothing for what doesn't fit whole.

#include <optional>
#include <string>
#include <string_view>

#include "server/base/time.hpp"
#include "server/register/mapping.hpp"

namespace fixwright::register_ {

enum class Axis { latitude, longitude };

/// Degrees, within [-90, 90] or [-180, 180]. Minutes and seconds are below 60, only the last part
/// has a fraction, and there is a sign or a letter of the axis (N, S; E, W), not both; without
/// either, north or east.
std::optional<double> read_angle(std::string_view text, AngleForm form, Axis axis);

/// What read_angle() wants, for people.
std::string angle_rule(AngleForm form, Axis axis);

/// "rfc3339", or a format with YYYY, MM and DD once each; hh, mm, ss at most once.
bool is_date_format(std::string_view format);

/// A date as the format has it, UTC; without hh, mm, ss the beginning of the day. A day that the
/// calendar hasn't is none. \pre is_date_format(format).
std::optional<TimePoint> read_date(std::string_view text, std::string_view format);

/// Latin-1 (ISO/IEC 8859-1) as UTF-8: every byte is a character.
std::string utf8_of_latin1(std::string_view bytes);

}  // namespace fixwright::register_
