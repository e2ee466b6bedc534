#include "station_agent/source/lines/line_parser.hpp"

#include <gmock/gmock.h>

#include "station_agent/source/lines/line_time.hpp"
#include "tests/unit/station_agent/mapping_of.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using testing::HasSubstr;

constexpr TimePoint kArrival{std::chrono::seconds{1'935'655'200}};

SourceBearing good(std::string_view line, const std::string& mapping) {
  const auto b = parse_line(line, mapping_of(mapping), kArrival);
  EXPECT_TRUE(b.ok()) << b.error();
  return b.ok() ? *b : SourceBearing{};
}

std::string refusal(std::string_view line, const std::string& mapping = "") {
  const auto b = parse_line(line, mapping_of(mapping), kArrival);
  EXPECT_FALSE(b.ok()) << line;
  return b.ok() ? "" : b.error();
}

constexpr std::string_view kPlain =
    R"({"time":"2031-05-04T10:15:02.25Z","frequency_hz":156800000,"azimuth_deg":118.25,"sigma_deg":2})";

TEST(LineParser, ObjectWithOurOwnNamesNeedsNoMapping) {
  const SourceBearing b = good(kPlain, "");
  EXPECT_EQ(b.start, *parse_rfc3339("2031-05-04T10:15:02.25Z"));
  EXPECT_EQ(b.integration, Duration{0});
  EXPECT_EQ(b.frequency_hz, 156'800'000.0);
  EXPECT_EQ(b.azimuth_deg, 118.25);
  EXPECT_EQ(b.sigma_deg, 2.0);
  EXPECT_FALSE(b.level_dbfs || b.snr_db || b.bandwidth_hz || b.label || b.overload);
}

TEST(LineParser, EveryFieldFindsItsPlace) {
  const SourceBearing b = good(
      R"({"t":1935655200123,"len":250,"df":{"brg":[350.5]},"mhz":433.92,"err":3,"lv":-40,"e":12,)"
      R"("sn":17.5,"bw":12.5,"id":" OSM-12 ","ovl":true,"unc":0,"alt":[[200,0.5],[20.5,0.125]]})",
      R"(
[fields]
time = "t"
integration = "len"
azimuth = "/df/brg/0"
frequency = "mhz"
sigma = "err"
level = "lv"
field_strength = "e"
snr = "sn"
bandwidth = "bw"
label = "id"
overload = "ovl"
uncalibrated = "unc"
alternatives = "alt"
[time]
format = "unix_ms"
integration_unit = "ms"
marks = "end"
[frequency]
unit = "mhz"
[sigma]
scale = 0.5
[level]
level_offset_db = -10.0
field_strength_offset_db = 20.0
bandwidth_unit = "khz"
)");
  EXPECT_EQ(b.integration, milliseconds{250});
  EXPECT_EQ(b.start, kArrival + milliseconds{123} - milliseconds{250});
  EXPECT_EQ(b.azimuth_deg, 350.5);
  EXPECT_NEAR(b.frequency_hz, 433.92e6, 1e-6);  // one product of doubles
  EXPECT_EQ(b.sigma_deg, 1.5);
  EXPECT_EQ(b.level_dbfs, -50.0);
  EXPECT_EQ(b.field_strength_dbuv_per_m, 32.0);
  EXPECT_EQ(b.snr_db, 17.5);
  EXPECT_EQ(b.bandwidth_hz, 12'500.0);
  EXPECT_EQ(b.label, "OSM-12");
  EXPECT_TRUE(b.overload);
  EXPECT_FALSE(b.uncalibrated);
  ASSERT_EQ(b.alternatives.size(), 2U);
  EXPECT_EQ(b.alternatives[1].azimuth_deg, 20.5);
  EXPECT_EQ(b.alternatives[1].weight, 0.125);
}

TEST(LineParser, ColumnsByNumberWithTabsAndDecimalCommas) {
  const std::string mapping = R"(
[text]
format = "delimited"
separator = "\t"
header = false
decimal = ","
[fields]
time = "1"
azimuth = "3"
frequency = "2"
sigma = "4"
[time]
format = "unix_s"
[frequency]
unit = "khz"
)";
  const SourceBearing b = good("1935655200.5\t156800\t118,25\t2,5\textra", mapping);
  EXPECT_EQ(b.start, kArrival + milliseconds{500});
  EXPECT_EQ(b.frequency_hz, 156.8e6);
  EXPECT_EQ(b.azimuth_deg, 118.25);
  EXPECT_EQ(b.sigma_deg, 2.5);
}

TEST(LineParser, RunsOfBlanksSeparateAsOneAndQuotesHoldBlanks) {
  const SourceBearing b = good("  DF   118.25 \t 156.8   \"OSM 12\"  ", R"(
[text]
format = "delimited"
separator = " "
header = false
[fields]
time = ""
azimuth = "2"
frequency = "3"
sigma = ""
label = "4"
[time]
format = "arrival"
fixed_integration_s = 0.5
[frequency]
unit = "mhz"
[sigma]
fixed_deg = 2.0
)");
  EXPECT_EQ(b.azimuth_deg, 118.25);
  EXPECT_EQ(b.label, "OSM 12");
  EXPECT_EQ(b.start, kArrival - milliseconds{500});  // the line comes when the interval ends
}

// ---- Azimuth conventions ----------------------------------------------------------------------

double azimuth(double raw, const std::string& conventions, double heading = 0.0) {
  return true_azimuth_deg(raw, heading, mapping_of(conventions).azimuth);
}

// Source: US FAA fix definitions, as in the project's table of navaid radials: a radial of UNZ,
// 244.75 magnetic at a published variation of 2.0 E, is the true azimuth 246.75.
TEST(AzimuthConvention, EastDeclinationIsAddedToMagneticToGiveTrue) {
  EXPECT_NEAR(azimuth(244.75, "[azimuth]\nreference = \"magnetic\"\ndeclination_deg = 2.0"), 246.75,
              1e-12);  // a sum of doubles
  EXPECT_NEAR(azimuth(359.0, "[azimuth]\nreference = \"magnetic\"\ndeclination_deg = 2.0"), 1.0,
              1e-12);
}

TEST(AzimuthConvention, WestDeclinationIsNegative) {
  EXPECT_NEAR(azimuth(1.0, "[azimuth]\nreference = \"magnetic\"\ndeclination_deg = -3.5"), 357.5,
              1e-12);
}

TEST(AzimuthConvention, DeclinationIsNotAddedToTrueAzimuths) {
  EXPECT_EQ(azimuth(10.0, "[azimuth]\ndeclination_deg = 2.0"), 10.0);
}

TEST(AzimuthConvention, CounterClockwiseTurnsTheOtherWay) {
  EXPECT_EQ(azimuth(90.0, "[azimuth]\nsense = \"counter_clockwise\""), 270.0);
  EXPECT_EQ(azimuth(-90.0, "[azimuth]\nsense = \"counter_clockwise\""), 90.0);
}

TEST(AzimuthConvention, MathematicalAnglesAreCounterClockwiseFromEast) {
  const std::string mathematical = R"(
[azimuth]
reference = "relative"
sense = "counter_clockwise"
mount_offset_deg = 90.0
)";
  EXPECT_EQ(azimuth(0.0, mathematical), 90.0);  // east
  EXPECT_EQ(azimuth(90.0, mathematical), 0.0);  // north
  EXPECT_EQ(azimuth(180.0, mathematical), 270.0);
}

TEST(AzimuthConvention, RelativeAddsMountOffsetAndHeading) {
  const std::string relative = "[azimuth]\nreference = \"relative\"\nmount_offset_deg = -30.0";
  EXPECT_EQ(azimuth(10.0, relative), 340.0);
  EXPECT_EQ(azimuth(10.0, relative, 100.0), 80.0);
}

TEST(AzimuthConvention, ThreeHundredAndSixtyIsNorthAndNegativesWrap) {
  EXPECT_EQ(azimuth(360.0, ""), 0.0);
  EXPECT_EQ(azimuth(-180.0, ""), 180.0);
}

TEST(AzimuthConvention, RadiansBecomeDegrees) {
  EXPECT_NEAR(azimuth(1.5707963267948966, "[azimuth]\nunit = \"rad\""), 90.0, 1e-12);
}

// ---- Sigma from quality -------------------------------------------------------------------------

constexpr const char* kQuality = R"(
[fields]
sigma = ""
quality = "q"
[[sigma.quality_step]]
at_least = 80.0
sigma_deg = 1.0
[[sigma.quality_step]]
at_least = 50.0
sigma_deg = 4.0
[[sigma.quality_step]]
equals = "poor"
sigma_deg = 10.0
)";

