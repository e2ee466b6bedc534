#pragma once
/// Lines from an open descriptor: standard input, a pipe.

#include <string>

#include "station_agent/source/lines/line_input.hpp"

namespace fixwright::agent {

/// Ends with the descriptor, which stays open.
class DescriptorInput final : public LineInput {
 public:
  DescriptorInput(int fd, const std::string& name, const LinesConfig& config, const Clock& clock)
      : fd_(fd), stream_(name, config), clock_(clock) {}
  void read(Duration patience, SourceBatch& batch) override;

 private:
  int fd_;
  LineStream stream_;
  const Clock& clock_;
};

}  // namespace fixwright::agent
