#include "station_agent/source/lines/line_mapping_config.hpp"

#include <gmock/gmock.h>

#include "tests/unit/station_agent/mapping_of.hpp"

namespace fixwright::agent {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::StartsWith;

TEST(LinesConfig, EmptyTableReadsOurOwnNamesFromStdin) {
  const LinesConfig config = lines_of("");
  EXPECT_EQ(config.input, InputKind::standard_input);
  EXPECT_EQ(config.mapping.name(Field::azimuth), "azimuth_deg");
  EXPECT_FALSE(config.mapping.gives(Field::snr));
}

struct Mistake {
  std::string toml;
  std::string complaint;
};

class LinesMistakes : public testing::TestWithParam<Mistake> {};

TEST_P(LinesMistakes, AreToldWithFileLineAndRule) {
  const auto problems = read_lines(GetParam().toml).problems;
  ASSERT_THAT(problems, ElementsAre(HasSubstr(GetParam().complaint)));
  EXPECT_THAT(problems[0], StartsWith("station.toml:"));
}

INSTANTIATE_TEST_SUITE_P(
    Keys, LinesMistakes,
    testing::Values(
        Mistake{"input = \"serial\"", "must be one of stdin, file, tcp_listen, tcp_connect, udp"},
        Mistake{"input = \"file\"", "path: missing: input = \"file\" needs it"},
        Mistake{"input = \"udp\"\naddress = \"nowhere\"", "must be host:port"},
        Mistake{"input = \"tcp_listen\"\naddress = \"a:70000\"", "must be host:port"},
        Mistake{"max_line_bytes = 1", "must be 256 to 16777216"},
        Mistake{"[text]\nseparator = \"||\"", "must be one character"},
        Mistake{"[text]\ndecimal = \",\"", "can't be the separator too"},
        Mistake{"[text]\nonly_where = \"df\"", "must be FIELD=VALUE"},
        Mistake{"[fields]\nazimuth = \"\"", "must name the sender's field"},
        Mistake{"[fields]\ntime = \"\"", "or set source.lines.time.format to arrival"},
        Mistake{"[fields]\nfrequency = \"\"", "or set source.lines.frequency.fixed_hz"},
        Mistake{"[fields]\nsigma = \"\"", "or set source.lines.sigma.fixed_deg"},
        Mistake{"[fields]\nazimuth = \"/df/~2\"", "must be a JSON pointer"},
        Mistake{"[fields]\nbearing = \"b\"", "unknown key"},
        Mistake{"[azimuth]\nreference = \"relative\"", "mount_offset_deg: missing"},
        Mistake{"[azimuth]\nreference = \"heading\"\n[fields]\nheading = \"hdg\"", "not from both"},
        Mistake{"[azimuth]\nreference = \"magnetic\"", "declination_deg: missing"},
        Mistake{"[azimuth]\ndeclination_deg = 181.0", "must be -180 to 180"},
        Mistake{"[[sigma.quality_step]]\nsigma_deg = 2.0", "give either at_least"},
        Mistake{"[text]\nformat = \"delimited\"\nheader = false\n[fields]\ntime = \"1\"\n"
                "frequency = \"2\"\nazimuth = \"x\"\nsigma = \"4\"",
                "a column is a number, 1 to 256"}));

TEST(LinesConfig, SourceNotChosenMayBeIncomplete) {
  const auto file = ConfigFile::from_text("input = \"file\"\n[fields]\nazimuth = \"\"", "s.toml");
  read_lines_config(file->root(), false);
  EXPECT_THAT(file->problems(), testing::IsEmpty());
}

TEST(LinesConfig, HeadingMakesAMountOffsetUnnecessary) {
  EXPECT_THAT(
      read_lines("[azimuth]\nreference = \"relative\"\n[fields]\nheading = \"hdg\"").problems,
      testing::IsEmpty());
}

}  // namespace
}  // namespace fixwright::agent
