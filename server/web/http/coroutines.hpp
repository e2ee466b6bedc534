#pragma once
/// Boost.Asio coroutines. Boost 1.74's awaitable.hpp uses std::exchange without including it,
/// so <utility> must come first: the one place where order counts, hence this header.

// clang-format off
#include <utility>
// clang-format on

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/this_coro.hpp>
#include <boost/asio/use_awaitable.hpp>
