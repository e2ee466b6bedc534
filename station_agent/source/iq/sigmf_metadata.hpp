#pragma once
/// What the metadata file of a SigMF recording says, as far as it concerns us: the core of SigMF
/// 1.2 (its sigmf-schema.json) and the geometry of the extension `spatial` 1.1.0.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

inline constexpr std::uintmax_t kMaxMetadataBytes = 16U << 20U;
/// Recordings of 1920 to 2199 are read: differences of their times fit into a Duration.
inline constexpr TimePoint kEarliestRecording =
    std::chrono::sys_days{std::chrono::year{1920} / 1 / 1};
inline constexpr TimePoint kLatestRecording =
    std::chrono::sys_days{std::chrono::year{2200} / 1 / 1};

/// A stretch of the recording with one centre frequency. Frames are the standard's sample
/// indices: one for all interleaved channels.
struct SigmfCapture {
  std::uint64_t sample_start = 0;
  std::optional<std::uint64_t> global_index{};  // of sample_start before any were lost
  std::optional<double> frequency_hz{};         // -1e12 to 1e12
  std::optional<TimePoint> datetime{};          // of sample_start
  std::uint64_t header_bytes = 0;               // before its samples, to be passed over
  std::optional<StreamArray> array{};           // spatial: element_geometry, aperture
};

struct SigmfAnnotation {
  std::uint64_t sample_start = 0;
  std::optional<std::uint64_t> sample_count{};
  std::optional<double> freq_lower_edge_hz{};  // both edges or neither
  std::optional<double> freq_upper_edge_hz{};
  std::string label{};
  std::string comment{};
  std::string generator{};
  /// Clockwise from the aperture's boresight, as the extension defines it; with no aperture told
  /// that is true north.
  std::optional<double> signal_azimuth_deg{};
};

struct SigmfMetadata {
  SampleType type;
  double rate_hz = 0.0;      // of the stream's frames; 1 to 1e12
  std::size_t elements = 1;  // core:num_channels
  std::uint64_t offset = 0;  // index of the first frame in the data file
  std::string dataset{};     // name of a data file that isn't called as usual
  std::uint64_t trailing_bytes = 0;
  bool metadata_only = false;
  std::string description{};
  std::vector<SigmfCapture> captures;  // one at least, ascending
  std::vector<SigmfAnnotation> annotations{};
  /// The frame after the last that an annotation with a count tells of; 0: none.
  std::uint64_t annotated_end = 0;
};

struct SigmfParse {
  SigmfMetadata metadata;
  /// One line a mistake, the first 20: "scene.sigmf-meta: captures[1] core:frequency = "high":
  /// must be a number, -1e12 to 1e12". The metadata is of use only when there is none.
  std::vector<std::string> problems;
};

enum class Annotations { keep, pass_over };

/// Any bytes may be given. Memory stays in proportion to global and captures: annotations are
/// read one by one.
SigmfParse parse_sigmf(std::string_view json, const std::string& name,
                       Annotations annotations = Annotations::pass_over);
SigmfParse read_sigmf(const std::filesystem::path& meta_file,
                      Annotations annotations = Annotations::pass_over);

/// The metadata file as text. Valid by the standard's schema when the metadata is in range.
std::string to_json(const SigmfMetadata& metadata);

/// "x.sigmf-meta" for that, for "x.sigmf-data" and for "x".
std::filesystem::path sigmf_meta_path(const std::filesystem::path& recording);
std::filesystem::path sigmf_data_path(const std::filesystem::path& meta_file,
                                      const std::string& dataset);

}  // namespace fixwright::agent::iq
