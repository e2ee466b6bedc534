/// From bearings in the database to an accepted calibration that a running pipeline would use.

#include "server/store/calibration_book.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <condition_variable>
#include <cstdio>
#include <fstream>
#include <mutex>
#include <sstream>

#include "server/app/calibration_watch.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/small_tables.hpp"
#include "server/tools/calibration_command.hpp"
#include "tests/db/samples.hpp"
#include "tests/support/scenario/simulator.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;

constexpr GeoPoint kBeacon{41.31, -150.30};

/// Two hundred bearings of a beacon at each of two stations; the first indicates 3 degrees too
/// much below 140 MHz and is right above.
class CalibrationBookTest : public testing::Test {
 protected:
  CalibrationBookTest() : stations_(store::register_stations(pool_, osmere_stations())) {
    store::BearingStore log(pool_);
    log.make_days(noon_, noon_ + std::chrono::hours{1});
    std::vector<Bearing> bearings;
    scenario::Dice dice(1);
    std::uint64_t sequence = 0;
    for (int i = 0; i < 200; ++i) {
      for (const StationId id : {1, 2}) {
        bearings.push_back(beacon(id, ++sequence, i, id == 1 ? 3.0 : 0.0, dice.normal()));
      }
    }
    log.append(bearings);
    std::ofstream(references_) << "name,latitude,longitude,frequency_hz\n"
                                  "LANTERN-BEACON,41.31,-150.30,136500000\n";
  }
  ~CalibrationBookTest() override { std::remove(references_.c_str()); }

  Bearing beacon(StationId id, std::uint64_t sequence, int second, double bias, double noise) {
    Bearing b = plain_bearing(id, 1, sequence, noon_ + std::chrono::seconds{second});
    b.station_position = stations_.at(id).position;
    b.frequency_hz = 136.5e6;
    const double truth = geodesy::inverse(b.station_position, kBeacon).azimuth1_deg;
    b.azimuth_deg = std::fmod(truth + bias + noise + 720.0, 360.0);
    b.sigma_deg = 1.0;
    return b;
  }

  int propose() {
    tools::ProposeOptions options;
    options.database = database_.writer();
    options.references = references_;
    options.since = "2031-05-04T00:00:00Z";
    options.until = "2031-05-05T00:00:00Z";
    options.part.high_hz = 140e6;
    options.by = "mara";
    return tools::run_propose(options, out_, err_);
  }
  int decide(std::int64_t id, bool accept, const std::string& from = "2031-05-04T12:00:00Z") {
    tools::CalibrationDecideOptions options;
    options.database = database_.writer();
    options.id = id;
    options.accept = accept;
    options.from = from;
    options.by = "mara";
    options.note = "checked on site";
    return tools::run_calibration_decide(options, out_, err_);
  }