double sigma_of(const std::string& quality) {
  return good(R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"azimuth_deg":1,"q":)" +
                  quality + "}",
              kQuality)
      .sigma_deg;
}

TEST(SigmaFromQuality, FirstStepThatFitsCounts) {
  EXPECT_EQ(sigma_of("95"), 1.0);
  EXPECT_EQ(sigma_of("80"), 1.0);
  EXPECT_EQ(sigma_of("79.9"), 4.0);
  EXPECT_EQ(sigma_of("\"poor\""), 10.0);
}

TEST(SigmaFromQuality, QualityBelowEveryStepIsRefusedNotGuessed) {
  EXPECT_THAT(
      refusal(R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"azimuth_deg":1,"q":12})",
              kQuality),
      HasSubstr("quality \"12\": fits no source.lines.sigma.quality_step"));
}

// ---- Bad lines ----------------------------------------------------------------------------------

struct BadLine {
  std::string line;
  std::string complaint;
};

class BadLines : public testing::TestWithParam<BadLine> {};

TEST_P(BadLines, GetOneLineThatNamesTheValueAndTheRule) {
  const std::string text = refusal(GetParam().line);
  EXPECT_THAT(text, HasSubstr(GetParam().complaint));
  EXPECT_EQ(text.find('\n'), std::string::npos);
}

