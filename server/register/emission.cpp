#include "server/register/emission.hpp"

#include <fmt/core.h>

#include <array>
#include <cmath>

namespace fixwright::register_ {

namespace {

constexpr std::size_t kBandwidthSymbols = 4;

/// What may stand at a place of the class or its details.
struct Symbol {
  std::string_view meaning;
  std::string_view allowed;
};
constexpr std::array<Symbol, 5> kSymbols{{
    {"type of modulation", "NAHRJBCFGDPKLMQVWX"},
    {"nature of the signal", "0123789X"},
    {"type of information", "NABCDEFWX"},
    {"details of the signal", "ABCDEFGHJKLMNWX-"},
    {"nature of multiplexing", "NCFTWX-"},
}};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string without_blanks(std::string_view text) {
  std::string kept;
  for (const char c : text) {
    if (c == ' ') continue;
    kept += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return kept;
}

Error wrong(std::string_view text, std::size_t at, std::string_view rule) {
  return Error{fmt::format("{}: {} at place {}: {}", text, text[at], at + 1, rule)};
}

double unit_hz(char letter) {
  switch (letter) {
    case 'K':
      return 1e3;
    case 'M':
      return 1e6;
    case 'G':
      return 1e9;
    default:
      return 1.0;
  }
}

/// \pre `text` has four characters or more.
Result<double> read_bandwidth(std::string_view text) {
  std::optional<std::size_t> point;
  double digits = 0.0;
  for (std::size_t i = 0; i < kBandwidthSymbols; ++i) {
    if (is_digit(text[i])) {
      digits = 10.0 * digits + (text[i] - '0');
    } else if (point) {
      return wrong(text, i, "must be a digit");
    } else if (text[i] != 'H' && text[i] != 'K' && text[i] != 'M' && text[i] != 'G') {
      return wrong(text, i, "must be a digit, or the unit H, K, M or G");
    } else {
      point = i;
    }
  }
  if (!point) return Error{fmt::format("{}: the bandwidth has no unit H, K, M or G", text)};
  if (text[0] == '0' || (*point == 0 && text[0] != 'H')) {
    return wrong(text, 0, "a bandwidth begins with a digit from 1 to 9, or with H");
  }
  if (digits == 0.0) return Error{fmt::format("{}: the bandwidth is 0", text)};
  const auto after_point = static_cast<double>(kBandwidthSymbols - 1 - *point);
  return digits / std::pow(10.0, after_point) * unit_hz(text[*point]);
}

}  // namespace

Result<EmissionDesignator> parse_emission(std::string_view given) {
  const std::string text = without_blanks(given);
  const bool full = text.size() == 7 || text.size() == 9;
  if (!full && text.size() != 3 && text.size() != 5) {
    return Error{fmt::format(
        "{}: {} symbols: must be 3 or 5, or 7 or 9 with the bandwidth in front, like 16K0F3E",
        given.substr(0, 40), text.size())};
  }
  EmissionDesignator emission;
  const std::size_t begin = full ? kBandwidthSymbols : 0;
  if (full) {
    const auto bandwidth_hz = read_bandwidth(text);
    if (!bandwidth_hz) return Error{bandwidth_hz.error()};
    emission.bandwidth_hz = *bandwidth_hz;
  }
  for (std::size_t i = begin; i < text.size(); ++i) {
    const Symbol& symbol = kSymbols.at(i - begin);
    if (symbol.allowed.find(text[i]) != std::string_view::npos) continue;
    return wrong(text, i, fmt::format("{} is one of {}", symbol.meaning, symbol.allowed));
  }
  emission.class_of_emission = text.substr(begin, 3);
  emission.details = text.substr(begin + 3);
  return emission;
}

}  // namespace fixwright::register_
