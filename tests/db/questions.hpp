#pragma once
/// The questions of sql/README.md, as they stand there.

#include <map>
#include <string>
#include <vector>

#include "server/tools/named_query.hpp"

namespace fixwright::test {

/// "### 1. Title", then a block ```sql, then a block ```text.
struct Question {
  std::string title;
  std::string query;
  std::string answer;  // fields separated by "|", one row a line
};

/// Those that are SQL.
std::vector<Question> read_questions();

/// "### name", a block ```sh with its command and a block ```text with the answer.
struct Example {
  std::string name;
  std::map<std::string, std::string> arguments;
  std::string answer;
};

/// Those that `fixwright query` asks.
std::vector<Example> read_examples();

/// The part "Questions with a name".
std::string named_part();

/// What stands between the first "```WORD" and its end.
std::string block(const std::string& text, const std::string& word);

/// A file's text; the path is relative to the sources.
std::string text_of(const std::string& path);

/// Throws std::invalid_argument when there is none.
tools::NamedQuery query_named(const std::string& name);

}  // namespace fixwright::test
