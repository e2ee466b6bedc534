#pragma once
/// Writes a SigMF recording of all elements: STEM.sigmf-data while samples come, and
/// STEM.sigmf-meta when it is finished. Valid by the standard's own schema.

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <memory>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "station_agent/detect/sample_block.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"

namespace fixwright::agent::iq {

struct SigmfWriterConfig {
  std::filesystem::path stem;  // without .sigmf-meta; existing files are replaced
  SampleType type;             // complex
  StreamFormat format;         // written with the first capture
  std::string description{};
};

class SigmfWriter {
 public:
  /// Fails with one line when the data file can't be written or the format is out of range:
  /// rate 1 to 1e12 Hz, centre within 1e12 Hz, 1 to kMaxElements elements, complex.
  static Result<std::unique_ptr<SigmfWriter>> open(const SigmfWriterConfig& config);

  /// Appends the block. The first block, one after a gap (lost_frames_before) and one after
  /// set_format() begin a capture with the block's own time. Numbers beyond full scale are
  /// written at its end. Fails with one line when the disk is full.
  Result<bool> write(const SampleBlock& block);
  /// For the blocks that follow: another centre or array. \pre same rate and elements.
  void set_format(const StreamFormat& format);
  /// Sample indices as in SigmfAnnotation; frames_written() is that of the next frame.
  /// Annotations are put in order by finish().
  void annotate(SigmfAnnotation annotation);
  [[nodiscard]] std::uint64_t frames_written() const { return frames_; }

  /// Writes the metadata file. \pre called once, last.
  Result<bool> finish();

 private:
  explicit SigmfWriter(const SigmfWriterConfig& config);
  void begin_capture(const SampleBlock& block);
  void encode(const SampleBlock& block);

  std::filesystem::path stem_;
  SigmfMetadata metadata_;
  StreamFormat format_;
  bool capture_due_ = true;
  std::uint64_t frames_ = 0;
  std::uint64_t lost_ = 0;
  std::vector<std::byte> bytes_;
  std::ofstream data_;
};

}  // namespace fixwright::agent::iq
