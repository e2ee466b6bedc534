/// What the metadata of a SigMF recording says, and every mistake in it as one line.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "station_agent/source/iq/recording_plan.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"

namespace fixwright::agent::iq {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

SigmfParse parse(const std::string& json) { return parse_sigmf(json, "r.sigmf-meta"); }

std::string recording(const std::string& global, const std::string& captures = "") {
  return R"({"global": {"core:datatype": "ci16_le", "core:version": "1.2.0",
             "core:sample_rate": 1000)" +
         global + R"(}, "captures": [)" + captures + R"(], "annotations": []})";
}

constexpr const char* kCapture =
    R"({"core:sample_start": 0, "core:frequency": 1e8, "core:datetime": "2031-05-04T10:00:00Z"})";

TEST(SigmfMetadata, TheFieldsWeUseAreRead) {
  const auto p = parse(recording(R"(, "core:num_channels": 5, "core:offset": 100,
                                     "core:description": "five elements")",
                                 R"({"core:sample_start": 100, "core:global_index": 160,
                                     "core:frequency": 155125000.5,
                                     "core:datetime": "2031-05-04T10:15:02.1234567891Z"})"));
  EXPECT_THAT(p.problems, IsEmpty());
  EXPECT_EQ(to_string(p.metadata.type), "ci16_le");
  EXPECT_EQ(p.metadata.rate_hz, 1000.0);
  EXPECT_EQ(p.metadata.elements, 5U);
  EXPECT_EQ(p.metadata.offset, 100U);
  EXPECT_EQ(p.metadata.description, "five elements");
  ASSERT_EQ(p.metadata.captures.size(), 1U);
  const SigmfCapture& c = p.metadata.captures[0];
  EXPECT_EQ(c.global_index, 160U);
  EXPECT_EQ(c.frequency_hz, 155125000.5);
  // The standard allows any number of digits; ours end at the nanosecond.
  EXPECT_EQ(format_rfc3339(*c.datetime, 9), "2031-05-04T10:15:02.123456789Z");
}

// SigMF 1.2: "captures": [] implies one capture that begins with the data.
TEST(SigmfMetadata, NoCaptureMeansOneFromTheBeginning) {
  const auto p = parse(recording(R"(, "core:offset": 7)"));
  EXPECT_THAT(p.problems, IsEmpty());
  ASSERT_EQ(p.metadata.captures.size(), 1U);
  EXPECT_EQ(p.metadata.captures[0].sample_start, 7U);
}

TEST(SigmfMetadata, EveryBadValueIsOneLineWithFilePlaceKeyValueAndRule) {
  const auto p = parse(R"({"global": {"core:datatype": "ci24", "core:version": 1,
      "core:sample_rate": 0.5, "core:num_channels": 0, "core:metadata_only": "no"},
      "captures": [{"core:sample_start": -1, "core:frequency": "high",
                    "core:datetime": "yesterday"}, {"core:frequency": 2e12}],
      "annotations": [{"core:sample_count": 3}, 7]})");
  EXPECT_THAT(
      p.problems,
      ElementsAre(
          HasSubstr("r.sigmf-meta: annotations[0] core:sample_start: missing: must be"),
          "r.sigmf-meta: annotations[1] = 7: must be an object",
          HasSubstr("annotations[1] core:sample_start: missing"),
          HasSubstr("r.sigmf-meta: global core:datatype = \"ci24\": must be c or r"),
          "r.sigmf-meta: global core:version = 1: must be a text",
          "r.sigmf-meta: global core:metadata_only = \"no\": must be true or false",
          "r.sigmf-meta: global core:sample_rate = 0.5: must be a number, 1 to 1e+12",
          "r.sigmf-meta: global core:num_channels = 0: must be a whole number, 1 to 32",
          HasSubstr("captures[0] core:sample_start = -1: must be a whole number, 0 to"),
          "r.sigmf-meta: captures[0] core:frequency = \"high\": must be a number, -1e+12 to 1e+12",
          HasSubstr("captures[0] core:datetime = \"yesterday\": must be a time such as"),
          HasSubstr("captures[1] core:sample_start: missing"),
          HasSubstr("captures[1] core:frequency = 2000000000000.0: must be a number")));
}

TEST(SigmfMetadata, WhatIsMissingIsNamed) {
  EXPECT_THAT(parse("{}").problems, ElementsAre(HasSubstr("the file global: missing"),
                                                HasSubstr("global core:datatype: missing"),
                                                HasSubstr("global core:version: missing"),
                                                HasSubstr("global core:sample_rate: missing"),
                                                HasSubstr("the file captures: missing")));
}

