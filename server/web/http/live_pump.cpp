#include "server/web/http/live_pump.hpp"

#include <utility>

namespace fixwright::web {

namespace {
constexpr std::size_t kMaxWaiting = 10'000;  // emitters and alerts within one push interval
}

LivePump::LivePump(PagePort& port, Shared& shared)
    : shared_(shared), mailbox_(kMaxWaiting), writer_(port) {
  emitters_ = port.watch_emitters([this](const EmitterView& view) { mailbox_.put(view); });
  alerts_ = port.watch_alerts([this](const AlertView& view) { mailbox_.put(view); });
}

void LivePump::unsubscribe() {
  emitters_.reset();
  alerts_.reset();
}

asio::awaitable<LiveText> LivePump::write(Changes changes) { co_return writer_.write(changes); }

asio::awaitable<void> LivePump::run() {
  asio::steady_timer timer(co_await asio::this_coro::executor);
  while (!shared_.stopping) {
    timer.expires_after(shared_.rules.push_interval);
    boost::system::error_code ignored;
    co_await timer.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
    Changes changes = mailbox_.take();
    if (changes.empty() || !shared_.hub.anyone()) continue;
    auto work = write(std::move(changes));
    const LiveText message = co_await asio::co_spawn(shared_.workers->get_executor(),
                                                     std::move(work), asio::use_awaitable);
    shared_.hub.publish(message);
  }
}

}  // namespace fixwright::web
