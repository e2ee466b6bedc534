#pragma once
/// Carries changes from the port to the listening browsers, a push interval's worth at a time.

#include "server/web/http/coroutines.hpp"
// (first: see there)

#include <memory>

#include "server/web/http/live_mailbox.hpp"
#include "server/web/http/live_message.hpp"
#include "server/web/http/net.hpp"

namespace fixwright::web {

class LivePump {
 public:
  /// Subscribes at once. Both must outlive it.
  LivePump(PagePort& port, Shared& shared);

  /// Until the server stops. On the I/O thread; writes messages on a worker.
  asio::awaitable<void> run();

  /// No change is taken after this returns.
  void unsubscribe();

 private:
  asio::awaitable<LiveText> write(Changes changes);

  Shared& shared_;
  LiveMailbox mailbox_;
  LiveWriter writer_;
  std::unique_ptr<Subscription> emitters_;
  std::unique_ptr<Subscription> alerts_;
};

}  // namespace fixwright::web
