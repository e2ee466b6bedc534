#pragma once
/// Designations of emissions by Appendix 1 of the ITU Radio Regulations: "16K0F3E" is a necessary
/// bandwidth of 16.0 kHz, frequency modulation, one analogue channel, telephony.

#include <optional>
#include <string>
#include <string_view>

#include "server/base/result.hpp"

namespace fixwright::register_ {

struct EmissionDesignator {
  std::optional<double> bandwidth_hz;  // necessary bandwidth; none: only the class was given
  std::string class_of_emission;       // three symbols: modulation, signal, information
  std::string details;                 // of signal and multiplexing, none or two symbols
};

/// Reads a designation of 3 or 5 symbols, or of 7 or 9 with the bandwidth in front. Small letters
/// and blanks between the parts are taken; a symbol that isn't used may be "-".
///
/// The bandwidth is three digits and one letter in the place of the decimal point, H, K, M or G;
/// the first character is neither 0 nor K, M or G. From 0.001 Hz to 999 GHz.
/// Source: Radio Regulations, Appendix 1, Sections I and II.
///
/// Fails with the symbol, its place and the rule:
///     16KOF3E: O at place 4: must be a digit
Result<EmissionDesignator> parse_emission(std::string_view text);

}  // namespace fixwright::register_
