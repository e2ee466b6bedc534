#pragma once
/// The tables [source.iq.array] and [source.iq.detect], and [[source.iq.channel]].

#include "station_agent/app/iq_config.hpp"

namespace fixwright::agent {

/// The array, its calibration and the estimator's rules.
void read_iq_array(const ConfigTable& table, bool wanted, iq::IqSourceConfig& chain,
                   std::vector<std::string>& problems);
detect::DetectionRules read_iq_detect(const ConfigTable& table);
std::vector<detect::WatchedChannel> read_iq_channels(const ConfigTable& iq_table);

}  // namespace fixwright::agent
