#pragma once
/// Fixes and emitter states as CSV (RFC 4180), one header line first. Columns are part of the
/// operator's contract: they only grow, at the end.

#include <span>
#include <string>

#include "server/model/emitter.hpp"
#include "server/model/fix.hpp"

namespace fixwright::report {

/// "CHANNEL/ID": how an emitter is named in files and alerts.
std::string emitter_text(EmitterKey key);
/// "CHANNEL/START/ORDINAL", START in RFC 3339 with nanoseconds.
std::string fix_text(const FixKey& key);

/// fix,emitter,time,frequency_hz,latitude,longitude,semi_major_m,semi_minor_m,orientation_deg,
/// probability,stations,bearings_used,bearings_rejected,chi_square,grade,refusal
std::string fix_csv_header();
/// A refused fix has empty position, ellipse, chi_square and grade, and its reason in `refusal`,
/// which is empty for an accepted one.
std::string fix_csv_row(const Fix& fix);

/// emitter,time,latitude,longitude,semi_major_m,semi_minor_m,orientation_deg,frequency_hz,state
std::string emitter_csv_header();
/// One state of an emitter, at Emitter::valid_at.
std::string emitter_csv_row(const Emitter& emitter);

}  // namespace fixwright::report