std::string with(const std::string& replaced, const std::string& by) {
  std::string line(kPlain);
  return line.replace(line.find(replaced), replaced.size(), by);
}

INSTANTIATE_TEST_SUITE_P(
    Json, BadLines,
    testing::Values(
        BadLine{with("118.25", "361"), "azimuth \"361\": must be -180 to 360"},
        BadLine{with("118.25", "-180.5"), "azimuth \"-180.5\": must be -180 to 360"},
        BadLine{with("118.25", "null"), "azimuth: is missing"},
        BadLine{with("118.25", "\"north\""), "azimuth \"north\": must be a number"},
        BadLine{with("118.25", "\"nan\""), "azimuth \"nan\": must be a number"},
        BadLine{with("118.25", "{}"), "azimuth: must be a number or text, not object"},
        BadLine{with("118.25", "[1]"), "azimuth: must be a number or text, not array"},
        BadLine{with("\"sigma_deg\":2", "\"sigma_deg\":0"), "sigma \"0\": must be more than 0"},
        BadLine{with("\"sigma_deg\":2", "\"sigma_deg\":-1"), "sigma \"-1\": must be more than 0"},
        BadLine{with("\"sigma_deg\":2", "\"sigma_deg\":90.1"), "at most 90 degrees"},
        BadLine{with("\"sigma_deg\":2", "\"x\":2"), "sigma: is missing"},
        BadLine{with("156800000", "0"), "frequency \"0\": must be more than 0"},
        BadLine{with("156800000", "4e11"), "at most 3e11 Hz"},
        BadLine{with("156800000", "1e400"), "must be one whole JSON object"},
        BadLine{with("frequency_hz", "f"), "frequency: is missing"},
        BadLine{with("2031-05-04T10:15:02.25Z", "2031-05-04 noon"), "is not RFC 3339"},
        BadLine{with("2031-05-04T10:15:02.25Z", "2031-05-04T10:15:02"), "is not RFC 3339"},
        BadLine{with("\"time\"", "\"when\""), "time: is missing"},
        BadLine{std::string(kPlain.substr(0, 40)), "must be one whole JSON object"},
        BadLine{"[1,2,3]", "must be one whole JSON object"}, BadLine{"garbage", "JSON object"},
        BadLine{"\xFF\xFE{\"", "is not UTF-8"}, BadLine{std::string("{\0}", 3), "holds zero bytes"},
        BadLine{with("118.25", "118.25\xE9"), "is not UTF-8"}));

TEST(LineParser, TooFewColumnsAreHalfALine) {
  EXPECT_THAT(refusal("1935655200,156.8", R"(
[text]
format = "delimited"
header = false
[fields]
time = "1"
frequency = "2"
azimuth = "3"
sigma = "4"
)"),
              HasSubstr("has 2 columns, azimuth is in column 3: is it half a line?"));
}

TEST(LineParser, QuoteNeverClosedIsNamed) {
  const auto cells = split_delimited("1,\"OSM", {});
  ASSERT_FALSE(cells.ok());
  EXPECT_THAT(cells.error(), HasSubstr("a quote is never closed"));
}

