#pragma once
/// receivers.py, run for a test: a mail server and a web server on loopback.

#include <filesystem>
#include <string>
#include <vector>

namespace fixwright::test {

class Receivers {
 public:
  /// Ends the test program when they can't be started.
  Receivers();
  ~Receivers();
  Receivers(const Receivers&) = delete;
  Receivers& operator=(const Receivers&) = delete;

  [[nodiscard]] std::string mail_url() const;
  [[nodiscard]] std::string web_url() const;

  /// What they took so far, in order.
  [[nodiscard]] std::vector<std::string> mails() const;
  [[nodiscard]] std::vector<std::string> requests() const;  // {"headers": {…}, "body": "…"}

  /// From now on they answer with this status instead; 0: they take messages again.
  void refuse(int status) const;

 private:
  [[nodiscard]] std::vector<std::string> taken(const std::string& kind,
                                               const std::string& suffix) const;

  std::filesystem::path folder_;
  int process_ = 0;
  int input_ = -1;  // theirs; they end when it is closed
  int mail_port_ = 0;
  int web_port_ = 0;
};

}  // namespace fixwright::test
