// The calibration's file: whole, read back, never lost to another.
#include <gmock/gmock.h>

#include <fstream>

#include "station_agent/array/calibration_file.hpp"
#include "station_agent/calibrate/calibration_out.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::calibrate {
namespace {

using testing::HasSubstr;

array::ArrayCalibration example() {
  array::ArrayCalibration c;
  c.reference = "common reference at 156.800000 MHz";
  c.method = array::CalibrationMethod::common_reference;
  c.date = parse_rfc3339("2031-05-04T10:15:02Z").value();
  c.reference_hz = 156.8e6;
  c.elements = {{0.0, 0.0, 0.0}, {0.5, 12.5, 1e-9}};
  return c;
}

TEST(CalibrationOut, IsReadBackByTheAgent) {
  const TempFolder folder;
  const auto path = folder.path() / "calibration.toml";
  EXPECT_EQ(write_calibration(path, example(), false), "");
  const auto file = ConfigFile::from_path(path.string());
  ASSERT_TRUE(file);
  const auto c = array::read_calibration(file->root(), 2);
  ASSERT_TRUE(c) << testing::PrintToString(file->problems());
  EXPECT_EQ(c->elements[1].phase_deg, 12.5);
  EXPECT_EQ(c->reference, example().reference);
  EXPECT_FALSE(std::filesystem::exists(path.string() + ".new"));
}

TEST(CalibrationOut, AFileThatIsThereIsKeptUnlessForced) {
  const TempFolder folder;
  const auto path = folder.path() / "calibration.toml";
  std::ofstream(path) << "precious";
  EXPECT_THAT(write_calibration(path, example(), false), HasSubstr("--force"));
  std::string kept;
  std::ifstream(path) >> kept;
  EXPECT_EQ(kept, "precious");
  EXPECT_EQ(write_calibration(path, example(), true), "");
  std::ifstream(path) >> kept;
  EXPECT_EQ(kept, "#");
}

TEST(CalibrationOut, PlacesThatCannotBeAreTold) {
  const TempFolder folder;
  EXPECT_THAT(out_problem(folder.path(), true), HasSubstr("is a folder"));
  EXPECT_THAT(out_problem(folder.path() / "none" / "c.toml", false), HasSubstr("no folder"));
  EXPECT_EQ(out_problem("calibration-of-nobody.toml", false), "");
}

}  // namespace
}  // namespace fixwright::agent::calibrate
