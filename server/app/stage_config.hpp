#pragma once
/// The stages' rules as an operator writes them: a table a stage, a key a rule, same names.

#include "server/alert/rules.hpp"
#include "server/align/rules.hpp"
#include "server/app/drift_watch.hpp"
#include "server/base/config.hpp"
#include "server/calibrate/acceptance.hpp"
#include "server/locate/rules.hpp"
#include "server/register/rules.hpp"
#include "server/track/rules.hpp"

namespace fixwright::app {

align::AlignRules read_align(const ConfigTable& table);
locate::LocateRules read_locate(const ConfigTable& table);
track::TrackRules read_track(const ConfigTable& table);
register_::RegisterRules read_register(const ConfigTable& table);
alert::AlertRules read_alert(const ConfigTable& table);
DriftWatchRules read_drift(const ConfigTable& table);
calibrate::AcceptanceRules read_acceptance(const ConfigTable& table);
/// Paths of the disks to watch.
std::vector<std::string> read_disks(const ConfigTable& alert);

}  // namespace fixwright::app
