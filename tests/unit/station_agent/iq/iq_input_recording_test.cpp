/// SigMF recordings written, held against the standard's schema, read back; and every fault of one.

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <cmath>
#include <complex>
#include <cstdlib>
#include <numbers>

#include "station_agent/source/iq/analytic.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/sigmf_writer.hpp"
#include "tests/unit/station_agent/iq/iq_input_fixture.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::iq {
namespace {

using testing::HasSubstr;

StreamFormat five_elements() {
  return {.rate_hz = 48'000.0,
          .centre_hz = 155e6,
          .elements = 5,
          .array = StreamArray{{array::circular_array(5, 0.5).elements, 30.0}, true}};
}

class Recording : public testing::Test {
 protected:
  [[nodiscard]] std::filesystem::path stem() const { return folder_.path() / "scene"; }
  [[nodiscard]] std::filesystem::path file(const char* suffix) const {
    return stem().string() + suffix;
  }

  std::unique_ptr<SigmfWriter> writer(const char* type) {
    auto w = SigmfWriter::open({.stem = stem(),
                                .type = parse_sample_type(type).value(),
                                .format = five_elements(),
                                .description = "a scene"});
    EXPECT_TRUE(w.ok()) << w.error();
    return std::move(w).value();
  }

  /// 3000 frames of noise in three blocks, 200 frames lost before the last.
  std::vector<SampleBlock> write_scene(const char* type) {
    auto w = writer(type);
    std::vector<SampleBlock> blocks;
    for (std::uint32_t i = 0; i < 3; ++i) {
      blocks.push_back(noise_block(5, 1000, i));
      blocks[i].lost_frames_before = i == 2 ? 200 : 0;
      blocks[i].start = kStart + time_of_frames(1000 * i + (i == 2 ? 200 : 0), 48'000.0);
      EXPECT_TRUE(w->write(blocks[i]).ok());
    }
    w->annotate({.sample_start = 1500,
                 .sample_count = 700,
                 .freq_lower_edge_hz = 154.99e6,
                 .freq_upper_edge_hz = 155.01e6,
                 .label = "OSM-12",
                 .comment = "narrowband \"voice\", ø",
                 .generator = "scene",
                 .signal_azimuth_deg = 211.2});
    w->annotate({.sample_start = 3});
    EXPECT_TRUE(w->finish().ok());
    return blocks;
  }

  std::unique_ptr<SampleStream> open(const RecordingHints& hints = {}, Pace pace = Pace::fast) {
    auto stream = open_recording(
        {.path = stem().string(), .hints = hints, .pace = pace, .block_frames = 256}, clock_);
    EXPECT_TRUE(stream.ok()) << stream.error();
    return stream.ok() ? std::move(stream).value() : nullptr;
  }

  std::string error_of_open(const RecordingHints& hints = {}) {
    const auto stream = open_recording({.path = stem().string(), .hints = hints}, clock_);
    return stream.ok() ? "" : stream.error();
  }

  /// Exit code of the validator, 0 when all metadata files of the folder are valid.
  static int validate(const std::filesystem::path& of) {
    const std::string folder = FIXWRIGHT_SIGMF_FOLDER;
    const std::string command = "/usr/bin/python3 " + folder + "/validate.py " + of.string() + " " +
                                folder + "/sigmf_schema.json " + folder + "/spatial_schema.json";
    const int status = std::system(command.c_str());
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

  static constexpr TimePoint kStart = std::chrono::sys_days{std::chrono::year{2031} / 5 / 4};
  TempFolder folder_;
  ManualClock clock_{kStart};
};

/// All samples of one element, put together.
struct Whole {
  std::vector<std::complex<float>> element_3;
  std::vector<std::uint64_t> lost;  // of blocks that tell of a gap
  ReadOutcome last;
};

Whole read_all(SampleStream& stream) {
  Whole whole;
  SampleBlock block;
  for (;;) {
    whole.last = stream.read(block, Duration{});
    if (whole.last.state != ReadState::samples) return whole;
    const auto e = block.element(3);
    whole.element_3.insert(whole.element_3.end(), e.begin(), e.end());
    if (block.lost_frames_before > 0) whole.lost.push_back(block.lost_frames_before);
  }
}

class EveryType : public Recording, public testing::WithParamInterface<const char*> {};

TEST_P(EveryType, IsWrittenAndReadBackToHalfAStep) {
  const auto written = write_scene(GetParam());
  const auto stream = open();
  ASSERT_NE(stream, nullptr);
  const Whole whole = read_all(*stream);
  EXPECT_EQ(whole.last.state, ReadState::ended);
  EXPECT_EQ(whole.lost, (std::vector<std::uint64_t>{200}));
  ASSERT_EQ(whole.element_3.size(), 3000U);
  const auto type = parse_sample_type(GetParam()).value();
  const bool is_byte = number_bytes(type.number) == 1;
  // Half a step of the integer, and the 24 digits of a float for the wider ones.
  const float step = is_byte ? 0.5F / 128.0F : 0.5F / 32768.0F;
  for (std::size_t f = 0; f < 3000; ++f) {
    const auto want = written[f / 1000].element(3)[f % 1000];
    ASSERT_NEAR(whole.element_3[f].real(), want.real(), step * 1.001F) << f;
    ASSERT_NEAR(whole.element_3[f].imag(), want.imag(), step * 1.001F) << f;
  }
}

constexpr auto kComplexTypes = std::to_array<const char*>(
    {"cf32_le", "cf32_be", "cf64_le", "cf64_be", "ci32_le", "ci32_be", "cu32_le", "cu32_be",
     "ci16_le", "ci16_be", "cu16_le", "cu16_be", "ci8", "cu8"});

INSTANTIATE_TEST_SUITE_P(Sigmf, EveryType, testing::ValuesIn(kComplexTypes),
                         [](const auto& param) { return std::string(param.param); });

TEST_F(Recording, OfEveryTypeIsValidByTheStandardsSchema) {
  for (const char* type : kComplexTypes) {
    write_scene(type);
    std::filesystem::rename(file(".sigmf-meta"),
                            folder_.path() / (std::string(type) + ".sigmf-meta"));
  }
  EXPECT_EQ(validate(folder_.path()), 0);
}

TEST_F(Recording, TheValidatorItselfRefusesWhatTheSchemaForbids) {
  write_scene("ci8");
  ASSERT_EQ(validate(folder_.path()), 0);
  const std::string whole = contents(file(".sigmf-meta"));
  for (const auto& [from, to] : {std::pair{"\"ci8\"", "\"i8\""}, std::pair{"48000.0", "0.25"},
                                 std::pair{"\"captures\"", "\"capture\""},
                                 std::pair{"\"spatial:num_elements\": 5", "\"a\": 5"}}) {
    std::string text = whole;
    const auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    text.replace(at, std::string(from).size(), to);
    put_contents(file(".sigmf-meta"), text);
    EXPECT_EQ(validate(folder_.path()), 1) << from;
  }
}

TEST_F(Recording, MetadataComesBackAsItWasWritten) {
  write_scene("ci16_le");
  const auto parse = read_sigmf(file(".sigmf-meta"), Annotations::keep);
  ASSERT_TRUE(parse.problems.empty()) << parse.problems[0];
  const SigmfMetadata& m = parse.metadata;
  EXPECT_EQ(m.rate_hz, 48'000.0);
  EXPECT_EQ(m.elements, 5U);
  EXPECT_EQ(m.description, "a scene");
  ASSERT_EQ(m.captures.size(), 2U);
  EXPECT_EQ(m.captures[1].sample_start, 2000U);
  EXPECT_EQ(m.captures[1].global_index, 2200U);
  ASSERT_EQ(m.annotations.size(), 2U);
  EXPECT_EQ(m.annotations[0].sample_start, 3U);  // put in order
  EXPECT_EQ(m.annotations[1].comment, "narrowband \"voice\", ø");
  EXPECT_EQ(m.annotations[1].signal_azimuth_deg, 211.2);
  EXPECT_EQ(m.annotations[1].freq_upper_edge_hz, 155.01e6);
}

TEST_F(Recording, TheArrayComesBackInOurFrame) {
  write_scene("ci16_le");
  const auto stream = open();
  ASSERT_NE(stream, nullptr);
  ASSERT_TRUE(stream->format().array);
  const auto& geometry = stream->format().array->geometry;
  EXPECT_TRUE(stream->format().array->orientation_known);
  EXPECT_EQ(geometry.orientation_deg, 30.0);
  const auto want = array::circular_array(5, 0.5);
  for (std::size_t e = 0; e < 5; ++e) {
    EXPECT_DOUBLE_EQ(geometry.elements[e].x_m, want.elements[e].x_m);
    EXPECT_DOUBLE_EQ(geometry.elements[e].y_m, want.elements[e].y_m);
  }
}

TEST_F(Recording, TimesOfBlocksFollowFromTheRateAndTheGap) {
  write_scene("ci16_le");
  const auto stream = open();
  SampleBlock block;
  std::vector<TimePoint> starts;
  std::vector<std::size_t> frames;
  while (stream->read(block, Duration{}).state == ReadState::samples) {
    starts.push_back(block.start);
    frames.push_back(block.frames);
  }
  // 2000 frames in blocks of 256, then 1000.
  ASSERT_EQ(frames.size(), 12U);
  EXPECT_EQ(frames[7], 208U);
  EXPECT_EQ(starts[0], kStart);
  EXPECT_EQ(starts[1], kStart + time_of_frames(256, 48'000.0));
  EXPECT_EQ(starts[8], kStart + time_of_frames(2200, 48'000.0));
}

TEST_F(Recording, ACentreThatChangesIsToldWithTheFirstBlockOfIt) {
  auto w = writer("ci16_le");
  auto block = noise_block(5, 300, 1);
  block.start = kStart;
  EXPECT_TRUE(w->write(block).ok());
  auto other = five_elements();
  other.centre_hz = 160e6;
  w->set_format(other);
  block.start = kStart + time_of_frames(300, 48'000.0);
  EXPECT_TRUE(w->write(block).ok());
  EXPECT_TRUE(w->finish().ok());
  const auto stream = open();
  EXPECT_FALSE(stream->read(block, Duration{}).format_changed);
  EXPECT_EQ(stream->format().centre_hz, 155e6);
  EXPECT_FALSE(stream->read(block, Duration{}).format_changed);
  EXPECT_EQ(block.frames, 44U);
  EXPECT_TRUE(stream->read(block, Duration{}).format_changed);
  EXPECT_EQ(stream->format().centre_hz, 160e6);
  EXPECT_EQ(block.lost_frames_before, 0U);
}

TEST_F(Recording, AtItsOwnPaceABlockComesWhenItIsOver) {
  write_scene("ci16_le");
  clock_.set(kStart + std::chrono::hours{5});
  for (const auto& [pace, shift] : {std::pair{Pace::recorded, Duration{}},
                                    std::pair{Pace::present, Duration{std::chrono::hours{5}}}}) {
    clock_.set(kStart + std::chrono::hours{5});
    const auto stream = open({}, pace);
    SampleBlock block;
    EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
    clock_.advance(std::chrono::milliseconds{5});
    EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
    clock_.advance(std::chrono::microseconds{334});  // 256 frames last 5333.3 us
    EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
    EXPECT_EQ(block.start, kStart + shift);
    EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::waiting);
  }
}

TEST_F(Recording, FaultsThatLeaveNothingToReadAreNamed) {
  EXPECT_THAT(error_of_open(), HasSubstr("scene.sigmf-meta: can't be read"));
  write_scene("ci16_le");
  EXPECT_THAT(error_of_open({.start = {}, .elements = 4}),
              HasSubstr("core:num_channels = 5: the array has 4 elements"));
  std::filesystem::remove(file(".sigmf-data"));
  EXPECT_THAT(error_of_open(),
              HasSubstr("scene.sigmf-data: the data file can't be opened: No such"));
  put_contents(file(".sigmf-data"), "");
  EXPECT_THAT(error_of_open(), HasSubstr("the data file holds no samples"));
  put_contents(file(".sigmf-meta"), "{\"global\": ");
  EXPECT_THAT(error_of_open(), HasSubstr("scene.sigmf-meta:1: is not JSON"));
}

TEST_F(Recording, AWrongTypeIsNamed) {
  write_scene("ci16_le");
  std::string text = contents(file(".sigmf-meta"));
  text.replace(text.find("ci16_le"), 7, "cf32_le");
  put_contents(file(".sigmf-meta"), text);
  EXPECT_THAT(error_of_open(), HasSubstr("core:datatype = cf32_le does not fit the samples"));
}

TEST_F(Recording, OfATruncatedFileTheGoodSamplesComeFirst) {
  write_scene("ci16_le");
  std::filesystem::resize_file(file(".sigmf-data"), 1700 * 20 + 3);
  const auto stream = open();
  const Whole whole = read_all(*stream);
  EXPECT_EQ(whole.element_3.size(), 1700U);
  EXPECT_EQ(whole.last.state, ReadState::failed);
  EXPECT_THAT(whole.last.note, HasSubstr("the data holds 1700 of them: it was truncated"));
}

TEST_F(Recording, AFileThatShrinksWhileItIsReadIsNamed) {
  write_scene("ci16_le");
  const auto stream = open();
  SampleBlock block;
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
  std::filesystem::resize_file(file(".sigmf-data"), 300 * 20);
  const ReadOutcome outcome = stream->read(block, Duration{});
  EXPECT_EQ(outcome.state, ReadState::failed);
  EXPECT_THAT(outcome.note, HasSubstr("became shorter while it was read"));
}

TEST_F(Recording, ALengthThatIsNoWholeNumberOfFramesIsNamed) {
  auto w = writer("cu8");
  EXPECT_TRUE(w->write(noise_block(5, 400, 3)).ok());
  EXPECT_TRUE(w->finish().ok());
  std::filesystem::resize_file(file(".sigmf-data"), 400 * 10 + 7);
  const Whole whole = read_all(*open());
  EXPECT_EQ(whole.element_3.size(), 400U);
  EXPECT_THAT(whole.last.note, HasSubstr("ends 7 bytes into a frame of 10"));
}

// 8000 real samples a second round 0 Hz; a carrier at 3 kHz stands 1 kHz above the new centre.
TEST_F(Recording, RealSamplesComeAtHalfTheRateRoundTheMiddleOfTheirBand) {
  SigmfMetadata m;
  m.type = parse_sample_type("ri8").value();
  m.rate_hz = 8000.0;
  m.captures = {{.sample_start = 0, .frequency_hz = 0.0, .datetime = kStart}};
  put_contents(file(".sigmf-meta"), to_json(m));
  std::string bytes;
  for (int i = 0; i < 4096; ++i) {
    bytes += static_cast<char>(std::lround(100.0 * std::cos(std::numbers::pi * 0.75 * i)));
  }
  put_contents(file(".sigmf-data"), bytes);
  const auto stream = open();
  EXPECT_EQ(stream->format().rate_hz, 4000.0);
  EXPECT_EQ(stream->format().centre_hz, 2000.0);
  SampleBlock block;
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
  EXPECT_EQ(block.frames, 256U);
  EXPECT_EQ(block.start, kStart - time_of_frames(AnalyticFilter::delay_frames(), 8000.0));
  EXPECT_EQ(stream->read(block, Duration{}).state, ReadState::samples);
  // 1 kHz at 4 kHz: a quarter turn a sample. 100 / 128 of full scale.
  const auto turn = block.samples[101] / block.samples[100];
  EXPECT_NEAR(std::arg(turn), std::numbers::pi / 2.0, 0.02);
  EXPECT_NEAR(std::abs(block.samples[100]), 100.0 / 128.0, 0.01);
}

TEST_F(Recording, AStuckElementIsSeen) {
  auto w = writer("ci8");
  auto block = noise_block(5, 512, 4);
  for (auto& s : block.element(2)) s = {0.25F, -0.125F};
  EXPECT_TRUE(w->write(block).ok());
  EXPECT_TRUE(w->finish().ok());
  const auto stream = open();
  EXPECT_EQ(stream->read(block, Duration{}).stuck, 0b00100U);
}

TEST_F(Recording, AWriterRefusesWhatTheStandardDoesNotAllow) {
  const auto error = [&](const char* type, double rate_hz, const std::filesystem::path& to) {
    const auto w = SigmfWriter::open({.stem = to,
                                      .type = parse_sample_type(type).value(),
                                      .format = {.rate_hz = rate_hz, .elements = 1}});
    return w.ok() ? "" : w.error();
  };
  EXPECT_THAT(error("ri16_le", 1e6, stem()), HasSubstr("must be complex"));
  EXPECT_THAT(error("ci16_le", 0.5, stem()), HasSubstr("the rate must be 1 to 1e12 Hz"));
  EXPECT_THAT(error("ci16_le", 1e6, folder_.path() / "none" / "x"), HasSubstr("can't be written"));
}

// A recording in the form that another program gives: tests/unit/station_agent/iq/sigmf/README.md.
TEST_F(Recording, ARecordingInTheStandardsFormByOtherSoftwareIsRead) {
  const std::string path = FIXWRIGHT_SIGMF_FOLDER "/other_software.sigmf-meta";
  EXPECT_EQ(validate(FIXWRIGHT_SIGMF_FOLDER), 0);
  auto stream = open_recording({.path = path}, clock_);
  ASSERT_TRUE(stream.ok()) << stream.error();
  const StreamFormat& format = (*stream)->format();
  EXPECT_EQ(format.rate_hz, 40e6);
  EXPECT_EQ(format.centre_hz, 740e6);
  ASSERT_EQ(format.elements, 4U);
  ASSERT_TRUE(format.array);
  EXPECT_EQ(format.array->geometry.orientation_deg, 270.0);
  // "spacing of 20cm", the first at y = 0.3: 0.3 m to the left of the boresight.
  EXPECT_EQ(format.array->geometry.elements[0].x_m, -0.3);
  SampleBlock block;
  EXPECT_EQ((*stream)->read(block, Duration{}).state, ReadState::samples);
  // The bytes in the file: element e of frame f is I = 256 (e + 1), Q = f.
  ASSERT_EQ(block.frames, 64U);
  EXPECT_EQ(block.element(2)[5], (std::complex<float>{768.0F / 32768.0F, 5.0F / 32768.0F}));
  EXPECT_EQ(format_rfc3339(block.start, 6), "1955-11-05T14:00:00.000000Z");
  EXPECT_EQ((*stream)->read(block, Duration{}).state, ReadState::ended);
}

}  // namespace
}  // namespace fixwright::agent::iq
