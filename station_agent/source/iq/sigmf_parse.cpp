#include <fmt/core.h>

#include <algorithm>
#include <fstream>
#include <functional>
#include <iterator>
#include <limits>
#include <nlohmann/json.hpp>

#include "station_agent/source/iq/json_fields.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"
#include "station_agent/source/iq/sigmf_spatial.hpp"

namespace fixwright::agent::iq {

namespace {

using nlohmann::json;

constexpr std::uint64_t kAnyCount = std::numeric_limits<std::uint64_t>::max();
constexpr double kMostHz = 1e12;  // of the standard's schema

void read_type(const JsonFields& global, SigmfMetadata& m) {
  const auto text = global.text("core:datatype");
  if (!text) {
    if (global.find("core:datatype") == nullptr) {
      global.missing("core:datatype", "a recording must say its sample type, such as ci16_le");
    }
    return;
  }
  const auto type = parse_sample_type(*text);
  if (!type) return global.complain("core:datatype", type.error());
  m.type = *type;
}

void read_version(const JsonFields& global) {
  const auto text = global.text("core:version");
  if (!text && global.find("core:version") == nullptr) {
    global.missing("core:version", "must be the version of SigMF, such as 1.2.0");
  }
  const bool fits = text && !text->empty() && std::count(text->begin(), text->end(), '.') == 2 &&
                    text->find_first_not_of("0123456789.") == std::string::npos;
  if (text && !fits) {
    global.complain("core:version", "must be three numbers with points between them");
  }
}

/// What we must understand and do not.
void check_extensions(const JsonFields& global) {
  const json* list = global.find("core:extensions");
  if (list == nullptr) return;
  if (!list->is_array()) return global.complain("core:extensions", "must be a list");
  for (std::size_t i = 0; i < list->size(); ++i) {
    const JsonFields one((*list)[i], fmt::format("global core:extensions[{}]", i),
                         global.problems());
    const std::string name = one.text("name").value_or("");
    if (!one.flag("optional").value_or(true) && name != "spatial") {
      one.complain("name",
                   "the recording can't be read without this extension, and it is not "
                   "known here");
    }
  }
}

void read_dataset(const JsonFields& global, SigmfMetadata& m) {
  m.dataset = global.text("core:dataset").value_or("");
  if (m.dataset.find('/') != std::string::npos || m.dataset == "." || m.dataset == "..") {
    global.complain("core:dataset", "must be the name of a file in the same folder");
  }
  m.trailing_bytes = global.count("core:trailing_bytes", 0, kAnyCount).value_or(0);
  m.metadata_only = global.flag("core:metadata_only").value_or(false);
}

SpatialGlobal read_global(const JsonFields& global, SigmfMetadata& m) {
  read_type(global, m);
  read_version(global);
  check_extensions(global);
  read_dataset(global, m);
  const auto rate_hz = global.number("core:sample_rate", 1.0, kMostHz);
  if (!rate_hz && global.find("core:sample_rate") == nullptr) {
    global.missing("core:sample_rate", "must be given, 1 to 1e12 Hz, for us to use the recording");
  }
  m.rate_hz = rate_hz.value_or(1.0);
  m.elements = global.count("core:num_channels", 1, kMaxElements).value_or(1);
  m.offset = global.count("core:offset", 0, kAnyCount).value_or(0);
  m.description = global.text("core:description").value_or("");
  return read_spatial_global(global, m.elements);
}

/// Digits past the nanosecond are cut: the standard allows any number of them.
std::string cut_to_nanoseconds(std::string text) {
  const auto point = text.find('.');
  if (point == std::string::npos) return text;
  const auto end = std::min(text.find_first_not_of("0123456789", point + 1), text.size());
  if (end - point > 10) text.erase(point + 10, end - point - 10);
  return text;
}

std::optional<TimePoint> read_datetime(const JsonFields& capture) {
  const auto text = capture.text("core:datetime");
  if (!text) return {};
  const auto t = parse_rfc3339(cut_to_nanoseconds(*text));
  if (t && *t >= kEarliestRecording && *t < kLatestRecording) return *t;
  capture.complain("core:datetime", "must be a time such as 2031-05-04T10:15:02.25Z, 1920 to 2199");
  return {};
}

SigmfCapture read_capture(const JsonFields& fields, const SpatialGlobal& spatial,
                          const SigmfMetadata& m) {
  SigmfCapture c;
  const auto start = fields.count("core:sample_start", 0, kAnyCount);
  if (!start && fields.find("core:sample_start") == nullptr) {
    fields.missing("core:sample_start", "must be the index of its first sample");
  }
  c.sample_start = start.value_or(m.offset);
  if (c.sample_start < m.offset) {
    fields.complain("core:sample_start", fmt::format("must be at least core:offset, {}", m.offset));
  }
  c.global_index = fields.count("core:global_index", 0, kAnyCount);
  c.frequency_hz = fields.number("core:frequency", -kMostHz, kMostHz);
  c.datetime = read_datetime(fields);
  c.header_bytes = fields.count("core:header_bytes", 0, kAnyCount).value_or(0);
  c.array = read_spatial_capture(fields, spatial, m.elements);
  return c;
}

void read_captures(const JsonFields& root, const SpatialGlobal& spatial, SigmfMetadata& m) {
  const json* list = root.find("captures");
  if (list == nullptr) return root.missing("captures", "must be a list of capture segments");
  if (!list->is_array()) return root.complain("captures", "must be a list");
  for (std::size_t i = 0; i < list->size(); ++i) {
    const JsonFields fields((*list)[i], fmt::format("captures[{}]", i), root.problems());
    SigmfCapture c = read_capture(fields, spatial, m);
    if (!m.captures.empty() && c.sample_start < m.captures.back().sample_start) {
      fields.complain("core:sample_start", "must not be below that of the capture before");
    }
    m.captures.push_back(std::move(c));
  }
  // The standard: no capture means one that begins with the data.
  if (m.captures.empty()) m.captures.push_back({.sample_start = m.offset});
}

SigmfAnnotation read_annotation(const JsonFields& fields) {
  SigmfAnnotation a;
  const auto start = fields.count("core:sample_start", 0, kAnyCount);
  if (!start && fields.find("core:sample_start") == nullptr) {
    fields.missing("core:sample_start", "must be the index of its first sample");
  }
  a.sample_start = start.value_or(0);
  a.sample_count = fields.count("core:sample_count", 0, kAnyCount);
  a.freq_lower_edge_hz = fields.number("core:freq_lower_edge", -kMostHz, kMostHz);
  a.freq_upper_edge_hz = fields.number("core:freq_upper_edge", -kMostHz, kMostHz);
  a.label = fields.text("core:label").value_or("");
  a.comment = fields.text("core:comment").value_or("");
  a.generator = fields.text("core:generator").value_or("");
  a.signal_azimuth_deg = fields.number("spatial:signal_azimuth", -3600.0, 3600.0);
  return a;
}

/// Takes annotations as the parser comes to their end, and has it forget them.
class AnnotationTaker {
 public:
  AnnotationTaker(Annotations wanted, SigmfMetadata& m, JsonProblems& problems)
      : wanted_(wanted), metadata_(m), problems_(problems) {}

