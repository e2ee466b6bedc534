#pragma once
/// A request and its answer, as plain values: what is answered knows nothing of sockets.

#include <memory>
#include <string>
#include <string_view>

namespace fixwright::web {

struct Request {
  std::string method;         // "GET"
  std::string target;         // "/api/emitters?limit=5", as sent
  std::string if_none_match;  // the header, or empty
  std::string host = {};      // the header, or empty
};

enum class Caching {
  never,       // an answer of this moment
  revalidate,  // may be kept, must be asked for again: carries an etag
  forever,     // the name changes with the content
};

enum class Content {
  page,   // may run what this server gave it
  paper,  // runs nothing, loads nothing, brings its own styles
};

struct Answer {
  int status = 200;
  std::string content_type;
  std::shared_ptr<const std::string> body;  // never null; shared, since files are large
  std::string etag;                         // quoted; empty: none
  Caching caching = Caching::never;
  Content content = Content::page;
};

/// JSON with one line for a person: {"error": "..."}.
Answer error_answer(int status, std::string_view line);
Answer text_answer(std::string_view content_type, std::string body);

}  // namespace fixwright::web
