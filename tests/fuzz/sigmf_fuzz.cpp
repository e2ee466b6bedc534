/// libFuzzer target: whatever bytes stand in the metadata file of a recording, reading it and
/// planning how to read its data end, and what is accepted is in range. Run: sigmf_fuzz
/// tests/fuzz/corpus/sigmf

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "station_agent/source/iq/recording_plan.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"

namespace {

namespace iq = fixwright::agent::iq;
constexpr std::uint64_t kDataBytes = 1'000'003;

/// Every stretch lies within the data file, and times do not go back.
bool is_sound(const iq::RecordingPlan& plan, std::uint64_t frame_bytes) {
  std::uint64_t end = 0;
  fixwright::TimePoint last = fixwright::TimePoint::min();
  for (const iq::RecordingStretch& s : plan.stretches) {
    if (s.file_offset < end || s.frames == 0 || s.frames > kDataBytes / frame_bytes) return false;
    end = s.file_offset + s.frames * frame_bytes;
    if (end > kDataBytes || s.start < last) return false;
    last = s.start;
  }
  return !plan.stretches.empty();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const iq::SigmfParse parse = iq::parse_sigmf(text, "fuzz", iq::Annotations::keep);
  if (!parse.problems.empty()) return 0;
  const iq::SigmfMetadata& m = parse.metadata;
  if (m.elements < 1 || m.elements > iq::kMaxElements || m.captures.empty()) std::abort();
  // What we write of it is read again without complaint.
  if (!iq::parse_sigmf(iq::to_json(m), "again").problems.empty()) std::abort();
  const auto plan = iq::plan_recording(m, kDataBytes, {.start = {}, .centre_hz = 1e8}, "fuzz");
  if (plan && !is_sound(*plan, m.elements * iq::sample_bytes(m.type))) std::abort();
  return 0;
}
