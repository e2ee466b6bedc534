#pragma once
/// A client that sends bytes and reads bytes, right or wrong.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>
#include <cstdint>
#include <string>

namespace fixwright::web {

class PlainClient {
 public:
  /// Throws when nobody listens there.
  explicit PlainClient(std::uint16_t port) {
    socket_.connect({boost::asio::ip::make_address("127.0.0.1"), port});
  }

  void send(const std::string& bytes) { boost::asio::write(socket_, boost::asio::buffer(bytes)); }

  /// Everything until the server closes.
  std::string read_to_end() {
    boost::system::error_code end;
    boost::asio::read(socket_, boost::asio::dynamic_buffer(read_), end);
    return take(read_.size());
  }

  /// Everything up to and with `mark`.
  std::string read_until(const std::string& mark) {
    return take(boost::asio::read_until(socket_, boost::asio::dynamic_buffer(read_), mark));
  }

 private:
  std::string take(std::size_t size) {
    std::string out = read_.substr(0, size);
    read_.erase(0, size);
    return out;
  }

  boost::asio::io_context io_;
  boost::asio::ip::tcp::socket socket_{io_};
  std::string read_;
};

}  // namespace fixwright::web
