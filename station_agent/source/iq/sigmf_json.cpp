#include <nlohmann/json.hpp>

#include "station_agent/source/iq/sigmf_metadata.hpp"
#include "station_agent/source/iq/sigmf_spatial.hpp"

namespace fixwright::agent::iq {

namespace {

using nlohmann::ordered_json;

constexpr const char* kVersion = "1.2.0";
constexpr const char* kSpatialVersion = "1.1.0";

bool tells_array(const SigmfMetadata& m) {
  for (const SigmfCapture& c : m.captures) {
    if (c.array) return true;
  }
  return false;
}

ordered_json global_of(const SigmfMetadata& m) {
  ordered_json global;
  global["core:datatype"] = to_string(m.type);
  global["core:sample_rate"] = m.rate_hz;
  global["core:version"] = kVersion;
  global["core:num_channels"] = m.elements;
  if (m.offset > 0) global["core:offset"] = m.offset;
  if (!m.dataset.empty()) global["core:dataset"] = m.dataset;
  if (m.trailing_bytes > 0) global["core:trailing_bytes"] = m.trailing_bytes;
  if (m.metadata_only) global["core:metadata_only"] = true;
  if (!m.description.empty()) global["core:description"] = m.description;
  global["core:recorder"] = "Fixwright";
  if (tells_array(m)) {
    global["core:extensions"] = {
        {{"name", "spatial"}, {"version", kSpatialVersion}, {"optional", true}}};
    global["spatial:num_elements"] = m.elements;
    global["spatial:channel_index"] = 0;
  }
  return global;
}

ordered_json capture_of(const SigmfCapture& c) {
  ordered_json capture;
  capture["core:sample_start"] = c.sample_start;
  if (c.global_index) capture["core:global_index"] = *c.global_index;
  if (c.frequency_hz) capture["core:frequency"] = *c.frequency_hz;
  if (c.datetime) capture["core:datetime"] = format_rfc3339(*c.datetime, 9);
  if (c.header_bytes > 0) capture["core:header_bytes"] = c.header_bytes;
  if (c.array) write_spatial_capture(*c.array, capture);
  return capture;
}

ordered_json annotation_of(const SigmfAnnotation& a) {
  ordered_json annotation;
  annotation["core:sample_start"] = a.sample_start;
  if (a.sample_count) annotation["core:sample_count"] = *a.sample_count;
  if (a.freq_lower_edge_hz) annotation["core:freq_lower_edge"] = *a.freq_lower_edge_hz;
  if (a.freq_upper_edge_hz) annotation["core:freq_upper_edge"] = *a.freq_upper_edge_hz;
  if (!a.label.empty()) annotation["core:label"] = a.label;
  if (!a.comment.empty()) annotation["core:comment"] = a.comment;
  if (!a.generator.empty()) annotation["core:generator"] = a.generator;
  if (a.signal_azimuth_deg) annotation["spatial:signal_azimuth"] = *a.signal_azimuth_deg;
  return annotation;
}

}  // namespace

std::string to_json(const SigmfMetadata& metadata) {
  ordered_json root;
  root["global"] = global_of(metadata);
  root["captures"] = ordered_json::array();
  for (const SigmfCapture& c : metadata.captures) root["captures"].push_back(capture_of(c));
  root["annotations"] = ordered_json::array();
  for (const SigmfAnnotation& a : metadata.annotations) {
    root["annotations"].push_back(annotation_of(a));
  }
  return root.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace fixwright::agent::iq