TEST(SigmfMetadata, WhatIsNotJsonIsOneLineWithItsNumber) {
  EXPECT_THAT(parse("{\n\"global\": {,\n").problems,
              ElementsAre(HasSubstr("r.sigmf-meta:2: is not JSON in UTF-8")));
  EXPECT_THAT(parse("").problems, ElementsAre(HasSubstr("r.sigmf-meta:1: is not JSON")));
  EXPECT_THAT(parse("\"\xff\"").problems, ElementsAre(HasSubstr("is not JSON in UTF-8")));
  EXPECT_THAT(parse("[1e999]").problems, ElementsAre(HasSubstr("out of every range")));
}

TEST(SigmfMetadata, CapturesOutOfOrderAreRefused) {
  EXPECT_THAT(
      parse(recording("", R"({"core:sample_start": 9}, {"core:sample_start": 8})")).problems,
      ElementsAre(HasSubstr("captures[1] core:sample_start = 8: must not be below")));
}

// SigMF 1.2, core:extensions: what is not optional and not supported is an error.
TEST(SigmfMetadata, AnExtensionThatWeMustKnowAndDoNotIsRefused) {
  const auto with = [](const std::string& list) {
    return parse(recording(R"(, "core:extensions": )" + list)).problems;
  };
  EXPECT_THAT(with(R"([{"name": "extension-01", "version": "0.0.5", "optional": true}])"),
              IsEmpty());
  EXPECT_THAT(with(R"([{"name": "spatial", "version": "1.1.0", "optional": false}])"), IsEmpty());
  EXPECT_THAT(with(R"([{"name": "extension-02", "version": "1.2.3", "optional": false}])"),
              ElementsAre(HasSubstr("global core:extensions[0] name = \"extension-02\"")));
}

TEST(SigmfMetadata, AnnotationsAreKeptOnlyWhereTheyAreWanted) {
  const std::string json = R"({"global": {"core:datatype": "cu8", "core:version": "1.2.0",
      "core:sample_rate": 1e6, "a:b": [[{"x": 1}], {}]}, "annotations": [
      {"core:sample_start": 5, "core:sample_count": 10, "core:label": "OSM-12",
       "spatial:signal_azimuth": 120.2, "a:c": {"d": [1, {"e": 2}]}},
      {"core:sample_start": 7}], "captures": [{"core:sample_start": 0}]})";
  const auto kept = parse_sigmf(json, "r", Annotations::keep);
  EXPECT_THAT(kept.problems, IsEmpty());
  ASSERT_EQ(kept.metadata.annotations.size(), 2U);
  EXPECT_EQ(kept.metadata.annotations[0].label, "OSM-12");
  EXPECT_EQ(kept.metadata.annotations[0].signal_azimuth_deg, 120.2);
  EXPECT_EQ(kept.metadata.annotations[1].sample_start, 7U);
  const auto passed = parse_sigmf(json, "r");
  EXPECT_THAT(passed.metadata.annotations, IsEmpty());
  EXPECT_EQ(passed.metadata.annotated_end, 15U);
}

// The six-element planar array of the extension's own document (spatial 1.1.0, section 5): bearing
// 1.13124; the first element stands at [0, 0.1, 0.05]: 0.1 m to the left, 0.05 m up.
TEST(SigmfSpatial, TheExtensionsPlanarArrayIsReadIntoOurFrame) {
  const auto p = parse(recording(R"(, "core:num_channels": 6, "spatial:num_elements": 6,
                                     "spatial:channel_index": 0)",
                                 R"({"core:sample_start": 0, "core:frequency": 1260000000.0,
      "spatial:aperture_bearing": {"azimuth": 1.13124},
      "spatial:element_geometry": [
        {"point": [0, 0.1, 0.05]}, {"point": [0, 0, 0.05]}, {"point": [0, -0.1, 0.05]},
        {"point": [0, 0.1, -0.05]}, {"point": [0, 0, -0.05]}, {"point": [0, -0.1, -0.05]}]})"));
  EXPECT_THAT(p.problems, IsEmpty());
  ASSERT_TRUE(p.metadata.captures[0].array);
  const StreamArray& array = *p.metadata.captures[0].array;
  EXPECT_TRUE(array.orientation_known);
  EXPECT_EQ(array.geometry.orientation_deg, 1.13124);
  ASSERT_EQ(array.geometry.elements.size(), 6U);
  EXPECT_EQ(array.geometry.elements[0].x_m, -0.1);
  EXPECT_EQ(array.geometry.elements[0].y_m, 0.0);
  EXPECT_EQ(array.geometry.elements[0].z_m, 0.05);
}

