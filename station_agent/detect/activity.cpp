#include "station_agent/detect/activity.hpp"

#include <algorithm>

namespace fixwright::agent::detect {

StepVerdict Activity::step(double excess, double noise) {
  const double signal = std::max(0.0, excess);
  if (active_) {
    return excess >= rules_.close_ratio * noise ? go_on(signal) : wait(signal);
  }
  const double before = previous_;
  previous_ = signal;
  if (excess < rules_.open_ratio * noise) {
    return StepVerdict::quiet;
  }
  active_ = true;
  begin(signal, before);
  return StepVerdict::opens;
}

StepVerdict Activity::go_on(double signal) {
  ++age_;
  if (age_ <= rules_.look_steps) {
    own(signal);
    return StepVerdict::holds;
  }
  --age_;
  finished_ = shape();
  begin(signal, 0.0);
  return StepVerdict::splits;
}

StepVerdict Activity::wait(double signal) {
  ++age_;
  ++quiet_;
  if (quiet_ == 1) {
    after_ = signal;
  }
  if (quiet_ <= rules_.hang_steps) {
    return StepVerdict::waits;
  }
  finished_ = shape();
  active_ = false;
  previous_ = signal;
  return StepVerdict::closes;
}

void Activity::reset() {
  active_ = false;
  previous_ = 0.0;
}

void Activity::begin(double signal, double before) {
  age_ = 1;
  own_ = 0;
  sum_ = 0.0;
  strongest_ = 0.0;
  before_ = before;
  first_ = signal;
  own(signal);
}

void Activity::own(double signal) {
  quiet_ = 0;
  after_ = 0.0;
  ++own_;
  last_own_ = age_ - 1;
  last_ = signal;
  sum_ += signal;
  strongest_ = std::max(strongest_, signal);
}

/// The mean of the steps inside, which the signal fills; where there is none, the strongest.
double Activity::full_level() const {
  if (own_ < 3) {
    return strongest_;
  }
  return (sum_ - first_ - last_) / static_cast<double>(own_ - 2);
}

LookShape Activity::shape() const {
  LookShape s;
  s.own_steps = own_;
  s.last_own = last_own_;
  s.age = age_;
  s.level = full_level();
  s.mean = sum_ / static_cast<double>(own_);
  if (s.level > 0.0) {
    s.lead_steps = std::min(1.0, first_ / s.level) + std::min(1.0, before_ / s.level);
    s.tail_steps = std::min(1.0, last_ / s.level) + std::min(1.0, after_ / s.level);
  }
  return s;
}

}  // namespace fixwright::agent::detect
