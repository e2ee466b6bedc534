#pragma once
/// The bytes of a navigation receiver, as lines. Inside `position` only.

#include <optional>
#include <string>
#include <vector>

#include "station_agent/position/navigator.hpp"

namespace fixwright::agent {

/// One connection, from opening to its end.
class Receiver {
 public:
  /// Opens the device or begins to connect; problem() says if that failed.
  explicit Receiver(const NavConfig& config);
  Receiver(const Receiver&) = delete;
  Receiver& operator=(const Receiver&) = delete;
  ~Receiver();

  /// Waits at most `patience`. \return whole lines, without their ends; one past 4096 bytes is
  ///   dropped.
  std::vector<std::string> read(Duration patience);
  /// Why it is over.
  [[nodiscard]] const std::optional<std::string>& problem() const { return problem_; }
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  void open_device(const NavConfig& config);
  void connect(const NavConfig& config);
  bool finish_connecting();
  void fail(const std::string& why);

  std::string name_;
  bool gpsd_ = false;
  bool connecting_ = false;
  int fd_ = -1;
  std::string held_;
  std::optional<std::string> problem_;
};

}  // namespace fixwright::agent
