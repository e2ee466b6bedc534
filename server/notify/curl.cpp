#include "server/notify/curl.hpp"

#include <new>

namespace fixwright::notify {

namespace {

constexpr long kConnect_s = 10;
constexpr long kAll_s = 30;

std::size_t swallow(char* /*data*/, std::size_t size, std::size_t count, void* /*nowhere*/) {
  return size * count;
}

/// Once in a process, before any other call.
void begin() {
  static const CURLcode begun = curl_global_init(CURL_GLOBAL_DEFAULT);
  if (begun != CURLE_OK) throw std::bad_alloc();
}

}  // namespace

Transfer::Transfer(const std::string& url) {
  begin();
  handle_.reset(curl_easy_init());
  if (!handle_) throw std::bad_alloc();
  CURL* const h = handle_.get();
  curl_easy_setopt(h, CURLOPT_URL, url.c_str());
  curl_easy_setopt(h, CURLOPT_PROTOCOLS_STR, "http,https,smtp,smtps");
  curl_easy_setopt(h, CURLOPT_FOLLOWLOCATION, 0L);
  curl_easy_setopt(h, CURLOPT_NOSIGNAL, 1L);
  curl_easy_setopt(h, CURLOPT_CONNECTTIMEOUT, kConnect_s);
  curl_easy_setopt(h, CURLOPT_TIMEOUT, kAll_s);
  curl_easy_setopt(h, CURLOPT_WRITEFUNCTION, swallow);
}

void Transfer::add(List& list, const std::string& line) {
  curl_slist* const longer = curl_slist_append(list.get(), line.c_str());
  if (longer == nullptr) throw std::bad_alloc();
  list.release();
  list.reset(longer);
}

void Transfer::add_header(const std::string& line) { add(headers_, line); }

void Transfer::add_recipient(const std::string& address) { add(recipients_, address); }

Answer Transfer::run() {
  CURL* const h = handle_.get();
  if (headers_) curl_easy_setopt(h, CURLOPT_HTTPHEADER, headers_.get());
  if (recipients_) curl_easy_setopt(h, CURLOPT_MAIL_RCPT, recipients_.get());
  const CURLcode code = curl_easy_perform(h);
  Answer answer;
  curl_easy_getinfo(h, CURLINFO_RESPONSE_CODE, &answer.status);
  if (code != CURLE_OK) answer.error = curl_easy_strerror(code);
  return answer;
}

}  // namespace fixwright::notify
