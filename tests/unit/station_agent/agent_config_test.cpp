#include "station_agent/app/agent_config.hpp"

#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "station_agent/source/iq/scene/scene_config.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

const std::filesystem::path kRoot = FIXWRIGHT_SOURCE_FOLDER;

std::string text_of(const std::filesystem::path& path) {
  std::ifstream in(path);
  EXPECT_TRUE(in.is_open()) << path;
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

/// Names of keys and tables of a TOML file, without their tables; those that are only shown, in a
/// comment, too.
std::set<std::string> keys_of_file(const std::filesystem::path& path) {
  std::set<std::string> keys;
  std::istringstream in(text_of(path));
  const std::regex key(R"(^(?:# )?(\w+) = .*)");
  const std::regex table(R"(^(?:# )?\[+([\w.]+)\]+$)");
  std::smatch m;
  for (std::string line; std::getline(in, line);) {
    if (std::regex_match(line, m, key)) keys.insert(m[1]);
    if (!std::regex_match(line, m, table)) continue;
    const std::string name = m[1];
    keys.insert(name.substr(name.rfind('.') + 1));  // files are small: tables are keys too
  }
  return keys;
}

/// Names that the code asks a ConfigTable for.
std::set<std::string> keys_of_code(const std::vector<std::string>& files) {
  const std::regex asked(R"re((?:number|integer|text|flag|texts|table|tables|has)\(\s*"(\w+)")re"
                         R"re(|(?:duration|one_of<\w+>)\(\s*\w+,\s*"(\w+)")re");
  std::set<std::string> keys;
  for (const std::string& file : files) {
    const std::string code = text_of(kRoot / file);
    for (std::sregex_iterator m(code.begin(), code.end(), asked), end; m != end; ++m) {
      keys.insert((*m)[1].matched ? (*m)[1].str() : (*m)[2].str());
    }
  }
  return keys;
}

std::string minimal(const std::string& more = "") {
  return "[server]\naddress = \"127.0.0.1:7440\"\n[station]\nname = \"HILL-1\"\n"
         "[spool]\npath = \"/tmp/x.spool\"\n" +
         more;
}

TEST(StationToml, IsWithoutMistakesAndKnowsEveryKeyItHolds) {
  EXPECT_THAT(load_agent_config(kRoot / "deploy/config/station.toml").problems, IsEmpty());
}

TEST(StationToml, HoldsExactlyTheKeysTheCodeReads) {
  std::set<std::string> read =
      keys_of_code({"station_agent/app/agent_config.cpp", "station_agent/app/iq_array_config.cpp",
                    "station_agent/app/iq_config.cpp", "station_agent/app/navigation_config.cpp",
                    "station_agent/source/lines/line_mapping_config.cpp"});
  for (std::size_t i = 0; i < index_of(Field::selector); ++i) {
    read.insert(std::string(name_of(static_cast<Field>(i))));  // [source.lines.fields]
  }
  EXPECT_THAT(keys_of_file(kRoot / "deploy/config/station.toml"), testing::ContainerEq(read));
}

TEST(OsmereToml, HoldsExactlyTheKeysTheCodeReads) {
  EXPECT_THAT(
      keys_of_file(kRoot / "deploy/config/demo/osmere.toml"),
      testing::ContainerEq(keys_of_code({"station_agent/source/simulated/scenario_config.cpp"})));
}

TEST(OsmereSceneToml, TellsOfEveryKeyTheCodeReads) {
  const std::filesystem::path path = kRoot / "deploy/config/demo/osmere_scene.toml";
  EXPECT_THAT(scene::load_scene(path).problems, IsEmpty());
  const std::string text = text_of(path);
  for (const std::string& key :
       keys_of_code({"station_agent/source/iq/scene/scene_config.cpp",
                     "station_agent/source/iq/scene/emitter_config.cpp"})) {
    EXPECT_TRUE(std::regex_search(text, std::regex("\\b" + key + "\\b"))) << key;
  }
}

TEST(DemoStation, PlaysTheSceneFromSamplesForEachStation) {
  const std::string form = text_of(kRoot / "deploy/config/demo/station_samples.toml.in");
  for (const std::string station : {"LANTERN-HEAD", "MOSS-RIDGE", "QUILL-POINT", "HARROW-HILL"}) {
    std::string toml = replaced(form, "@SERVER@", "127.0.0.1:7440");
    toml = replaced(toml, "@STATION@", station);
    toml = replaced(toml, "@SPOOL@", "/tmp/demo.spool");
    toml = replaced(toml, "@SCENARIO@", (kRoot / "deploy/config/demo/osmere_scene.toml").string());
    const AgentConfigFile file = parse_agent_config(toml, "station.toml");
    EXPECT_THAT(file.problems, IsEmpty());
    EXPECT_EQ(file.config.source, SourceKind::iq);
    EXPECT_EQ(file.config.iq.chain.calibration.elements.size(), 5U);
    EXPECT_TRUE(file.config.iq.chain.simulated);
    ASSERT_TRUE(file.config.uplink.position.has_value());  // the scene's
  }
}

TEST(AgentConfig, AReceiverWithoutArrayRateOrCentreIsToldAllOfIt) {
  const auto problems =
      parse_agent_config(minimal("[source]\nkind = \"iq\"\n"), "station.toml").problems;
  EXPECT_THAT(problems, testing::UnorderedElementsAre(HasSubstr("source.iq.array.shape"),
                                                      HasSubstr("source.iq.rate_hz"),
                                                      HasSubstr("source.iq.centre_hz")));
}

TEST(AgentConfig, AnArrayWhoseElementsStandOnEachOtherIsTold) {
  const auto problems =
      parse_agent_config(minimal("[source]\nkind = \"iq\"\n[source.iq]\ninput = \"feed\"\n"
                                 "rate_hz = 2.4e6\ncentre_hz = 1e8\n"
                                 "[source.iq.array]\nshape = \"free\"\n"
                                 "[[source.iq.array.element]]\nx_m = 1\n"
                                 "[[source.iq.array.element]]\nx_m = 1\n"),
                         "station.toml")
          .problems;
  EXPECT_THAT(problems, ElementsAre(HasSubstr("source.iq.array.shape")));
}

TEST(DemoStation, IsWithoutMistakesForEachStationOfTheScenario) {
  const std::string scenario = (kRoot / "deploy/config/demo/osmere.toml").string();
  const std::string form = text_of(kRoot / "deploy/config/demo/station.toml.in");
  for (const std::string station : {"LANTERN-HEAD", "MOSS-RIDGE", "QUILL-POINT", "HARROW-HILL"}) {
    std::string toml = replaced(form, "@SERVER@", "127.0.0.1:7440");
    toml = replaced(toml, "@STATION@", station);
    toml = replaced(toml, "@SPOOL@", "/tmp/demo.spool");
    toml = replaced(toml, "@SCENARIO@", scenario);
    const AgentConfigFile file = parse_agent_config(toml, "station.toml");
    EXPECT_THAT(file.problems, IsEmpty());
    ASSERT_TRUE(file.config.uplink.position.has_value());  // the scenario's
    EXPECT_EQ(file.config.uplink.position->latitude_deg,
              file.config.scenario.station(station)->position.latitude_deg);
  }
}

TEST(AgentConfig, ThreeKeysAreEnough) {
  const AgentConfigFile file = parse_agent_config(minimal(), "station.toml");
  EXPECT_THAT(file.problems, IsEmpty());
  EXPECT_EQ(file.config.source, SourceKind::lines);
  EXPECT_FALSE(file.config.uplink.position.has_value());
  EXPECT_EQ(file.config.clock, ClockSource::host);
  EXPECT_THAT(file.config.uplink.capabilities, ElementsAre(Capability::lines));
}

TEST(AgentConfig, AVehicleTellsNoPlaceOfItsOwnInItsGreeting) {
  const AgentConfigFile file =
      parse_agent_config(minimal("[position]\nsource = \"gpsd\"\nheading = \"course\"\n"
                                 "min_course_speed_m_per_s = 3.0\n"
                                 "[source.lines.azimuth]\nreference = \"heading\"\n"),
                         "station.toml");
  EXPECT_THAT(file.problems, IsEmpty());
  EXPECT_EQ(file.config.navigation.feed, NavFeed::gpsd);
  EXPECT_EQ(file.config.navigation.address, "127.0.0.1:2947");
  EXPECT_EQ(file.config.navigation.rules.heading, HeadingFrom::course);
  EXPECT_EQ(file.config.navigation.rules.min_course_speed_m_per_s, 3.0);
  EXPECT_FALSE(file.config.uplink.position.has_value());
}

/// A key absent and the key with the value that station.toml calls its default are the same.
TEST(AgentConfig, DefaultsAreWhatTheFileSays) {
  const AgentConfig bare = parse_agent_config(minimal(), "station.toml").config;
  const AgentConfig full = load_agent_config(kRoot / "deploy/config/station.toml").config;
  EXPECT_EQ(bare.spool.max_bearings, full.spool.max_bearings);
  EXPECT_EQ(bare.spool.max_age, full.spool.max_age);
  EXPECT_EQ(bare.clock, full.clock);
  EXPECT_EQ(bare.navigation.feed, full.navigation.feed);
  EXPECT_EQ(bare.navigation.rules.uere_m, full.navigation.rules.uere_m);
  EXPECT_EQ(bare.navigation.rules.position_sigma_m, full.navigation.rules.position_sigma_m);
  EXPECT_EQ(bare.navigation.rules.max_age_s, full.navigation.rules.max_age_s);
  EXPECT_EQ(bare.navigation.rules.heading_sigma_deg, full.navigation.rules.heading_sigma_deg);
  EXPECT_EQ(bare.navigation.rules.course_sigma_deg, full.navigation.rules.course_sigma_deg);
  EXPECT_EQ(bare.uplink.batch_interval, full.uplink.batch_interval);
  EXPECT_EQ(bare.uplink.max_batch, full.uplink.max_batch);
  EXPECT_EQ(bare.uplink.backoff.base, full.uplink.backoff.base);
  EXPECT_EQ(bare.uplink.backoff.cap, full.uplink.backoff.cap);
  EXPECT_EQ(bare.uplink.refused_retry, full.uplink.refused_retry);
  EXPECT_EQ(bare.uplink.welcome_timeout, full.uplink.welcome_timeout);
  EXPECT_EQ(bare.uplink.watermark_hold, full.uplink.watermark_hold);
  EXPECT_EQ(bare.uplink.shutdown, full.uplink.shutdown);
  EXPECT_EQ(bare.uplink.keepalive, full.uplink.keepalive);
  EXPECT_EQ(bare.fixed_clock.error, full.fixed_clock.error);
  EXPECT_EQ(bare.stop_at_end, full.stop_at_end);
  EXPECT_EQ(bare.lines.follow, full.lines.follow);
  EXPECT_EQ(bare.lines.from_start, full.lines.from_start);
  EXPECT_EQ(bare.lines.max_line_bytes, full.lines.max_line_bytes);
  EXPECT_EQ(bare.lines.max_delay, full.lines.max_delay);
  EXPECT_EQ(bare.lines.mapping.names, full.lines.mapping.names);
  EXPECT_EQ(bare.lines.mapping.text.comment, full.lines.mapping.text.comment);
  EXPECT_EQ(bare.lines.mapping.text.header, full.lines.mapping.text.header);
  EXPECT_EQ(bare.lines.mapping.sigma.scale, full.lines.mapping.sigma.scale);
}

TEST(AgentConfig, SourceMayBeLaterThanTheHoldWithoutItsBearingsBecomingHistory) {
  const AgentConfigFile file =
      parse_agent_config(minimal("[source.lines]\nmax_delay_s = 90.0"), "station.toml");
  EXPECT_EQ(file.config.uplink.watermark_hold, std::chrono::seconds{90});
}

struct Mistake {
  std::string toml;
  std::string complaint;
};

class AgentMistakes : public testing::TestWithParam<Mistake> {};

TEST_P(AgentMistakes, AreToldInOneLine) {
  const auto file = parse_agent_config(GetParam().toml, "station.toml");
  ASSERT_THAT(file.problems, testing::Contains(HasSubstr(GetParam().complaint)));
  for (const std::string& problem : file.problems) {
    EXPECT_EQ(problem.find('\n'), std::string::npos);
  }
}

INSTANTIATE_TEST_SUITE_P(
    Keys, AgentMistakes,
    testing::Values(
        Mistake{"", "server.address: missing"}, Mistake{"", "station.name: missing"},
        Mistake{"", "spool.path: missing"},
        Mistake{replaced(minimal(), "127.0.0.1:7440", "127.0.0.1"),
                "station.toml:2: server.address = \"127.0.0.1\": must be host:port"},
        Mistake{replaced(minimal(), "HILL-1", "Hill 1"), "must be 1 to 32 of A-Z, 0-9 and -"},
        Mistake{replaced(minimal(), "[spool]", "latitude_deg = 41.0\n[spool]"),
                "station.longitude_deg: missing: give both coordinates or neither"},
        Mistake{replaced(minimal(), "[spool]", "latitude_deg = 91.0\nlongitude_deg = 0.0\n[spool]"),
                "must be -90 to 90"},
        Mistake{minimal("[uplink]\nbackoff_max_s = 0.1\n"),
                "must be at least uplink.backoff_min_s"},
        Mistake{minimal("[uplink]\nmax_bach = 3\n"), "did you mean uplink.max_batch?"},
        Mistake{minimal("[source]\nkind = \"radio\"\n"), "must be one of lines, simulated"},
        Mistake{minimal("[source]\nkind = \"simulated\"\n"), "needs a file"},
        Mistake{
            minimal("[source]\nkind = \"simulated\"\n[source.simulated]\nscenario = \"/none\"\n"),
            "/none: can't be read"},
        Mistake{minimal("[source]\nkind = \"simulated\"\n[source.simulated]\nscenario = \"" +
                        (kRoot / "deploy/config/demo/osmere.toml").string() + "\"\n"),
                "holds no station named HILL-1"},
        Mistake{minimal("[position]\nsource = \"serial\"\n"), "position.device"},
        Mistake{minimal("[position]\nsource = \"tcp\"\naddress = \"here\"\n"), "host:port"},
        Mistake{minimal("[position]\nbaud = 5000\n"), "must be 4800, 9600"},
        Mistake{minimal("[position]\nheading = \"fixed\"\n"), "needs it: degrees from true north"},
        Mistake{minimal("[source.lines.azimuth]\nreference = \"heading\"\n"),
                "needs a heading: set position.source"},
        Mistake{minimal("[source]\nkind = \"iq\"\n[source.iq.array]\nreference = \"heading\"\n"),
                "source.iq.array.reference = \"heading\": needs a heading: set position.source"},
        Mistake{replaced(minimal("[position]\nsource = \"gpsd\"\n"), "[spool]",
                         "latitude_deg = 41.0\nlongitude_deg = -150.0\n[spool]"),
                "leave its place out"},
        Mistake{"server = [", "station.toml:1: "}));

}  // namespace
}  // namespace fixwright::agent
