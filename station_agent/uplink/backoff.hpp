#pragma once
/// How long to wait before the next attempt: exponential, with full jitter, so that a hundred
/// stations that lost one server do not come back in step.
/// Source: M. Brooker, "Exponential Backoff And Jitter" (2015): sleep = random(0, min(cap,
/// base * 2^attempt)).

#include <functional>

#include "server/base/time.hpp"

namespace fixwright::agent {

struct BackoffRule {
  Duration base = std::chrono::milliseconds{500};  // > 0
  Duration cap = std::chrono::seconds{30};         // >= base
};

class Backoff {
 public:
  /// \param uniform  gives numbers in [0, 1).
  Backoff(const BackoffRule& rule, std::function<double()> uniform)
      : rule_(rule), uniform_(std::move(uniform)) {}

  /// The wait before the next attempt.
  Duration next();
  /// An attempt succeeded: begin again.
  void reset() { attempt_ = 0; }
  /// Up to a quarter more than `wait`, for waits that someone else named.
  [[nodiscard]] Duration spread(Duration wait) const;

 private:
  BackoffRule rule_;
  std::function<double()> uniform_;
  int attempt_ = 0;
};

}  // namespace fixwright::agent
