#pragma once
/// One transfer of libcurl. Inside `notify` only.

#include <curl/curl.h>

#include <memory>
#include <optional>
#include <string>

namespace fixwright::notify {

/// Where it failed, or the status with which it was answered.
struct Answer {
  std::optional<std::string> error;  // no connection, no certificate, out of time
  long status = 0;                   // of HTTP or SMTP
};

class Transfer {
 public:
  /// With the time-outs that every message has; no redirect is followed.
  explicit Transfer(const std::string& url);

  [[nodiscard]] CURL* handle() const { return handle_.get(); }
  void add_header(const std::string& line);
  void add_recipient(const std::string& address);
  Answer run();

 private:
  struct Cleanup {
    void operator()(CURL* handle) const { curl_easy_cleanup(handle); }
    void operator()(curl_slist* list) const { curl_slist_free_all(list); }
  };
  using List = std::unique_ptr<curl_slist, Cleanup>;
  static void add(List& list, const std::string& line);

  List headers_;
  List recipients_;
  std::unique_ptr<CURL, Cleanup> handle_;
};

}  // namespace fixwright::notify
