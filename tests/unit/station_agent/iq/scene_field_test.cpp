// The field that the scene lays over the array, against closed forms.
#include <gmock/gmock.h>

#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"
#include "station_agent/source/iq/scene/element_weights.hpp"
#include "station_agent/source/simulated/measurement.hpp"
#include "tests/unit/station_agent/iq/scene_fixture.hpp"

namespace fixwright::agent::scene {
namespace {

constexpr double kLight_m_s = 299'792'458.0;  // exact, SI
constexpr std::size_t kFrames = 4096;

/// Phase of element 1 against element 0, degrees.
double phase_deg(const Scene& scene) {
  const SampleBlock block = rendered(scene, kFrames);
  return std::arg(mean_product(block.element(1), block.element(0))) * kRadToDeg;
}

TEST(SceneField, PhaseBetweenTwoElementsIsTheirWayInWavelengths) {
  // 2 pi d cos(angle between the line and the wave) / wavelength: any textbook on arrays.
  Scene scene = quiet_scene();
  const double d_m = 0.4;
  scene.stations[0].geometry.elements = {{0.0, 0.0, 0.0}, {0.0, d_m, 0.0}};  // 0 to 1 is forward
  for (const double azimuth : {0.0, 37.0, 90.0, 145.0, 180.0, 251.0, 333.0}) {
    scene.emitters = {emitter_at(azimuth, -6.0)};
    const double wavelength_m = kLight_m_s / scene.emitters[0].frequency_hz;
    const double expected = 360.0 * d_m * std::cos(azimuth * kDegToRad) / wavelength_m;
    // Samples are floats: 6e-8 each, less in the mean.
    EXPECT_NEAR(wrap_180(phase_deg(scene) - expected), 0.0, 1e-4) << azimuth;
  }
}

TEST(SceneField, ElementTowardsTheTransmitterIsAhead) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry.elements = {{0.0, 0.0, 0.0}, {0.3, 0.0, 0.0}};  // 1 is east of 0
  scene.emitters = {emitter_at(90.0, -6.0)};
  EXPECT_GT(phase_deg(scene), 10.0);
}

TEST(SceneField, OrientationTurnsTheArrayClockwise) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.4, 0.0}};
  scene.stations[0].geometry.orientation_deg = 70.0;
  scene.emitters = {emitter_at(70.0, -6.0)};  // from where the array looks
  EXPECT_NEAR(phase_deg(scene), 360.0 * 0.4 * scene.emitters[0].frequency_hz / kLight_m_s, 1e-4);
}

TEST(SceneField, AnElevatedWaveShortensTheWayByItsCosine) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.4, 0.0}};
  scene.emitters = {emitter_at(0.0, -6.0)};
  const double level = phase_deg(scene);
  scene.emitters[0].elevation_deg = 60.0;
  EXPECT_NEAR(phase_deg(scene), level * 0.5, 1e-4);
}

TEST(SceneField, LevelIsThePowerOfEachElement) {
  Scene scene = quiet_scene();
  for (const double level : {-3.0, -40.0, -80.0}) {
    scene.emitters = {emitter_at(12.0, level)};
    const SampleBlock block = rendered(scene, kFrames);
    for (std::size_t e = 0; e < 5; ++e) EXPECT_NEAR(power_db(block.element(e)), level, 1e-4);
  }
}