TEST(LineParser, LatinOneIsConvertedWhenSaidSo) {
  const SourceBearing b = good(with("\"sigma_deg\":2", "\"sigma_deg\":2,\"id\":\"D\xFCne\""),
                               "[text]\nencoding = \"iso-8859-1\"\n[fields]\nlabel = \"id\"");
  EXPECT_EQ(b.label, "D\xC3\xBCne");
}

TEST(LineParser, LongLabelIsCutBetweenCharacters) {
  std::string label(63, 'a');
  label += "\xC3\xBC\xC3\xBC";  // its first byte would be the 64th
  const SourceBearing b = good(with("\"sigma_deg\":2", "\"sigma_deg\":2,\"id\":\"" + label + "\""),
                               "[fields]\nlabel = \"id\"");
  EXPECT_EQ(b.label, std::string(63, 'a'));
}

TEST(LineParser, LabelBringsNoControlCharacterIntoLogsOrDatabase) {
  const std::string mapping = "[fields]\nlabel = \"id\"";
  const SourceBearing b =
      good(with("\"sigma_deg\":2", R"("sigma_deg":2,"id":"OSM\u0000\n12")"), mapping);
  EXPECT_EQ(b.label, "OSM\\x00\\n12");
  EXPECT_FALSE(good(with("\"sigma_deg\":2", R"("sigma_deg":2,"id":" ")"), mapping).label);
}

TEST(LineParser, LineOfAnotherKindIsNotABearing) {
  const std::string mapping = "[text]\nonly_where = \"kind=df\"";
  const auto other = read_fields(R"({"kind":"gps"})", mapping_of(mapping));
  ASSERT_TRUE(other.ok());
  EXPECT_FALSE(is_selected(*other, mapping_of(mapping)));
  EXPECT_TRUE(parse_line(with("{", "{\"kind\":\"df\","), mapping_of(mapping), kArrival).ok());
}

TEST(LineParser, AlternativesOutOfRangeAreRefused) {
  for (const char* bad : {"[[400,0.5]]", "[[20,0]]", "[[20,1.5]]", "[20]", "\"x y\""}) {
    EXPECT_THAT(refusal(with("\"sigma_deg\":2", "\"sigma_deg\":2,\"alt\":" + std::string(bad)),
                        "[fields]\nalternatives = \"alt\""),
                HasSubstr("alternatives"))
        << bad;
  }
}

// ---- Times
// ----------------------------------------------------------------------------------------

TEST(SenderTime, UnixTimesKeepEveryDigitToTheNanosecond) {
  EXPECT_EQ(*parse_sender_time("1935655200.123456789", TimeFormat::unix_s),
            kArrival + Duration{123'456'789});
  EXPECT_EQ(*parse_sender_time("1935655200123.5", TimeFormat::unix_ms),
            kArrival + Duration{123'500'000});
  EXPECT_EQ(*parse_sender_time("1935655200000001", TimeFormat::unix_us), kArrival + Duration{1000});
  EXPECT_EQ(*parse_sender_time("1935655200000000001", TimeFormat::unix_ns), kArrival + Duration{1});
  EXPECT_EQ(*parse_sender_time("1935655200.1234567899", TimeFormat::unix_s),
            kArrival + Duration{123'456'789});  // cut, not rounded up into another nanosecond
}

TEST(SenderTime, SomethingElseIsRefusedWithTheFormatItShouldHave) {
  for (const char* bad : {"", "soon", "-1", "1e9", "99999999999999", "12.3.4", "12.x"}) {
    const auto time = parse_sender_time(bad, TimeFormat::unix_s);
    ASSERT_FALSE(time.ok()) << bad;
    EXPECT_THAT(time.error(), HasSubstr("must be seconds since 1970"));
  }
}

TEST(SenderTime, MarksTellWhichMomentOfTheIntervalItIs) {
  const auto start_with = [](const std::string& marks) {
    return good(kPlain, "[time]\nmarks = \"" + marks + "\"\nfixed_integration_s = 0.5").start;
  };
  const TimePoint told = *parse_rfc3339("2031-05-04T10:15:02.25Z");
  EXPECT_EQ(start_with("start"), told);
  EXPECT_EQ(start_with("middle"), told - milliseconds{250});
  EXPECT_EQ(start_with("end"), told - milliseconds{500});
}

TEST(SenderTime, SenderAheadOfUtcIsPutBack) {
  EXPECT_EQ(good(kPlain, "[time]\nahead_s = 3600.0").start,
            *parse_rfc3339("2031-05-04T09:15:02.25Z"));
}

}  // namespace
}  // namespace fixwright::agent
