#include <cassert>
#include <cmath>

#include "server/geodesy/ellipse.hpp"

namespace fixwright::geodesy {

namespace {

constexpr double kPrecision = 1e-15;
constexpr int kMaxTerms = 2000;  // far more than x within a few sigma of a can need

/// Lower regularised gamma P(a, x) by its power series: for x < a + 1.
double lower_series(double a, double x) {
  double term = 1.0 / a;
  double sum = term;
  for (int n = 1; n < kMaxTerms && term > sum * kPrecision; ++n) {
    term *= x / (a + n);
    sum += term;
  }
  return sum * std::exp(-x + a * std::log(x) - std::lgamma(a));
}

/// Upper regularised gamma Q(a, x) by its continued fraction (modified Lentz): for x >= a + 1.
double upper_fraction(double a, double x) {
  constexpr double kTiny = 1e-300;
  double b = x + 1.0 - a;
  double c = 1.0 / kTiny;
  double d = 1.0 / b;
  double h = d;
  for (int i = 1; i < kMaxTerms; ++i) {
    const double an = -i * (i - a);
    b += 2.0;
    d = 1.0 / (std::abs(an * d + b) < kTiny ? kTiny : an * d + b);
    c = std::abs(b + an / c) < kTiny ? kTiny : b + an / c;
    h *= d * c;
    if (std::abs(d * c - 1.0) < kPrecision) {
      break;
    }
  }
  return h * std::exp(-x + a * std::log(x) - std::lgamma(a));
}

}  // namespace

double chi_square_survival(double x, int degrees_of_freedom) {
  assert(x >= 0.0 && degrees_of_freedom >= 0);
  if (degrees_of_freedom == 0 || x == 0.0) {
    return 1.0;
  }
  if (x > 1e6) {
    return 0.0;  // below the smallest double for every count of stations there can be
  }
  const double a = 0.5 * degrees_of_freedom;
  return 0.5 * x < a + 1.0 ? 1.0 - lower_series(a, 0.5 * x) : upper_fraction(a, 0.5 * x);
}

}  // namespace fixwright::geodesy
