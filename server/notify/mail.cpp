#include "server/notify/mail.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <ctime>
#include <new>

#include "server/base/text.hpp"
#include "server/notify/curl.hpp"
#include "server/notify/signature.hpp"

namespace fixwright::notify {

namespace {

/// RFC 2047, section 2: an encoded word has 75 characters at most; 45 bytes make 60 of base64.
constexpr std::size_t kBytesAWord = 45;
constexpr std::size_t kLongestSubject = 200;

bool is_plain_ascii(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

/// RFC 4648, section 4.
std::string base64(std::string_view bytes) {
  constexpr std::string_view kDigits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) {
      return i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U;
    };
    const unsigned three = byte(0) << 16 | byte(1) << 8 | byte(2);
    for (std::size_t d = 0; d < 4; ++d) {
      text += i + d <= bytes.size() ? kDigits[three >> (18 - 6 * d) & 63] : '=';
    }
  }
  return text;
}

/// So many bytes, less where a character would be cut.
std::size_t whole_characters(std::string_view text, std::size_t most) {
  if (text.size() <= most) return text.size();
  while (most > 0 && (static_cast<unsigned char>(text[most]) & 0xC0) == 0x80) --most;
  return most;
}

/// RFC 5322, section 3.3: always in English.
std::string date_of(TimePoint t) {
  const std::time_t seconds = std::chrono::system_clock::to_time_t(
      std::chrono::time_point_cast<std::chrono::system_clock::duration>(t));
  std::tm parts{};
  gmtime_r(&seconds, &parts);
  constexpr const char* kDays[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  constexpr const char* kMonths[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  return fmt::format("{}, {} {} {} {:02}:{:02}:{:02} +0000", kDays[parts.tm_wday], parts.tm_mday,
                     kMonths[parts.tm_mon], parts.tm_year + 1900, parts.tm_hour, parts.tm_min,
                     parts.tm_sec);
}

/// The same for the same key, in the sender's domain.
std::string message_id(const MailRoute& route, const std::string& key) {
  return fmt::format("<{}@{}>", hmac_sha256("fixwright", key).substr(0, 32),
                     route.from.substr(route.from.find('@') + 1));
}

std::string subject_of(const MailRoute& route, const Notification& n, const Surroundings& around) {
  const std::string first = route.subject.fill(fields_of(n.alerts.front(), around));
  std::string subject = n.escalated ? "nobody has acknowledged this: " + first : first;
  if (n.alerts.size() > 1)
    subject = fmt::format("{} alerts, the first: {}", n.alerts.size(), first);
  return subject;
}

std::string text_of(const MailRoute& route, const Notification& n, const Surroundings& around) {
  std::string all;
  for (const Alert& a : n.alerts) {
    if (!all.empty()) all += "\n----\n\n";
    all += route.text.fill(fields_of(a, around));
  }
  return all;
}

using Mime = std::unique_ptr<curl_mime, void (*)(curl_mime*)>;

/// libcurl encodes the text so that any mail server carries it.
Mime body(const Transfer& transfer, const std::string& text) {
  Mime mime(curl_mime_init(transfer.handle()), curl_mime_free);
  curl_mimepart* const part = mime ? curl_mime_addpart(mime.get()) : nullptr;
  if (part == nullptr) throw std::bad_alloc();
  curl_mime_data(part, text.data(), text.size());
  curl_mime_type(part, "text/plain; charset=utf-8");
  curl_mime_encoder(part, "quoted-printable");
  return mime;
}

void set_login(const Transfer& transfer, const MailRoute& route) {
  CURL* const h = transfer.handle();
  curl_easy_setopt(h, CURLOPT_PROTOCOLS_STR, "smtp,smtps");
  curl_easy_setopt(h, CURLOPT_USE_SSL,
                   static_cast<long>(route.starttls ? CURLUSESSL_ALL : CURLUSESSL_NONE));
  if (route.user.empty()) return;
  curl_easy_setopt(h, CURLOPT_USERNAME, route.user.c_str());
  curl_easy_setopt(h, CURLOPT_PASSWORD, route.password.c_str());
}

void set_envelope(Transfer& transfer, const MailRoute& route, const Notification& n,
                  const Surroundings& around) {
  curl_easy_setopt(transfer.handle(), CURLOPT_MAIL_FROM, ("<" + route.from + ">").c_str());
  std::string all;
  for (const std::string& address : route.to) {
    transfer.add_recipient("<" + address + ">");
    all += (all.empty() ? "" : ", ") + ("<" + address + ">");
  }
  transfer.add_header("Date: " + date_of(n.at));
  transfer.add_header("From: <" + route.from + ">");
  transfer.add_header("To: " + all);
  transfer.add_header("Subject: " + encoded_subject(subject_of(route, n, around)));
  transfer.add_header("Message-ID: " + message_id(route, n.key));
  transfer.add_header("Auto-Submitted: auto-generated");  // RFC 3834: no holiday notes in return
}

}  // namespace

bool is_address(std::string_view text) {
  const std::size_t at = text.find('@');
  if (at == 0 || at == std::string_view::npos || at + 1 == text.size()) return false;
  if (text.size() > 254 || text.find('@', at + 1) != std::string_view::npos) return false;
  return std::all_of(text.begin(), text.end(), [](char c) {
    return c > ' ' && c <= '~' &&
           std::string_view("<>()[]\\,;:\"").find(c) == std::string_view::npos;
  });
}

std::string encoded_subject(std::string_view subject) {
  std::string line = one_line(subject, 4000);
  line.resize(whole_characters(line, kLongestSubject));
  if (is_plain_ascii(line) && line.find("=?") == std::string::npos) return line;
  std::string encoded;
  for (std::string_view rest = line; !rest.empty();) {
    const std::size_t bytes = whole_characters(rest, kBytesAWord);
    encoded += (encoded.empty() ? "" : " ") + ("=?UTF-8?B?" + base64(rest.substr(0, bytes)) + "?=");
    rest.remove_prefix(bytes);
  }
  return encoded;
}

std::optional<std::string> send_mail(const MailRoute& route, const Notification& n,
                                     const Surroundings& around) {
  Transfer transfer(route.server);
  set_login(transfer, route);
  set_envelope(transfer, route, n, around);
  const Mime mime = body(transfer, text_of(route, n, around));
  curl_easy_setopt(transfer.handle(), CURLOPT_MIMEPOST, mime.get());
  const Answer answer = transfer.run();
  if (!answer.error) return std::nullopt;
  return fmt::format("{}: {} (the mail server's last status is {})", route.server, *answer.error,
                     answer.status);
}

}  // namespace fixwright::notify
