#pragma once
/// How a unary call is answered.

#include <grpcpp/server_context.h>
#include <grpcpp/support/server_callback.h>

#include <exception>
#include <utility>

#include "server/rpc/workers.hpp"

namespace fixwright::rpc {

/// Runs `call` on a worker and finishes with what it returns; an exception of the port means
/// that the database is away.
template <typename Call>
grpc::ServerUnaryReactor* answer(Workers& workers, grpc::CallbackServerContext* context,
                                 Call call) {
  grpc::ServerUnaryReactor* reactor = context->DefaultReactor();
  const bool taken = workers.try_post([context, reactor, call = std::move(call)] {
    // Nobody waits any more: spare the database.
    if (context->IsCancelled()) return reactor->Finish(grpc::Status::CANCELLED);
    try {
      reactor->Finish(call());
    } catch (const std::exception& away) {
      reactor->Finish({grpc::StatusCode::UNAVAILABLE, away.what()});
    }
  });
  if (!taken) {
    reactor->Finish(
        {grpc::StatusCode::UNAVAILABLE, "too many queries wait; try again with backoff"});
  }
  return reactor;
}

}  // namespace fixwright::rpc