  TimePoint noon_ = at("2031-05-04T12:00:00Z");
  ScratchDatabase database_;
  store::Database pool_{{database_.writer(), 4, std::chrono::seconds(5)}};
  Stations stations_;
  store::CalibrationBook book_{pool_};
  std::string references_ =
      testing::TempDir() + testing::UnitTest::GetInstance()->current_test_info()->name() + ".csv";
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(CalibrationBookTest, AProposalIsKeptWithItsEvidenceAndChangesNothing) {
  ASSERT_EQ(propose(), 0) << err_.str();
  const auto all = book_.all();
  ASSERT_EQ(all.size(), 2U);
  // The median of 200 normal ones: 1.2533 / sqrt(200) = 0.089 degrees; four of them.
  EXPECT_NEAR(all[0].calibration.bias_deg, 3.0, 0.36);
  EXPECT_NEAR(all[1].calibration.bias_deg, 0.0, 0.36);
  EXPECT_NEAR(all[0].bias_sigma_deg, 0.089, 0.03);
  EXPECT_EQ(all[0].bearings, 200U);
  EXPECT_EQ(all[0].calibration.high_hz, 140e6);
  EXPECT_EQ(all[0].state, CalibrationState::proposed);
  EXPECT_EQ(all[0].proposed_by, "mara");
  EXPECT_TRUE(book_.accepted().empty());
}

TEST_F(CalibrationBookTest, AnAcceptedOneIsAppliedFromItsDateOnInItsBand) {
  ASSERT_EQ(propose(), 0) << err_.str();
  ASSERT_EQ(decide(1, true), 0) << err_.str();
  EXPECT_THAT(out_.str(), HasSubstr("accepted from 2031-05-04T12:00:00"));
  const auto accepted = book_.accepted();
  ASSERT_EQ(accepted.size(), 1U);
  Station station = stations_.at(1);
  station.calibrations = accepted.at(1);
  Bearing b = beacon(1, 1, 0, 0.0, 0.0);
  EXPECT_NEAR(station.bias_of(b), 3.0, 0.36);
  b.frequency_hz = 146e6;
  EXPECT_EQ(station.bias_of(b), 0.0);
  b.frequency_hz = 136.5e6;
  b.start = noon_ - std::chrono::seconds{1};
  EXPECT_EQ(station.bias_of(b), 0.0);
}

TEST_F(CalibrationBookTest, ARefusedOneIsNeverAppliedNorDecidedTwice) {
  ASSERT_EQ(propose(), 0) << err_.str();
  ASSERT_EQ(decide(1, false), 0) << err_.str();
  EXPECT_TRUE(book_.accepted().empty());
  EXPECT_EQ(book_.all()[0].note, "checked on site");
  EXPECT_EQ(decide(1, true), 1);
  EXPECT_THAT(err_.str(), HasSubstr("calibration 1 was refused already, by mara"));
}

TEST_F(CalibrationBookTest, WhatCannotBeIsSaidInOneLine) {
  EXPECT_EQ(decide(404, true), 1);
  EXPECT_EQ(err_.str(),
            "there is no calibration 404: `fixwright calibration list` names those there are; "
            "nothing was decided\n");
  err_.str("");
  EXPECT_EQ(decide(1, true, "yesterday"), 2);
  EXPECT_EQ(err_.str(), "--from = \"yesterday\": must be a time such as 2031-05-04T10:00:00Z\n");
}

TEST_F(CalibrationBookTest, AConfiguredRuleAcceptsWhatKeepsToItAndSaysSo) {
  ASSERT_EQ(propose(), 0) << err_.str();
  calibrate::AcceptanceRules rules;
  rules.enabled = true;
  rules.min_transmitters = 1;
  rules.max_bias_deg = 1.0;  // the first is 3 degrees off
  std::mutex mutex;
  std::condition_variable changed;
  Calibrations applied;
  const SystemClock clock;
  const app::CalibrationWatch watch(pool_, clock, rules, {}, [&](Calibrations c) {
    const std::lock_guard lock(mutex);
    applied = std::move(c);
    changed.notify_all();
  });
  std::unique_lock lock(mutex);
  ASSERT_TRUE(changed.wait_for(lock, std::chrono::seconds{20}, [&] { return !applied.empty(); }));
  const auto all = book_.all();
  EXPECT_EQ(all[0].state, CalibrationState::proposed);
  EXPECT_EQ(all[1].state, CalibrationState::accepted);
  EXPECT_EQ(all[1].decided_by, "configured rule");
  EXPECT_THAT(all[1].note, HasSubstr("bias at most 1 deg"));
  EXPECT_EQ(applied.count(all[1].station), 1U);
  EXPECT_EQ(applied.size(), 1U);
}

TEST_F(CalibrationBookTest, TheReaderSeesTheList) {
  ASSERT_EQ(propose(), 0) << err_.str();
  ASSERT_EQ(decide(2, true), 0) << err_.str();
  EXPECT_EQ(rows(database_.reader(),
                 "SELECT station, state, decided_by FROM calibration_list ORDER BY calibration_id"),
            (std::vector<std::string>{"LANTERN-HEAD|proposed|", "MOSS-RIDGE|accepted|mara"}));
  EXPECT_THAT(complaint(database_.reader(), "SELECT * FROM calibration"),
              HasSubstr("permission denied"));
  EXPECT_THAT(complaint(database_.writer(), "UPDATE calibration SET bias_deg = 0"),
              HasSubstr("permission denied"));
}

}  // namespace
}  // namespace fixwright::test
