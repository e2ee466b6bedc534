#pragma once
/// The bytes of a feed: from standard input, a named pipe or a TCP sender. Opens again what was
/// lost, after a wait that doubles.

#include <cstddef>
#include <span>
#include <string>

#include "server/base/clock.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent::iq {

enum class FeedKind { descriptor, pipe, tcp };

struct FeedAddress {
  FeedKind kind = FeedKind::descriptor;
  std::string place{};  // path of a pipe or file, host:port of a sender
  int descriptor = 0;   // open, not closed by us
};

enum class FeedState {
  bytes,    // some came
  nothing,  // not now
  lost,     // the sender is gone and may come back
  ended,    // nothing will follow
};

class FeedInput {
 public:
  static constexpr Duration kFirstWait = std::chrono::milliseconds{500};
  static constexpr Duration kLongestWait = std::chrono::seconds{30};
  static constexpr Duration kConnectLimit = std::chrono::seconds{10};

  struct Got {
    FeedState state = FeedState::nothing;
    std::size_t bytes = 0;
    std::string note{};  // said when something changes
  };

  /// The clock must outlive the input.
  FeedInput(FeedAddress address, const Clock& clock);

  /// Waits at most `patience`, once, and reads what is there. \pre `to` is not empty.
  Got read(std::span<std::byte> to, Duration patience);
  /// "stdin", "pipe /run/iq", "tcp 127.0.0.1:1234".
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  enum class Link { closed, connecting, open };
  Got open(Duration patience);
  Got begin();
  Got await_connection(Duration patience);
  Got lose(const std::string& why, FeedState state);
  Got opened();
  [[nodiscard]] int fd() const;

  FeedAddress address_;
  const Clock& clock_;
  std::string name_;
  FileDescriptor fd_;
  Link link_ = Link::closed;
  bool told_lost_ = false;
  Duration wait_ = kFirstWait;
  TimePoint since_;  // of the attempt, or of the loss
};

}  // namespace fixwright::agent::iq
