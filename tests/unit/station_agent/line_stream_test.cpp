#include <gmock/gmock.h>

#include "server/base/text.hpp"
#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/lines/line_parser.hpp"
#include "station_agent/source/simulated/draw.hpp"
#include "tests/unit/station_agent/mapping_of.hpp"

namespace fixwright::agent {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr TimePoint kArrival{std::chrono::seconds{1'935'655'200}};

constexpr const char* kColumns = R"(
max_line_bytes = 256
[text]
format = "delimited"
separator = ";"
[fields]
time = "t"
frequency = "f"
azimuth = "brg"
sigma = "err"
[time]
format = "unix_s"
)";

std::vector<double> azimuths(const SourceBatch& batch) {
  std::vector<double> all;
  for (const SourceBearing& b : batch.bearings) all.push_back(b.azimuth_deg);
  return all;
}

TEST(LineStream, BytesMayComeInAnyPieces) {
  const std::string text = "t;f;brg;err\r\n1935655200;1e8;10;2\r\n\n# note\n1935655201;1e8;20;2\n";
  for (const std::size_t piece : {1U, 3U, 7U, 1000U}) {
    LineStream stream("stdin", lines_of(kColumns));
    SourceBatch batch;
    for (std::size_t i = 0; i < text.size(); i += piece) {
      stream.feed(text.substr(i, piece), kArrival, batch);
    }
    EXPECT_THAT(azimuths(batch), ElementsAre(10.0, 20.0)) << piece;
    EXPECT_THAT(batch.complaints, IsEmpty());
  }
}

TEST(LineStream, HeaderMayOrderColumnsAsItLikesAndBeginWithAByteOrderMark) {
  LineStream stream("stdin", lines_of(kColumns));
  SourceBatch batch;
  stream.feed(
      "\xEF\xBB\xBF"
      "err; brg ;x;f;t\n2;10;-;1e8;1935655200\n",
      kArrival, batch);
  EXPECT_THAT(azimuths(batch), ElementsAre(10.0));
}

TEST(LineStream, HeaderWithoutAMappedColumnIsToldOnceWithWhatItHolds) {
  LineStream stream("stdin", lines_of(kColumns));
  SourceBatch batch;
  stream.feed("t;f;bearing;err\n1;2;3;4\n5;6;7;8\n", kArrival, batch);
  EXPECT_THAT(batch.bearings, IsEmpty());
  EXPECT_THAT(batch.complaints, ElementsAre(testing::AllOf(testing::StartsWith("stdin:1: "),
                                                           HasSubstr("no column \"brg\""),
                                                           HasSubstr("t;f;bearing;err"))));
}

TEST(LineStream, TenMegabyteLineCostsOneComplaintAndNothingElse) {
  LineStream stream("stdin", lines_of(kColumns));
  SourceBatch batch;
  stream.feed("t;f;brg;err\n1935655200;1e8;10;2\n", kArrival, batch);
  const std::string megabyte(1'000'000, 'x');
  for (int i = 0; i < 10; ++i) stream.feed(megabyte, kArrival, batch);
  stream.feed("\n1935655201;1e8;20;2\n", kArrival, batch);
  EXPECT_THAT(azimuths(batch), ElementsAre(10.0, 20.0));
  ASSERT_EQ(batch.complaints.size(), 1U);
  EXPECT_THAT(batch.complaints[0],
              HasSubstr("stdin:3: is longer than source.lines.max_line_bytes"));
  EXPECT_LT(batch.complaints[0].size(), 200U);
}

TEST(LineStream, BadLinesAreToldByNumberAndTheGoodOnesKept) {
  LineStream stream("receiver.log", lines_of(kColumns));
  SourceBatch batch;
  stream.feed(
      "t;f;brg;err\n1935655200;1e8;10;2\n1935655200;1e8;361;2\n1935655200;1e8\n"
      "1935655201;1e8;20;2\n\xFF\xFE\n1935655202;1e8;30;0\n1935655203;1e8;40;2\n",
      kArrival, batch);
  EXPECT_THAT(azimuths(batch), ElementsAre(10.0, 20.0, 40.0));
  EXPECT_THAT(batch.complaints,
              ElementsAre(testing::StartsWith("receiver.log:3: azimuth \"361\""),
                          testing::StartsWith("receiver.log:4: has 2 columns"),
                          testing::StartsWith("receiver.log:6: \"\\xFF\\xFE\": is not UTF-8"),
                          testing::StartsWith("receiver.log:7: sigma \"0\"")));
}

TEST(LineStream, LastLineWithoutNewlineIsHalfALineInColumns) {
  LineStream stream("stdin", lines_of(kColumns));
  SourceBatch batch;
  stream.feed("t;f;brg;err\n1935655200;1e8;11;2", kArrival, batch);  // was it 2 or 2.5?
  stream.finish(kArrival, batch);
  EXPECT_THAT(batch.bearings, IsEmpty());
  EXPECT_THAT(batch.complaints,
              ElementsAre(HasSubstr("stdin:2: \"1935655200;1e8;11;2\": ends without "
                                    "a newline")));
}

TEST(LineStream, LastObjectWithoutNewlineProvesItselfWhole) {
  LineStream stream("stdin", lines_of(""));
  SourceBatch batch;
  stream.feed(R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"azimuth_deg":1,"sigma_deg":2})",
              kArrival, batch);
  stream.finish(kArrival, batch);
  EXPECT_THAT(azimuths(batch), ElementsAre(1.0));
}

TEST(LineStream, LinesOfAnotherKindAreSilentlyPassedOver) {
  LineStream stream("stdin", lines_of("[text]\nonly_where = \"kind=df\""));
  SourceBatch batch;
  stream.feed("{\"kind\":\"gps\"}\n{\"kind\":\"df\"}\n", kArrival, batch);
  EXPECT_THAT(batch.complaints, ElementsAre(testing::StartsWith("stdin:2: ")));
}

/// Bytes nobody chose, the same each run; every byte of a good line is changed in turn too.
TEST(LineParserFuzz, AnyBytesGiveABearingInRangeOrOneLine) {
  const LineMapping json = mapping_of("[fields]\nalternatives = \"alt\"\nlabel = \"id\"");
  const std::string seed =
      R"({"time":"2031-05-04T10:15:02Z","frequency_hz":1e8,"azimuth_deg":1,"sigma_deg":2,)"
      R"("alt":[[1,0.5]],"id":"x"})";
  for (std::int64_t i = 0; i < 20'000; ++i) {
    const Draw draw{42, 0, 0, i};
    std::string line = seed;
    const auto at =
        static_cast<std::size_t>(draw.uniform(Purpose::noise) * static_cast<double>(line.size()));
    line[at] = static_cast<char>(draw.uniform(Purpose::phase) * 256.0);
    if (draw.uniform(Purpose::clutter) < 0.3) line.resize(at);
    const auto b = parse_line(line, json, kArrival);
    if (!b) {
      EXPECT_EQ(b.error(), one_line(b.error()));
      continue;
    }
    EXPECT_TRUE(b->azimuth_deg >= 0.0 && b->azimuth_deg < 360.0) << line;
    EXPECT_TRUE(b->sigma_deg > 0.0 && b->sigma_deg <= 90.0) << line;
    EXPECT_TRUE(b->frequency_hz > 0.0 && b->frequency_hz <= 3e11) << line;
  }
}

}  // namespace
}  // namespace fixwright::agent