TEST(SigmfSpatial, ARecordingOfPartOfAnArrayTakesItsOwnElements) {
  const auto p = parse(recording(R"(, "core:num_channels": 2, "spatial:num_elements": 4,
                                     "spatial:channel_index": 1)",
                                 R"({"core:sample_start": 0, "spatial:element_geometry": [
      {"point": [1, 0, 0]}, {"point": [2, 0, 0]}, {"point": [3, 0, 0]}, {"unknown": true}]})"));
  EXPECT_THAT(p.problems, IsEmpty());
  const auto& array = p.metadata.captures[0].array;
  ASSERT_TRUE(array);
  EXPECT_FALSE(array->orientation_known);
  ASSERT_EQ(array->geometry.elements.size(), 2U);
  EXPECT_EQ(array->geometry.elements[0].y_m, 2.0);
  EXPECT_EQ(array->geometry.elements[1].y_m, 3.0);
}

TEST(SigmfSpatial, AnArrayUpsideDownHasItsSidesSwapped) {
  const auto p = parse(recording("", R"({"core:sample_start": 0, "spatial:aperture_rotation": 180,
                                         "spatial:element_geometry": [{"point": [0, 1, 0.5]}]})"));
  ASSERT_TRUE(p.metadata.captures[0].array);
  const auto& element = p.metadata.captures[0].array->geometry.elements[0];
  EXPECT_NEAR(element.x_m, 1.0, 1e-12);
  EXPECT_NEAR(element.z_m, -0.5, 1e-12);
}

TEST(SigmfSpatial, GeometryThatFitsNoElementIsNamed) {
  const auto with = [](const std::string& list) {
    return parse(recording(R"(, "core:num_channels": 2)",
                           R"({"core:sample_start": 0, "spatial:element_geometry": )" + list + "}"))
        .problems;
  };
  EXPECT_THAT(with("[{\"point\": [0, 0, 0]}]"), ElementsAre(HasSubstr("holds 1 points")));
  EXPECT_THAT(with("[{\"point\": [0, 0, 0]}, {\"point\": [0, 0]}]"),
              ElementsAre(HasSubstr("element 1: must be {\"point\": [x, y, z]}")));
  EXPECT_THAT(with("7"), ElementsAre(HasSubstr("= 7: must be a list of points")));
}

SigmfMetadata metadata_of(const std::string& global, const std::string& captures) {
  auto p = parse(recording(global, captures));
  EXPECT_THAT(p.problems, IsEmpty());
  return p.metadata;
}

TEST(RecordingPlan, LostFramesAreToldByTheCounterThatRanOn) {
  // The standard's own example of core:global_index: 500 samples, then 500 lost.
  const auto m = metadata_of("", R"({"core:sample_start": 0, "core:global_index": 0,
      "core:frequency": 1e8, "core:datetime": "2031-05-04T10:00:00Z"},
      {"core:sample_start": 500, "core:global_index": 1000, "core:frequency": 1e8})");
  const auto plan = plan_recording(m, 800 * 4, {}, "r");
  ASSERT_TRUE(plan.ok()) << plan.error();
  ASSERT_EQ(plan->stretches.size(), 2U);
  EXPECT_EQ(plan->stretches[1].lost_before, 500U);
  EXPECT_EQ(plan->stretches[1].frames, 300U);
  EXPECT_EQ(format_rfc3339(plan->stretches[1].start), "2031-05-04T10:00:01.000Z");
}

TEST(RecordingPlan, ALaterDatetimeMeansLostFramesAndAnEarlierOneIsRefused) {
  const auto at = [](const std::string& time) {
    return plan_recording(metadata_of("", kCapture + std::string(R"(, {"core:sample_start": 500,
        "core:frequency": 1e8, "core:datetime": ")") +
                                              time + "\"}"),
                          4000, {}, "r");
  };
  EXPECT_EQ(at("2031-05-04T10:00:00.5004Z").value().stretches[1].lost_before, 0U);
  EXPECT_EQ(at("2031-05-04T10:00:00.6Z").value().stretches[1].lost_before, 100U);
  EXPECT_THAT(at("2031-05-04T10:00:00.4Z").error(),
              HasSubstr("r: captures[1] core:datetime = 2031-05-04T10:00:00.400000Z: lies before"));
}

