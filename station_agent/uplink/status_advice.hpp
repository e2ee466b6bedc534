#pragma once
/// What the end of a stream means for the station: how soon to come back, what a person must do.

#include <grpcpp/support/status.h>

#include <string>

namespace fixwright::agent {

struct Advice {
  bool needs_person = false;  // come back slowly, say so once
  std::string line;           // one line: what happened, what to do
};

Advice advice_on(const grpc::Status& status, const std::string& server, const std::string& station);

}  // namespace fixwright::agent