  bool operator()(int depth, json::parse_event_t event, json& parsed) {
    if (event == json::parse_event_t::key && depth == 1) {
      inside_ = parsed == "annotations";
      return true;
    }
    const bool an_end = event == json::parse_event_t::object_end ||
                        event == json::parse_event_t::array_end ||
                        event == json::parse_event_t::value;
    if (!inside_ || !an_end || depth != 2) return true;
    take(parsed);
    return false;
  }

 private:
  void take(const json& parsed) {
    const JsonFields fields(parsed, fmt::format("annotations[{}]", index_++), problems_);
    SigmfAnnotation a = read_annotation(fields);
    const std::uint64_t count = std::min(a.sample_count.value_or(0), kAnyCount - a.sample_start);
    if (count > 0) {
      metadata_.annotated_end = std::max(metadata_.annotated_end, a.sample_start + count);
    }
    if (wanted_ == Annotations::keep) metadata_.annotations.push_back(std::move(a));
  }

  Annotations wanted_;
  SigmfMetadata& metadata_;
  JsonProblems& problems_;
  bool inside_ = false;
  std::size_t index_ = 0;
};

/// "scene.sigmf-meta:3: is not JSON": byte is that of the parser, from 1.
std::string not_json(std::string_view text, std::size_t byte, const std::string& name) {
  const auto end = text.begin() + static_cast<std::ptrdiff_t>(std::min(byte, text.size()));
  return fmt::format("{}:{}: is not JSON in UTF-8: the file is damaged or of another kind", name,
                     1 + std::count(text.begin(), end, '\n'));
}

}  // namespace

SigmfParse parse_sigmf(std::string_view text, const std::string& name, Annotations annotations) {
  SigmfParse result;
  JsonProblems problems{name, {}};
  json root;
  try {
    AnnotationTaker taker(annotations, result.metadata, problems);
    root = json::parse(text.begin(), text.end(), std::ref(taker));
  } catch (const json::parse_error& error) {
    return {{}, {not_json(text, error.byte, name)}};
  } catch (const json::exception&) {  // a number past any range
    return {{}, {fmt::format("{}: holds a number that is out of every range", name)}};
  }
  const JsonFields fields(root, "the file", problems);
  const json none = json::object();
  const json* global = fields.find("global");
  if (global == nullptr) fields.missing("global", "must be an object that says the sample type");
  const SpatialGlobal spatial = read_global(
      JsonFields(global == nullptr ? none : *global, "global", problems), result.metadata);
  read_captures(fields, spatial, result.metadata);
  result.problems = std::move(problems.lines);
  return result;
}

SigmfParse read_sigmf(const std::filesystem::path& meta_file, Annotations annotations) {
  std::error_code error;
  const auto size = std::filesystem::file_size(meta_file, error);
  if (!error && size > kMaxMetadataBytes) {
    return {{},
            {fmt::format("{}: is longer than {} bytes", meta_file.string(), kMaxMetadataBytes)}};
  }
  std::ifstream in(meta_file, std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  if (error || !in) {
    return {{},
            {fmt::format("{}: can't be read: {}", meta_file.string(),
                         error ? error.message() : "is it a file, and may we read it?")}};
  }
  return parse_sigmf(text, meta_file.string(), annotations);
}

std::filesystem::path sigmf_meta_path(const std::filesystem::path& recording) {
  std::filesystem::path path = recording;
  const auto extension = path.extension();
  if (extension == ".sigmf-meta") return path;
  if (extension == ".sigmf-data") return path.replace_extension(".sigmf-meta");
  path += ".sigmf-meta";
  return path;
}

std::filesystem::path sigmf_data_path(const std::filesystem::path& meta_file,
                                      const std::string& dataset) {
  if (!dataset.empty()) return meta_file.parent_path() / dataset;
  std::filesystem::path path = meta_file;
  return path.replace_extension(".sigmf-data");
}

}  // namespace fixwright::agent::iq