TEST(SceneField, NoiseHasItsPowerAndIsIndependentBetweenElements) {
  Scene scene = quiet_scene();
  scene.stations[0].noise_dbfs = -50.0;
  const SampleBlock block = rendered(scene, 40'000);
  for (std::size_t e = 0; e < 5; ++e) {
    // Relative spread of a mean of n |z|^2 is 1/sqrt(n) = 0.5 %: 0.022 dB; five of them.
    EXPECT_NEAR(power_db(block.element(e)), -50.0, 0.11);
    const auto cross = mean_product(block.element(e), block.element((e + 1) % 5));
    EXPECT_LT(std::abs(cross) / 1e-5, 5.0 * 0.005);
  }
}

TEST(SceneField, DistanceAndPowerGiveTheLevelOfFreeSpace) {
  // Rec. ITU-R P.525: 433.92 MHz, 50 km: 119.13 dB.
  Scene scene = quiet_scene();
  SceneEmitter e;
  e.frequency_hz = 433'920'000.0;
  e.eirp_dbw = 10.0;
  e.path = {Path({GeoPoint{41.430 - 0.45, -150.450}}, 0.0, PathEnd::stop)};
  scene.stations[0].full_scale_dbm = -20.0;
  const double distance_m =
      azimuth_distance(scene.stations[0].position, e.path[0].at(Duration{0})).distance_m;
  const Arrival a = arrival(scene, scene.stations[0], e, kStart);
  EXPECT_NEAR(a.azimuth_deg, 180.0, 1e-9);
  // P.525's constant is given to 0.1 dB.
  EXPECT_NEAR(a.level_dbfs, 40.0 - (119.13 + 20.0 * std::log10(distance_m / 50e3)) + 20.0, 0.1);
}

/// Which way the phase grows over four elements 2 cm from the origin: what a small array reads.
double gradient_azimuth_deg(const Scene& scene) {
  const SampleBlock block = rendered(scene, kFrames);
  const double east = std::arg(mean_product(block.element(1), block.element(3)));
  const double north = std::arg(mean_product(block.element(0), block.element(2)));
  return std::atan2(east, north) * kRadToDeg;
}

TEST(SceneField, OneReflectionBendsTheAzimuthOfASmallArrayAsTwoRaysDo) {
  // atan(r sin D / (1 + r cos D)), in counter-phase with -r: superposition of two plane waves.
  struct Row {
    double ratio, angle_deg, in_phase_deg, counter_phase_deg;
  };
  for (const Row& row : {Row{0.1, 90.0, 5.711, -5.711}, Row{0.3, 60.0, 12.731, -16.996},
                         Row{0.5, 90.0, 26.565, -26.565}}) {
    Scene scene = quiet_scene();
    scene.stations[0].geometry = array::circular_array(4, 0.02);
    scene.emitters = {emitter_at(20.0, -6.0)};
    Echo echo;
    echo.azimuth_deg = 20.0 + row.angle_deg;
    echo.ratio = row.ratio;
    scene.stations[0].echoes = {echo};
    // 2 cm is 0.07 radians: the small-aperture form is good to its square, 0.1 degrees here.
    EXPECT_NEAR(gradient_azimuth_deg(scene) - 20.0, row.in_phase_deg, 0.1);
    scene.stations[0].echoes[0].phase_deg = 180.0;
    EXPECT_NEAR(gradient_azimuth_deg(scene) - 20.0, row.counter_phase_deg, 0.1);
  }
}

TEST(SceneField, AnEchoComesLaterByItsDelay) {
  Scene scene = quiet_scene();
  scene.emitters = {emitter_at(0.0, 0.0)};
  scene.emitters[0].schedule = {std::chrono::seconds{1}, std::chrono::milliseconds{10},
                                std::chrono::milliseconds{1}};
  Echo echo;
  echo.azimuth_deg = 0.0;
  echo.ratio = 0.5;
  echo.delay_s = 500e-6;  // 100 frames
  scene.stations[0].echoes = {echo};
  scene.emitters[0].level_dbfs = -10.0;
  const SampleBlock block = rendered(scene, 400);
  const auto row = block.element(0);
  const double direct = std::pow(10.0, -0.5);
  EXPECT_LT(std::abs(row[199]), 1e-12F);
  EXPECT_NEAR(std::abs(row[200]), direct, 1e-6);
  EXPECT_NEAR(std::abs(row[299]), direct, 1e-6);
  // 100 frames of 10 kHz at 200 kS/s are 5 turns: the late carrier adds in phase.
  EXPECT_NEAR(std::abs(row[301]), 1.5 * direct, 1e-5);
}

TEST(SceneField, CoupledNeighboursPickUpEachOther) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry.elements = {{-0.2, 0.0, 0.0}, {0.2, 0.0, 0.0}};
  scene.stations[0].coupling = 0.2;
  scene.stations[0].coupling_phase_deg = 30.0;
  // Broadside: both elements alike, so each gets 1 + c, c turned by the way between them.
  const double way = 2.0 * std::numbers::pi * 0.4 * kCentre_hz / kLight_m_s;
  const auto c = std::polar(0.2, 30.0 * kDegToRad - way);
  const array::ElementVector w = element_weights(scene.stations[0], 0.0, 0.0, kCentre_hz);
  EXPECT_NEAR(std::abs(w(0) - (1.0 + c)), 0.0, 1e-12);
  EXPECT_NEAR(std::abs(w(1) - (1.0 + c)), 0.0, 1e-12);
}

TEST(SceneField, CablesAndAmplifiersActAsTheySay) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry.elements = {{0.0, 0.0, 0.0}, {0.0, 0.4, 0.0}};
  // 1 cm of cable at 0.66 of light's speed: 50.5 ps. 10 kHz off the centre that is nothing.
  scene.stations[0].responses = {{0.0, 0.0, 0.0}, {-3.0, 25.0, 1e-6}};
  scene.emitters = {emitter_at(90.0, -6.0, {}, 50'000.0)};  // broadside: no phase of its own
  const SampleBlock block = rendered(scene, kFrames);
  EXPECT_NEAR(power_db(block.element(1)) - power_db(block.element(0)), -3.0, 1e-4);
  // A delay of 1 us is -360 * 50 kHz * 1 us = -18 degrees there.
  EXPECT_NEAR(phase_deg(scene), 25.0 - 18.0, 1e-4);
}

TEST(SceneField, ACommonReferenceReachesAllElementsAlike) {
  Scene scene = quiet_scene();
  scene.stations[0].responses.resize(5);
  scene.stations[0].responses[1].phase_deg = -40.0;
  scene.emitters = {emitter_at(77.0, -6.0)};
  scene.emitters[0].common_reference = true;
  EXPECT_NEAR(phase_deg(scene), -40.0, 1e-4);
}

TEST(SceneField, AMovingEmittersAzimuthFollowsItsPath) {
  Scene scene = quiet_scene();
  scene.stations[0].geometry = array::circular_array(4, 0.02);
  SceneEmitter e = emitter_at(0.0, -6.0);
  e.azimuth_deg.reset();
  // East along a parallel 5 km south, at 100 m/s.
  e.path = {Path({GeoPoint{41.385, -150.48}, GeoPoint{41.385, -150.42}}, 100.0, PathEnd::stop)};
  scene.emitters = {e};
  Renderer renderer(scene, "LANTERN-HEAD", kStart);
  SampleBlock block;
  for (int s = 0; s < 3; ++s) {
    renderer.render(2000, block);  // 10 ms
    const double east = std::arg(mean_product(block.element(1), block.element(3)));
    const double north = std::arg(mean_product(block.element(0), block.element(2)));
    const double azimuth = wrap_360(std::atan2(east, north) * kRadToDeg);
    // Aimed anew every 20 ms, which is 2 m at 5 km: 0.02 degrees; 2 cm of radius as above.
    EXPECT_NEAR(azimuth, arrival(scene, scene.stations[0], e, block.start).azimuth_deg, 0.1);
    renderer.render(5 * 200'000, block);
  }
}

}  // namespace
}  // namespace fixwright::agent::scene
