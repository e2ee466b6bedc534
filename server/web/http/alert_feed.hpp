#pragma once
/// The newest alerts as an Atom feed (RFC 4287), each entry with its CAP document.

#include <string>
#include <vector>

#include "server/model/views.hpp"
#include "server/web/http/station_names.hpp"

namespace fixwright::web {

inline constexpr auto kAtomType = "application/atom+xml; charset=utf-8";
inline constexpr auto kCapType = "application/cap+xml; charset=utf-8";

/// Muted alerts are left out: nobody is to be told of them.
/// \param sender  NAME@DOMAIN: the feed's author.
std::string alert_feed(const std::vector<AlertView>& alerts, const std::string& sender,
                       const StationNames& names);

/// One alert's CAP document by itself.
std::string cap_document(const Alert& alert, const std::string& sender, const StationNames& names);

}  // namespace fixwright::web