// The standard's own example of a Non-Conforming Dataset: cu8, 500 samples behind a header of 4
// bytes, the rest behind another: it begins at byte 1008.
TEST(RecordingPlan, HeadersBetweenTheSamplesArePassedOver) {
  auto m = metadata_of("", R"({"core:sample_start": 0, "core:header_bytes": 4},
                              {"core:sample_start": 500, "core:header_bytes": 4})");
  m.type = parse_sample_type("cu8").value();
  const auto plan = plan_recording(m, 1508, {.start = TimePoint{}, .centre_hz = 1e8}, "r");
  ASSERT_TRUE(plan.ok()) << plan.error();
  EXPECT_EQ(plan->stretches[0].file_offset, 4U);
  EXPECT_EQ(plan->stretches[1].file_offset, 1008U);
  EXPECT_EQ(plan->stretches[1].frames, 250U);
  EXPECT_EQ(plan->flaw, "");
}

TEST(RecordingPlan, WhatCannotBeReadIsNamed) {
  const auto m = metadata_of(R"(, "core:num_channels": 4)", kCapture);
  const auto error = [](const SigmfMetadata& metadata, std::uint64_t bytes,
                        const RecordingHints& hints) {
    return plan_recording(metadata, bytes, hints, "r").error();
  };
  EXPECT_EQ(error(m, 16, {.start = {}, .elements = 5}),
            "r: global core:num_channels = 4: the array has 5 elements");
  EXPECT_EQ(error(m, 15, {}), "r: the data file holds no samples");
  EXPECT_THAT(error(metadata_of("", R"({"core:sample_start": 0})"), 16, {}),
              HasSubstr("captures[0] core:datetime: missing: give source.iq.recording.start"));
  EXPECT_THAT(error(metadata_of("", R"({"core:sample_start": 0})"), 16, {.start = TimePoint{}}),
              HasSubstr("captures[0] core:frequency: missing: give source.iq.centre_hz"));
  EXPECT_THAT(error(metadata_of(R"(, "core:metadata_only": true)", kCapture), 16, {}),
              HasSubstr("it comes without samples"));
}

TEST(RecordingPlan, ATruncatedFileKeepsItsGoodSamplesAndIsNamed) {
  const auto flaw = [](const std::string& captures, std::uint64_t bytes) {
    const auto plan = plan_recording(metadata_of("", captures), bytes, {}, "r");
    return plan.ok() ? plan->flaw : plan.error();
  };
  const std::string two = kCapture + std::string(R"(, {"core:sample_start": 500,
                                                       "core:frequency": 1e8})");
  EXPECT_EQ(flaw(two, 4000), "");
  EXPECT_THAT(flaw(two, 1200), HasSubstr("captures[1] begins 500 frames after captures[0], the "
                                         "data holds 300 of them: it was truncated"));
  EXPECT_THAT(flaw(kCapture, 1203), HasSubstr("the data ends 3 bytes into a frame of 4"));
  auto annotated = metadata_of("", kCapture);
  annotated.annotated_end = 400;
  EXPECT_THAT(plan_recording(annotated, 1200, {}, "r").value().flaw,
              HasSubstr("annotations reach to sample 400, the data to 300: it was truncated"));
}

TEST(RecordingPlan, SilentOverflowIsNoWayToANegativeTime) {
  const auto m = metadata_of("", kCapture + std::string(R"(, {"core:sample_start": 1,
      "core:global_index": 18446744073709551615, "core:frequency": 1e8})"));
  EXPECT_THAT(plan_recording(m, 4000, {}, "r").error(), HasSubstr("more than ten years"));
  const auto far = metadata_of("", R"({"core:sample_start": 18446744073709551615,
      "core:frequency": 1e8, "core:datetime": "2031-05-04T10:00:00Z"})");
  EXPECT_THAT(plan_recording(far, 4000, {}, "r").error(), HasSubstr("ends before captures[0]"));
  const auto timeless = metadata_of("", R"({"core:sample_start": 0, "core:frequency": 1e8})");
  EXPECT_THAT(plan_recording(timeless, 4000, {.start = TimePoint::min()}, "r").error(),
              HasSubstr("must be 1920 to 2199"));
}

}  // namespace
}  // namespace fixwright::agent::iq
