#include "server/tools/calibrate_command.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <random>
#include <sstream>
#include <vector>

#include "server/base/angle.hpp"
#include "server/base/csv.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

struct Site {
  const char* name;
  GeoPoint place;
  double bias_deg;
};

const std::vector<Site> kSites{{"LANTERN-HEAD", {41.430, -150.450}, 2.4},
                               {"MOSS-RIDGE", {41.330, -150.020}, -3.1},
                               {"QUILL-POINT", {41.020, -150.120}, 0.7},
                               {"HARROW-HILL", {41.080, -150.560}, -1.2}};

const std::vector<GeoPoint> kEmitters{{41.21, -150.30}, {41.30, -150.20}, {41.15, -150.10},
                                      {41.25, -150.50}, {41.35, -150.35}, {41.10, -150.35}};

double frequency_hz(std::size_t emitter) { return 145e6 + 25e3 * static_cast<double>(emitter); }

/// Forty bearings a station and emitter, sigma 0.5 deg, one in ten anywhere round the compass.
std::string log_of(const std::vector<GeoPoint>& emitters) {
  std::mt19937_64 random{1};
  std::normal_distribution<double> noise{0.0, 0.5};
  std::uniform_real_distribution<double> anywhere{0.0, 360.0};
  std::bernoulli_distribution gross{0.1};
  std::string text = "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";
  for (std::size_t e = 0; e < emitters.size(); ++e) {
    for (int i = 0; i < 40; ++i) {
      for (const Site& s : kSites) {
        const double truth_deg = geodesy::inverse(s.place, emitters[e]).azimuth1_deg;
        const double azimuth_deg =
            gross(random) ? anywhere(random) : wrap_360(truth_deg + s.bias_deg + noise(random));
        text += fmt::format("2031-05-04T{:02}:00:{:02}Z,{},{},{},{},{:.6f},0.5\n", 10 + e, i,
                            s.name, s.place.latitude_deg, s.place.longitude_deg, frequency_hz(e),
                            std::min(azimuth_deg, 359.999999));
      }
    }
  }
  return text;
}

std::string references_of(std::size_t emitter) {
  return fmt::format("name,latitude,longitude,frequency_hz\nBEACON,{},{},{}\n",
                     kEmitters[emitter].latitude_deg, kEmitters[emitter].longitude_deg,
                     frequency_hz(emitter));
}

struct Outcome {
  int exit_code = -1;
  std::map<std::string, std::vector<std::string>> rows;  // by station
  std::string out;
  std::string err;
};

Outcome calibrate_log(const std::string& log, const std::string& references,
                      const CalibrateOptions& options) {
  std::istringstream log_in{log};
  std::istringstream references_in{references};
  std::ostringstream out;
  std::ostringstream err;
  Outcome o;
  o.exit_code =
      run_calibrate(log_in, references.empty() ? nullptr : &references_in, options, out, err);
  o.out = out.str();
  o.err = err.str();
  std::istringstream rows{o.out};
  CsvReader reader{rows, "out"};
  while (auto row = reader.next()) o.rows[(*row)->fields.at(0)] = (*row)->fields;
  return o;
}

void expect_biases(const Outcome& o, double within_sigmas, double largest_sigma_deg) {
  for (const Site& s : kSites) {
    ASSERT_EQ(o.rows.count(s.name), 1U) << s.name << o.err;
    const auto& row = o.rows.at(s.name);
    const double sigma_deg = std::stod(row.at(2));
    EXPECT_NEAR(std::stod(row.at(1)), s.bias_deg, within_sigmas * sigma_deg) << s.name;
    EXPECT_LT(sigma_deg, largest_sigma_deg) << s.name;
  }
}

TEST(CalibrateCommand, ReferenceGivesEachStationItsBias) {
  const auto o = calibrate_log(log_of(kEmitters), references_of(0), {});
  EXPECT_EQ(o.exit_code, 0) << o.err;
  EXPECT_THAT(o.out, HasSubstr("station,bias_deg,bias_sigma_deg,spread_deg,bearings,references,"
                               "first,last,evidence\n"));
  // 40 bearings of 0.5 deg, the median: 0.1 deg; a tenth gross errors widen the spread by an
  // eighth, and 40 bearings fix it to a fifth.
  expect_biases(o, 3.5, 0.2);
  EXPECT_EQ(o.rows.at("MOSS-RIDGE").at(4), "40");
  EXPECT_THAT(o.err, HasSubstr("these are proposals, nothing was changed"));
}

TEST(CalibrateCommand, JointlyWithoutAnyReference) {
  CalibrateOptions options;
  options.rules.joint = true;
  options.rules.site_sigma_deg = 0.05;  // the log has no error of site
  const auto o = calibrate_log(log_of(kEmitters), "", options);
  EXPECT_EQ(o.exit_code, 0) << o.err;
  expect_biases(o, 3.5, 0.6);
  EXPECT_EQ(o.rows.at("QUILL-POINT").at(5), "6");
}

TEST(CalibrateCommand, JointlyWithAReferenceIsSharper) {
  CalibrateOptions options;
  options.rules.joint = true;
  options.rules.site_sigma_deg = 0.05;
  const auto with = calibrate_log(log_of(kEmitters), references_of(2), options);
  const auto without = calibrate_log(log_of(kEmitters), "", options);
  expect_biases(with, 3.5, 0.3);
  EXPECT_LT(std::stod(with.rows.at("HARROW-HILL").at(2)),
            std::stod(without.rows.at("HARROW-HILL").at(2)));
}

TEST(CalibrateCommand, TooFewEmittersAreRefusedWithTheCount) {
  CalibrateOptions options;
  options.rules.joint = true;
  const auto o = calibrate_log(log_of({kEmitters[0]}), "", options);
  EXPECT_EQ(o.exit_code, 1);
  EXPECT_THAT(o.out, IsEmpty());
  EXPECT_THAT(o.err, HasSubstr("4 station means for 6 unknowns"));
}

TEST(CalibrateCommand, LogWithoutTheReferencesFrequencyProposesNothing) {
  const auto o = calibrate_log(log_of({kEmitters[0]}),
                               "name,latitude,longitude,frequency_hz\nX,41.2,-150.3,99e6\n", {});
  EXPECT_EQ(o.exit_code, 1);
  EXPECT_THAT(o.err, HasSubstr("no bearing lies on the frequency of a reference"));
}

TEST(CalibrateCommand, BadReferenceStopsTheCalibration) {
  const auto refused = [](const std::string& row) {
    const auto o =
        calibrate_log(log_of({kEmitters[0]}), "name,latitude,longitude,frequency_hz\n" + row, {});
    EXPECT_EQ(o.exit_code, 2) << row;
    return o.err;
  };
  EXPECT_EQ(refused("BEACON,41,west,145e6\n"),
            "references:2: longitude = \"west\": must be a number from -180 to 180. Nothing was "
            "calibrated.\n");
  EXPECT_EQ(refused("A,41,-150,145e6\nA,41,-150,145e6\n"),
            "references:3: name = \"A\": is in the file twice. Nothing was calibrated.\n");
}

TEST(CalibrateCommand, NothingToCompareWithIsToldAtOnce) {
  std::ostringstream out;
  std::ostringstream err;
  EXPECT_EQ(run_calibrate(CalibrateOptions{}, out, err), 2);
  EXPECT_EQ(err.str(), "calibrate: nothing to compare with; give --references FILE, or --joint\n");
}

}  // namespace
}  // namespace fixwright::tools
