#include "server/store/connection_text.hpp"

#include <libpq-fe.h>

#include <algorithm>
#include <map>
#include <memory>

namespace fixwright::store {

namespace {

using Options = std::map<std::string, std::string>;

Options parse(const std::string& connection) {
  char* complaint = nullptr;
  const std::unique_ptr<PQconninfoOption, decltype(&PQconninfoFree)> parsed(
      PQconninfoParse(connection.c_str(), &complaint), &PQconninfoFree);
  const std::unique_ptr<char, decltype(&PQfreemem)> held(complaint, &PQfreemem);
  if (!parsed) {
    throw DatabaseRefused("database connection can't be read: " +
                          one_line(complaint != nullptr ? complaint : "out of memory") +
                          "; write it as libpq takes it, such as \"host=/run/fixwright "
                          "dbname=fixwright user=fixwright_writer\"");
  }
  Options options;
  for (const PQconninfoOption* o = parsed.get(); o->keyword != nullptr; ++o) {
    if (o->val != nullptr) options[o->keyword] = o->val;
  }
  return options;
}

std::string quoted(const std::string& value) {
  std::string text = "'";
  for (const char c : value) {
    if (c == '\'' || c == '\\') text += '\\';
    text += c;
  }
  return text + "'";
}

}  // namespace

std::string connection_text(const DatabaseRules& rules) {
  Options options = parse(rules.connection);
  const auto timeout_s = std::chrono::ceil<std::chrono::seconds>(rules.connect_timeout).count();
  // libpq takes 1 s for 2 s, and 0 for "for ever".
  options.emplace("connect_timeout", std::to_string(std::clamp<long>(timeout_s, 2, 60)));
  options["application_name"] = rules.application;
  options.emplace("tcp_user_timeout", std::to_string(std::max<long>(timeout_s, 2) * 1000));
  std::string& session = options["options"];
  session = "-c timezone=UTC -c client_min_messages=warning -c datestyle=ISO -c jit=off " + session;
  std::string text;
  for (const auto& [key, value] : options) text += key + "=" + quoted(value) + " ";
  return text;
}

std::string one_line(const std::string& message) {
  std::string line = message.substr(0, message.find('\n'));
  for (const std::string_view prefix : {"ERROR:  ", "FATAL:  "}) {
    if (line.starts_with(prefix)) line.erase(0, prefix.size());
  }
  return line;
}

}  // namespace fixwright::store
