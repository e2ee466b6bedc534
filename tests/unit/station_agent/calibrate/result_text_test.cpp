// What the host reads.
#include "station_agent/calibrate/result_text.hpp"

#include <gmock/gmock.h>

namespace fixwright::agent::calibrate {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

Measurement example() {
  Measurement m;
  auto& c = m.calibration;
  c.method = array::CalibrationMethod::known_transmitter;
  c.date = parse_rfc3339("2031-05-04T10:15:02Z").value();
  c.reference_hz = 156.8e6;
  c.low_hz = 156e6;
  c.high_hz = 157e6;
  c.residual_deg = 1.25;
  c.elements = {{0.0, 0.0, 0.0}, {0.5, 12.5, 1e-9}, {-0.5, -30.0, 0.0}};
  m.heard = {{{156.8e6, check::TrueLine{123.4, 150.0}}, 30.0, 2000.0}};
  m.delay_sigma_s = 0.2e-9;
  return m;
}

TEST(CalibrationText, TellsGainPhaseAndCableOfEachElement) {
  const std::string text = text_of(example(), {});
  EXPECT_THAT(text, HasSubstr("        2     +0.50      +12.5     +1.00     +19.8\n"));
  EXPECT_THAT(text,
              AllOf(HasSubstr("Residual 1.25 deg"), HasSubstr("156.000 to 157.000 MHz"),
                    HasSubstr("from 123.40 deg, 150 m away"),
                    // atan(5 / 150)
                    HasSubstr("turn all bearings by 1.9 deg"), HasSubstr("no calibration in use")));
}

TEST(CalibrationText, OneFrequencyHasNoDelays) {
  Measurement m = example();
  m.delay_sigma_s = 0.0;
  EXPECT_THAT(text_of(m, {}), AllOf(HasSubstr("+12.5         -         -\n"),
                                    HasSubstr("Delays need two frequencies")));
}

TEST(CalibrationText, NamesTheElementThatMovedSinceTheCalibrationInUse) {
  array::ArrayCalibration old = example().calibration;
  EXPECT_THAT(text_of(example(), old), AllOf(HasSubstr("2031-05-04"), HasSubstr("it still held")));
  old.elements[1].phase_deg -= 40.0;
  const std::string text = text_of(example(), old);
  EXPECT_THAT(text, AllOf(HasSubstr("drifted; element 2 changed most"),
                          HasSubstr("Element 2 moved by +"), Not(HasSubstr("it still held"))));
  old.low_hz = 400e6;
  old.high_hz = 410e6;
  EXPECT_THAT(text_of(example(), old), HasSubstr("no frequency in common"));
}

}  // namespace
}  // namespace fixwright::agent::calibrate
