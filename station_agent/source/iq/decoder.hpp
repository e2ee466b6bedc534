#pragma once
/// From a stretch of a stream's bytes, of whatever SigMF type, to one block.

#include <cstddef>
#include <span>
#include <vector>

#include "station_agent/detect/sample_block.hpp"
#include "station_agent/source/iq/analytic.hpp"
#include "station_agent/source/iq/converter.hpp"
#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

class Decoder {
 public:
  /// \pre 1 to 32 elements.
  Decoder(const SampleType& type, std::size_t elements);

  /// Bytes of one frame of the stream.
  [[nodiscard]] std::size_t frame_bytes() const { return frame_bytes_; }
  /// Frames of the stream that make one of ours: 2 of real types (analytic.hpp), else 1.
  [[nodiscard]] std::size_t decimation() const { return real_.empty() ? 1 : 2; }
  /// Of the band of real types: how far its centre lies above that of the stream, as a share of
  /// the stream's rate.
  [[nodiscard]] double centre_shift() const { return real_.empty() ? 0.0 : 0.25; }
  /// Frames of the stream by which our samples lag behind.
  [[nodiscard]] std::size_t delay_frames() const;

  /// Forgets what came before: after a gap.
  void reset();
  /// Gives the block its size and fills it. A frame that is left over where two are needed is
  /// dropped. \pre whole frames.
  void decode(std::span<const std::byte> bytes, SampleBlock& block);

 private:
  void decode_real(std::span<const std::byte> bytes, std::size_t frames, SampleBlock& block);

  NumberReader numbers_;
  std::size_t elements_;
  std::size_t frame_bytes_;
  std::vector<Converter> complex_;    // one of complex types, none of real ones
  std::vector<AnalyticFilter> real_;  // one an element of real types, none of complex ones
  std::vector<float> interleaved_;
  std::vector<float> one_element_;
};

}  // namespace fixwright::agent::iq
