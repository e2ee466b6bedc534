/// Bytes of every SigMF type become the samples that the standard's reference reader makes of them,
/// and what no sample can be is named.

#include <gtest/gtest.h>

#include <array>
#include <bit>
#include <cmath>
#include <complex>
#include <cstring>
#include <limits>
#include <numbers>
#include <random>

#include "station_agent/source/iq/analytic.hpp"
#include "station_agent/source/iq/decoder.hpp"
#include "station_agent/source/iq/type_check.hpp"

namespace fixwright::agent::iq {
namespace {

std::vector<std::byte> bytes_of(std::initializer_list<int> values) {
  std::vector<std::byte> bytes;
  for (const int v : values) bytes.push_back(static_cast<std::byte>(v));
  return bytes;
}

template <typename T>
std::vector<std::byte> raw(const std::vector<T>& values) {
  std::vector<std::byte> bytes(values.size() * sizeof(T));
  std::memcpy(bytes.data(), values.data(), bytes.size());
  return bytes;
}

SampleBlock decoded(const char* type, std::size_t elements, const std::vector<std::byte>& bytes) {
  Decoder decoder(parse_sample_type(type).value(), elements);
  SampleBlock block;
  decoder.decode(bytes, block);
  return block;
}

// The ABNF of SigMF 1.2, section "SigMF Dataset Format".
TEST(SampleType, EveryTypeOfTheStandardsGrammarIsReadAndWrittenBack) {
  int types = 0;
  for (const std::string kind : {"r", "c"}) {
    for (const std::string number : {"f32", "f64", "i32", "i16", "u32", "u16"}) {
      for (const std::string order : {"_le", "_be"}) {
        const auto type = parse_sample_type(kind + number + order);
        ASSERT_TRUE(type.ok()) << kind + number + order;
        EXPECT_EQ(to_string(*type), kind + number + order);
        ++types;
      }
    }
    for (const std::string number : {"i8", "u8"}) {
      const auto type = parse_sample_type(kind + number);
      ASSERT_TRUE(type.ok());
      EXPECT_EQ(to_string(*type), kind + number);
      ++types;
    }
  }
  EXPECT_EQ(types, 28);
}

TEST(SampleType, AWideTypeWithoutByteOrderIsRefusedAndAnEightBitOneMayCarryIt) {
  for (const char* text : {"cf32", "ci16", "", "c", "xi16_le", "ci24_le", "ci16_xx", "ci16_le ",
                           "cf16_le", "i16_le", "ci16_le_be", "CI16_LE"}) {
    EXPECT_FALSE(parse_sample_type(text).ok()) << text;
  }
  // The standard's schema lets an order follow any type.
  EXPECT_EQ(to_string(parse_sample_type("cu8_be").value()), "cu8");
}

// sigmf-python, sigmffile.py: unsigned: minus 2^(bits-1); then times 2^-(bits-1).
TEST(Converter, IntegersAreScaledAsByTheReferenceReader) {
  using C = std::complex<float>;
  EXPECT_EQ(decoded("ci8", 1, bytes_of({64, -128, 0, 1})).samples,
            (std::vector<C>{{0.5F, -1.0F}, {0.0F, 0.0078125F}}));
  EXPECT_EQ(decoded("cu8", 1, bytes_of({192, 0, 128, 129})).samples,
            (std::vector<C>{{0.5F, -1.0F}, {0.0F, 0.0078125F}}));
  EXPECT_EQ(decoded("ci16_be", 1, bytes_of({0x40, 0x00, 0x80, 0x00})).samples,
            (std::vector<C>{{0.5F, -1.0F}}));
  EXPECT_EQ(decoded("cu16_le", 1, bytes_of({0x00, 0xc0, 0x00, 0x00})).samples,
            (std::vector<C>{{0.5F, -1.0F}}));
  EXPECT_EQ(decoded("ci32_le", 1, raw<std::int32_t>({1 << 30, -(1 << 30)})).samples,
            (std::vector<C>{{0.5F, -0.5F}}));
  EXPECT_EQ(decoded("cu32_be", 1, bytes_of({0xc0, 0, 0, 0, 0x80, 0, 0, 0})).samples,
            (std::vector<C>{{0.5F, 0.0F}}));
  EXPECT_EQ(decoded("cf32_le", 1, raw<float>({0.25F, -0.75F})).samples,
            (std::vector<C>{{0.25F, -0.75F}}));
  EXPECT_EQ(decoded("cf64_le", 1, raw<double>({0.25, -0.75})).samples,
            (std::vector<C>{{0.25F, -0.75F}}));
  EXPECT_EQ(decoded("cf32_be", 1, bytes_of({0x3e, 0x80, 0, 0, 0xbf, 0x40, 0, 0})).samples,
            (std::vector<C>{{0.25F, -0.75F}}));
}

// A small range of 32-bit values would be lost if the middle were taken off as a float.
TEST(Converter, SmallSignalsOfUnsigned32BitsKeepTheirDigits) {
  const auto block = decoded("cu32_le", 1, raw<std::uint32_t>({0x8000'0001U, 0x7fff'ffffU}));
  EXPECT_EQ(block.samples[0], (std::complex<float>{std::ldexp(1.0F, -31), -std::ldexp(1.0F, -31)}));
}

TEST(Converter, InterleavedChannelsBecomeOneRowEach) {
  // Long enough for several tiles of the converter, and no multiple of one.
  for (const std::size_t elements : {1U, 2U, 5U, 32U}) {
    const std::size_t frames = 3001;
    std::vector<std::int16_t> values;
    for (std::size_t i = 0; i < 2 * frames * elements; ++i) {
      values.push_back(static_cast<std::int16_t>(i * 7919));
    }
    const auto block = decoded("ci16_le", elements, raw(values));
    ASSERT_EQ(block.frames, frames);
    for (std::size_t e = 0; e < elements; ++e) {
      for (std::size_t f = 0; f < frames; ++f) {
        const std::size_t i = 2 * (f * elements + e);
        ASSERT_EQ(block.samples[e * frames + f],
                  (std::complex<float>{static_cast<float>(values[i]) / 32768.0F,
                                       static_cast<float>(values[i + 1]) / 32768.0F}));
      }
    }
  }
}

TEST(Converter, SamplesAtTheEndsOfTheScaleAreCountedForTheirElement) {
  // Element 1: full, lowest, one above the lowest; element 0: all but full.
  const auto block = decoded("ci8", 2,
                             bytes_of({126, 0, 127, 0,    //
                                       -126, 0, 0, -128,  //
                                       0, 126, -127, 3}));
  EXPECT_EQ(block.clipped, (std::vector<std::uint32_t>{0, 3}));
  EXPECT_EQ(decoded("cu8", 1, bytes_of({255, 128, 0, 128, 254, 2})).clipped[0], 2U);
  EXPECT_EQ(decoded("cf32_le", 1, raw<float>({1.0F, 0.0F, 0.999F, 0.0F})).clipped[0], 1U);
}

TEST(Converter, WhatIsNoNumberBecomesZeroAndCounts) {
  constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
  constexpr float kInfinity = std::numeric_limits<float>::infinity();
  const auto block =
      decoded("cf32_le", 1, raw<float>({kNan, 0.5F, 0.5F, -kInfinity, 2e6F, 0.0F, 0.5F, 0.5F}));
  EXPECT_EQ(block.clipped[0], 3U);
  EXPECT_EQ(block.samples, (std::vector<std::complex<float>>{{}, {}, {}, {0.5F, 0.5F}}));
}

TEST(Converter, AnElementThatNeverChangesIsStuck) {
  SampleBlock block;
  block.resize(3, 64);
  for (std::size_t f = 0; f < 64; ++f) {
    block.element(0)[f] = {static_cast<float>(f), 0.0F};
    block.element(1)[f] = {0.25F, -0.5F};
  }
  block.element(2)[63] = {0.01F, 0.0F};  // silent but for the last sample
  EXPECT_EQ(stuck_elements(block), 0b010U);
}

std::vector<float> cosine(double share_of_rate, std::size_t n) {
  std::vector<float> x(n);
  for (std::size_t i = 0; i < n; ++i) {
    x[i] = static_cast<float>(
        std::cos(2.0 * std::numbers::pi * share_of_rate * static_cast<double>(i) + 0.3));
  }
  return x;
}

/// Amplitude of the complex carrier at `share` of the output's rate, by correlation.
double amplitude_at(const std::vector<std::complex<float>>& y, double share) {
  std::complex<double> sum = 0.0;
  const std::size_t skip = 100;  // the filter fills
  for (std::size_t i = skip; i < y.size(); ++i) {
    const double angle = -2.0 * std::numbers::pi * share * static_cast<double>(i);
    sum += std::complex<double>(y[i]) * std::polar(1.0, angle);
  }
  return std::abs(sum) / static_cast<double>(y.size() - skip);
}

TEST(AnalyticFilter, ARealCarrierAppearsOnceWithItsAmplitudeAndFrequency) {
  for (const double f : {0.02, 0.1, 0.25, 0.37, 0.48}) {
    const auto x = cosine(f, 20'000);
    std::vector<std::complex<float>> y(x.size() / 2);
    AnalyticFilter filter;
    // In pieces: nothing may show at their seams.
    for (std::size_t done = 0; done < x.size(); done += 400) {
      filter.run({x.data() + done, 400}, y.data() + done / 2);
    }
    const double share = (f - 0.25) * 2.0;  // of the halved rate
    EXPECT_NEAR(20.0 * std::log10(amplitude_at(y, share)), 0.0, 0.1) << f;
    // The image of f = 0.25 falls together with it.
    if (f == 0.25) continue;
    EXPECT_LT(20.0 * std::log10(amplitude_at(y, -share - 1.0)), -50.0) << f;
  }
}

TEST(AnalyticFilter, ItsDelayIsTheOneItTells) {
  std::vector<float> x(400, 0.0F);
  x[100 + 1] = 1.0F;  // an odd sample: it meets the filter's middle
  std::vector<std::complex<float>> y(200);
  AnalyticFilter().run(x, y.data());
  std::size_t largest = 0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (std::abs(y[i]) > std::abs(y[largest])) largest = i;
  }
  EXPECT_EQ(2 * largest - AnalyticFilter::delay_frames(), 101U);
}

TEST(Decoder, RealSamplesOfTwoElementsKeepTheirPhaseDifference) {
  const double f = 0.13;
  std::vector<std::int16_t> values;
  for (std::size_t i = 0; i < 8000; ++i) {
    const double angle = 2.0 * std::numbers::pi * f * static_cast<double>(i);
    values.push_back(static_cast<std::int16_t>(std::lround(16'000.0 * std::cos(angle))));
    values.push_back(static_cast<std::int16_t>(std::lround(16'000.0 * std::cos(angle + 1.1))));
  }
  const auto block = decoded("ri16_le", 2, raw(values));
  ASSERT_EQ(block.frames, 4000U);
  std::complex<double> product = 0.0;
  for (std::size_t i = 100; i < block.frames; ++i) {
    product += std::complex<double>(block.element(1)[i]) *
               std::conj(std::complex<double>(block.element(0)[i]));
  }
  EXPECT_NEAR(std::arg(product), 1.1, 1e-3);  // the image 50 dB below averages out
}

/// Noise of `sigma` as integers of `bits`.
std::vector<std::int16_t> noise16(double sigma) {
  std::mt19937 random(7);
  std::normal_distribution<double> normal(0.0, sigma);
  std::vector<std::int16_t> values(8192);
  for (auto& v : values) v = static_cast<std::int16_t>(std::lround(normal(random)));
  return values;
}

std::string problem(const std::vector<std::byte>& bytes, const char* type) {
  return type_problem(bytes, parse_sample_type(type).value());
}

TEST(TypeCheck, SamplesOfTheDeclaredTypePass) {
  for (const double sigma : {0.4, 3.0, 40.0, 8000.0}) {
    EXPECT_EQ(problem(raw(noise16(sigma)), "ci16_le"), "") << sigma;
  }
  std::vector<std::int8_t> bytes;
  std::vector<std::int16_t> widened;
  std::vector<float> floats;
  for (const std::int16_t v : noise16(20.0)) {
    bytes.push_back(static_cast<std::int8_t>(v));
    widened.push_back(static_cast<std::int16_t>(v * 256));
    floats.push_back(static_cast<float>(v) / 128.0F);
  }
  EXPECT_EQ(problem(raw(bytes), "ci8"), "");
  EXPECT_EQ(problem(raw(widened), "ci16_le"), "");
  EXPECT_EQ(problem(raw(floats), "cf32_le"), "");
  EXPECT_EQ(problem(std::vector<std::byte>(8192), "ci16_le"), "");
  EXPECT_EQ(problem(std::vector<std::byte>(8192), "cf32_le"), "");
}

TEST(TypeCheck, AFullScaleCarrierPassesAsEightBits) {
  std::vector<std::int8_t> bytes;
  for (const float x : cosine(0.0137, 8192)) {
    bytes.push_back(static_cast<std::int8_t>(std::lround(127.0F * x)));
  }
  EXPECT_EQ(problem(raw(bytes), "ci8"), "");
}

TEST(TypeCheck, WrongTypesAreNamed) {
  const auto integers = raw(noise16(30.0));
  EXPECT_NE(problem(integers, "ci16_be"), "");
  EXPECT_NE(problem(integers, "cf32_le"), "");
  std::vector<std::byte> bytes;
  std::vector<float> floats;
  for (const std::int16_t v : noise16(8.0)) {
    bytes.push_back(static_cast<std::byte>(128 + v));
    floats.push_back(static_cast<float>(v) / 128.0F);
  }
  EXPECT_EQ(problem(bytes, "cu8"), "");
  EXPECT_NE(problem(bytes, "ci8"), "");
  EXPECT_EQ(problem(raw(floats), "cf32_le"), "");
  EXPECT_NE(problem(raw(floats), "cf32_be"), "");
}

}  // namespace
}  // namespace fixwright::agent::iq
