/// A calibration on disk: written, read back, and refused with one line a mistake.

#include "station_agent/array/calibration_file.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::agent::array {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

ArrayCalibration example() {
  ArrayCalibration c;
  c.method = CalibrationMethod::common_reference;
  c.date = parse_rfc3339("2031-05-04T10:15:02.25Z").value();
  c.temperature_c = -3.5;
  c.reference = R"(a "generator" at C:\lab)";
  c.reference_hz = 433.92e6;
  c.low_hz = 400e6;
  c.high_hz = 470e6;
  c.residual_deg = 0.1 + 0.2;  // no short decimal
  c.elements = {{0.0, 0.0, 0.0}, {-1.25, 179.0 / 3.0, 1e-9 / 3.0}};
  return c;
}

struct Loaded {
  std::optional<ArrayCalibration> calibration;
  std::vector<std::string> problems;
};

Loaded load(const std::string& toml, int elements = 2) {
  const auto file = ConfigFile::from_text(toml, "array.toml");
  EXPECT_TRUE(file.ok());
  Loaded loaded;
  loaded.calibration = read_calibration(file->root(), elements);
  loaded.problems = file->problems();
  return loaded;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos);
  return text.replace(at, from.size(), to);
}

TEST(CalibrationFile, ReadsBackWhatWasWrittenToTheBit) {
  const ArrayCalibration c = example();
  const Loaded loaded = load(calibration_toml(c));
  EXPECT_THAT(loaded.problems, IsEmpty());
  ASSERT_TRUE(loaded.calibration);
  EXPECT_EQ(loaded.calibration->method, c.method);
  EXPECT_EQ(loaded.calibration->date, c.date);
  EXPECT_EQ(loaded.calibration->temperature_c, c.temperature_c);
  EXPECT_EQ(loaded.calibration->reference, c.reference);
  EXPECT_EQ(loaded.calibration->reference_hz, c.reference_hz);
  EXPECT_EQ(loaded.calibration->low_hz, c.low_hz);
  EXPECT_EQ(loaded.calibration->high_hz, c.high_hz);
  EXPECT_EQ(loaded.calibration->residual_deg, c.residual_deg);
  ASSERT_EQ(loaded.calibration->elements.size(), 2U);
  EXPECT_EQ(loaded.calibration->elements[1].gain_db, c.elements[1].gain_db);
  EXPECT_EQ(loaded.calibration->elements[1].phase_deg, c.elements[1].phase_deg);
  EXPECT_EQ(loaded.calibration->elements[1].delay_s, c.elements[1].delay_s);
}

TEST(CalibrationFile, TemperatureMayBeUnknown) {
  ArrayCalibration c = example();
  c.temperature_c.reset();
  const Loaded loaded = load(calibration_toml(c));
  EXPECT_THAT(loaded.problems, IsEmpty());
  ASSERT_TRUE(loaded.calibration);
  EXPECT_FALSE(loaded.calibration->temperature_c);
}

TEST(CalibrationFile, EveryMistakeIsOneLineAndNothingIsUsed) {
  std::string toml = calibration_toml(example());
  toml = replaced(toml, "2031-05-04T10:15:02.250000000Z", "4 May");
  toml = replaced(toml, "common_reference", "guessed");
  toml = replaced(toml, "gain_db = -1.25", "gain_db = -125.0");
  const Loaded loaded = load(toml);
  EXPECT_FALSE(loaded.calibration);
  EXPECT_THAT(loaded.problems,
              ElementsAre(HasSubstr("array.toml:2: method = "), HasSubstr("array.toml:3: date = "),
                          HasSubstr("array.toml:17: element[2].gain_db = -125")));
}

TEST(CalibrationFile, ElementsMustBeTheArraysOwn) {
  const Loaded loaded = load(calibration_toml(example()), 5);
  EXPECT_FALSE(loaded.calibration);
  EXPECT_THAT(loaded.problems, ElementsAre(HasSubstr("2 of them: the array has 5")));
}

TEST(CalibrationFile, AnEmptyFileLacksEverything) {
  const Loaded loaded = load("");
  EXPECT_FALSE(loaded.calibration);
  EXPECT_THAT(loaded.problems, testing::Contains(HasSubstr("date: missing")));
  EXPECT_THAT(loaded.problems, testing::Contains(HasSubstr("element: missing")));
}

}  // namespace
}  // namespace fixwright::agent::array
