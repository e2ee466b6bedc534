#pragma once
/// Which elements are sick, and who has been told.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "station_agent/detect/look.hpp"
#include "station_agent/detect/rules.hpp"

namespace fixwright::agent::detect {

/// A fault is told once when it begins, and once when it has not been seen for a second.
class ElementWatch {
 public:
  ElementWatch(std::size_t elements, const DetectionRules& rules);

  /// The new samples of element e in one window. Constant: stuck, or dead when it is zero.
  void samples(std::size_t e, std::span<const std::complex<float>> fresh, TimePoint at,
               std::vector<Notice>& out);
  /// Noise power of each element.
  void noise(std::span<const double> power, TimePoint at, std::vector<Notice>& out);
  /// Clipped samples of each element, of `frames`. \return whether any had too many.
  bool clipped(std::span<const std::uint32_t> counts, std::size_t frames, TimePoint at,
               std::vector<Notice>& out);
  /// A look's covariance, and the noise in it. Three strong looks in a row that an element is deaf
  /// to, while the others hear them, are more than a reflection's doing.
  void look(const ChannelLook& look, std::vector<Notice>& out);

  /// Bit e: stuck, dead or deaf.
  [[nodiscard]] std::uint32_t faulty() const { return faulty_; }

 private:
  struct Condition {
    bool on = false;
    TimePoint seen;
  };
  void update(NoticeKind kind, std::size_t e, bool bad, TimePoint at, double value,
              std::vector<Notice>& out);
  [[nodiscard]] Condition& condition(NoticeKind kind, std::size_t e);
  [[nodiscard]] double median_of_others(std::span<const double> values, std::size_t e);

  std::size_t elements_;
  DetectionRules rules_;
  std::uint32_t faulty_ = 0;
  std::vector<std::array<Condition, 4>> conditions_;  // stuck, dead, deaf, overload
  std::vector<std::size_t> deaf_looks_;               // in a row
  std::vector<double> sorted_;
  std::vector<double> signal_;
};

}  // namespace fixwright::agent::detect
