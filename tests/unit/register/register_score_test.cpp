/// What the register is scored by, on registers made anew from seeds that nothing was tuned on:
/// 1 000 licences on a hundred channels in 100 x 100 km, 2 % wrong rows, regions of 300 m.
/// Five registers of 10 000 draws a case: a share of 0.1 % is then known to 0.014 %, one of 0.5 %
/// to 0.03 %, and registers differ by more than that, so that five are taken.

#include <gtest/gtest.h>

#include <map>

#include "tests/unit/register/simulated_register.hpp"

namespace fixwright::register_ {
namespace {

using testing::SimulatedRegister;
using V = RegisterVerdict;

constexpr int kDraws = 10'000;
constexpr double kSigma_m = 300.0;

std::vector<Licence> as_made(const SimulatedRegister& sim) { return sim.rows(); }
std::vector<Licence> with_ended(const SimulatedRegister& sim) { return sim.ended_rows(); }

/// Percent of each verdict over all registers.
template <typename Draw>
std::map<V, double> percent(Draw draw,
                            std::vector<Licence> (*rows)(const SimulatedRegister&) = as_made) {
  constexpr unsigned kSeeds[] = {40'961, 40'973, 40'993, 41'011, 41'017};
  std::map<V, double> shares;
  for (const unsigned seed : kSeeds) {
    SimulatedRegister sim{1000, seed};
    const Register known{rows(sim)};
    for (int i = 0; i < kDraws; ++i) shares[known.match(draw(sim)).verdict] += 20.0 / kDraws;
  }
  return shares;
}

TEST(RegisterScore, LicensedAreFoundAndAlmostNeverCalledNotFound) {
  auto shares = percent([](SimulatedRegister& sim) { return sim.licensed(kSigma_m); });
  EXPECT_GE(shares[V::registered], 97.0);
  EXPECT_LE(shares[V::unregistered], 0.1);
}

TEST(RegisterScore, UnlicensedAreAlarmedAndSeldomTakenForLicensed) {
  auto shares = percent([](SimulatedRegister& sim) { return sim.unlicensed(kSigma_m); });
  EXPECT_GE(shares[V::unregistered], 70.0);
  EXPECT_LE(shares[V::registered], 0.5);
}

TEST(RegisterScore, TwoKilometresFromItsEntryThePositionDisagrees) {
  auto shares = percent([](SimulatedRegister& sim) {
    Emitter e = sim.at_a_row(kSigma_m);
    e.fix.position = geodesy::displace(e.fix.position, {2000.0, 0.0});
    return e;
  });
  EXPECT_GE(shares[V::position_disagrees], 90.0);
  EXPECT_LE(shares[V::unregistered], 0.1);
}

TEST(RegisterScore, BesideItsBandAtItsPlaceItIsOffFrequency) {
  auto shares = percent([](SimulatedRegister& sim) {
    Emitter e = sim.at_a_row(kSigma_m);
    e.frequency_hz += 12'000.0;  // 5.75 kHz outside a band of 12.5 kHz; the raster is 25 kHz
    return e;
  });
  EXPECT_GE(shares[V::off_frequency], 70.0);
  EXPECT_LE(shares[V::registered], 0.1);
}

TEST(RegisterScore, WhenItsEntryHasEndedItIsOutOfValidity) {
  auto shares =
      percent([](SimulatedRegister& sim) { return sim.at_an_ended_row(kSigma_m); }, with_ended);
  EXPECT_GE(shares[V::out_of_validity], 90.0);
  EXPECT_LE(shares[V::registered], 0.5);
}

}  // namespace
}  // namespace fixwright::register_
