#pragma once
/// Two cumulative sums that tell a lasting shift of a mean, up or down.
///
///     high = max(0, high + x - k);  low = max(0, low - x - k);  a shift: one of them is past h
///
/// Source: E. S. Page, Biometrika 41 (1954) 100; in this form D. C. Montgomery, G. C. Runger,
/// Applied Statistics and Probability for Engineers, ch. 16.

#include <algorithm>

namespace fixwright::calibrate {

struct Cusum {
  double high = 0.0;
  double low = 0.0;

  /// \param x  a value less its target.
  /// \param k  the reference value, >= 0: half the shift that is to be found.
  void add(double x, double k) {
    high = std::max(0.0, high + x - k);
    low = std::max(0.0, low - x - k);
  }
};

}  // namespace fixwright::calibrate
