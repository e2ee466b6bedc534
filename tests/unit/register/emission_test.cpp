#include "server/register/emission.hpp"

#include <gtest/gtest.h>

#include <utility>

namespace fixwright::register_ {
namespace {

double bandwidth_hz(const std::string& text) {
  const auto emission = parse_emission(text);
  EXPECT_TRUE(emission.ok()) << (emission.ok() ? "" : emission.error());
  return emission.ok() ? emission->bandwidth_hz.value_or(-1.0) : -1.0;
}

std::string complaint(const std::string& text) {
  const auto emission = parse_emission(text);
  return emission.ok() ? "accepted" : emission.error();
}

// Source: ITU Radio Regulations, Appendix 1, Section I, the examples of note 1.
TEST(Emission, BandwidthsOfAppendixOneAreReadAsItSays) {
  const std::pair<const char*, double> examples[] = {
      {"H002", 0.002}, {"H100", 0.1},    {"25H3", 25.3},  {"400H", 400.0},  {"2K40", 2.4e3},
      {"6K00", 6e3},   {"12K5", 12.5e3}, {"180K", 180e3}, {"181K", 181e3},  {"1M25", 1.25e6},
      {"2M00", 2e6},   {"10M0", 10e6},   {"202M", 202e6}, {"5G65", 5.65e9},
  };
  for (const auto& [text, expected_hz] : examples) {
    EXPECT_DOUBLE_EQ(bandwidth_hz(std::string{text} + "F3E"), expected_hz) << text;
  }
}

// Source: 47 CFR 80.205(a), classes of emission of maritime stations with their designators.
TEST(Emission, DesignatorsOfMaritimeRulesAreTakenApart) {
  const std::tuple<const char*, const char*, double> table[] = {
      {"160HA1A", "A1A", 160.0}, {"16K0A1D", "A1D", 16e3},   {"2K66A2A", "A2A", 2660.0},
      {"6K00A3E", "A3E", 6e3},   {"2K66A3N", "A3N", 2660.0}, {"3K20A3X", "A3X", 3200.0},
      {"280HF1B", "F1B", 280.0}, {"2K80F1C", "F1C", 2800.0}, {"16K0F3E", "F3E", 16e3},
      {"16K0F2C", "F2C", 16e3},  {"20M0F3N", "F3N", 20e6},
  };
  for (const auto& [text, expected_class, expected_hz] : table) {
    const auto emission = parse_emission(text);
    ASSERT_TRUE(emission.ok()) << text;
    EXPECT_EQ(emission->class_of_emission, expected_class);
    EXPECT_DOUBLE_EQ(*emission->bandwidth_hz, expected_hz);
    EXPECT_EQ(emission->details, "");
  }
}

TEST(Emission, DetailsAndTheClassAloneAreTaken) {
  const auto whole = parse_emission("6K00A3EJN");
  ASSERT_TRUE(whole.ok());
  EXPECT_EQ(whole->class_of_emission, "A3E");
  EXPECT_EQ(whole->details, "JN");
  const auto alone = parse_emission("J3E");
  ASSERT_TRUE(alone.ok());
  EXPECT_FALSE(alone->bandwidth_hz.has_value());
  EXPECT_EQ(parse_emission("62k0 f7b--")->details, "--");  // App. 1: unused symbols are dashes
}

TEST(Emission, MisprintIsRefusedWithItsPlace) {
  // The letter O for a nought, as copies of 47 CFR 80.205 print it.
  EXPECT_EQ(complaint("16KOF3E"), "16KOF3E: O at place 4: must be a digit");
  EXPECT_EQ(complaint("016KF3E"),
            "016KF3E: 0 at place 1: a bandwidth begins with a digit from 1 to 9, or with H");
  EXPECT_EQ(complaint("K160F3E"),
            "K160F3E: K at place 1: a bandwidth begins with a digit from 1 to 9, or with H");
  EXPECT_EQ(complaint("H000F3E"), "H000F3E: the bandwidth is 0");
  EXPECT_EQ(complaint("1600F3E"), "1600F3E: the bandwidth has no unit H, K, M or G");
  EXPECT_EQ(complaint("16T0F3E"),
            "16T0F3E: T at place 3: must be a digit, or the unit H, K, M or G");
  EXPECT_EQ(complaint("16K0E3E"),
            "16K0E3E: E at place 5: type of modulation is one of NAHRJBCFGDPKLMQVWX");
  // 4 and 5 left the list of signals in 1982.
  EXPECT_EQ(complaint("F4E"), "F4E: 4 at place 2: nature of the signal is one of 0123789X");
  EXPECT_EQ(complaint("16K0F3I"), "16K0F3I: I at place 7: type of information is one of NABCDEFWX");
  EXPECT_EQ(complaint("FM"),
            "FM: 2 symbols: must be 3 or 5, or 7 or 9 with the bandwidth in front, "
            "like 16K0F3E");
  EXPECT_EQ(complaint(""),
            ": 0 symbols: must be 3 or 5, or 7 or 9 with the bandwidth in front, "
            "like 16K0F3E");
}

}  // namespace
}  // namespace fixwright::register_
