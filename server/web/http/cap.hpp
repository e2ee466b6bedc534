#pragma once
/// Alerts as documents of the Common Alerting Protocol, version 1.2 (OASIS Standard, 1 July 2010):
/// what others' alerting systems read.

#include <pugixml.hpp>
#include <string>

#include "server/model/alert.hpp"
#include "server/web/http/station_names.hpp"

namespace fixwright::web {

inline constexpr auto kCapNamespace = "urn:oasis:names:tc:emergency:cap:1.2";

/// The identifier of an alert's document: its id without what CAP keeps out (blanks, commas, "<",
/// "&"). One that ended has another document, an update of the first.
std::string cap_identifier(const Alert& alert);

/// Adds <alert> to `parent`. It is for the monitoring group, not for the public: scope Restricted.
/// \param sender  who it comes from: NAME@DOMAIN, no blanks or commas.
void add_cap(pugi::xml_node parent, const Alert& alert, const std::string& sender,
             const StationNames& names);

/// "2031-05-04T12:00:00-00:00": UTC, as CAP wants it written.
std::string cap_time(TimePoint t);

}  // namespace fixwright::web
