#pragma once
/// Asks a running server from another process: for the operator's command.

#include <memory>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/views.hpp"

namespace fixwright::rpc {

class QueryClient {
 public:
  /// \param address  "host:port". Connects when first asked.
  explicit QueryClient(const std::string& address);
  QueryClient(const QueryClient&) = delete;
  QueryClient& operator=(const QueryClient&) = delete;
  ~QueryClient();

  /// Every emitter that is not retired, newest first, at most `limit` (1 to 1000). The wire
  /// carries the names of stations and not their ids: Emitter::stations holds 1, 2, … here.
  /// \return one line when the server can't be reached or refuses.
  Result<std::vector<EmitterView>> emitters(std::size_t limit);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright::rpc
