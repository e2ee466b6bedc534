#include "tests/db/questions.hpp"

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace fixwright::test {

namespace {

const std::string kRoot = FIXWRIGHT_SOURCE_DIR;

Example read_example(const std::string& section) {
  Example example;
  example.name = section.substr(0, section.find('\n'));
  example.answer = block(section, "text");
  std::string command = block(section, "sh");
  std::replace(command.begin(), command.end(), '\\', ' ');
  std::istringstream words(command);
  for (std::string word, value; words >> word;) {
    if (word.starts_with("--") && words >> value) example.arguments[word.substr(2)] = value;
  }
  if (example.arguments.contains("log")) {
    example.arguments["log"] = kRoot + "/" + example.arguments["log"];
  }
  return example;
}

}  // namespace

std::string text_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(kRoot + "/" + path).rdbuf();
  return text.str();
}

std::vector<Question> read_questions() {
  std::istringstream file(text_of("sql/README.md"));
  std::vector<Question> questions;
  std::string* block = nullptr;
  for (std::string line; std::getline(file, line);) {
    if (line == "## Questions with a name") break;
    if (line.starts_with("### ")) questions.push_back({line.substr(4), "", ""});
    if (questions.empty()) continue;
    if (line == "```sql") {
      block = &questions.back().query;
    } else if (line == "```text") {
      block = &questions.back().answer;
    } else if (line == "```") {
      block = nullptr;
    } else if (block != nullptr) {
      *block += line + "\n";
    }
  }
  return questions;
}

std::string block(const std::string& text, const std::string& word) {
  const std::size_t begin = text.find("```" + word + "\n") + word.size() + 4;
  return text.substr(begin, text.find("```\n", begin) - begin);
}

std::string named_part() {
  const std::string readme = text_of("sql/README.md");
  return readme.substr(readme.find("## Questions with a name"));
}

std::vector<Example> read_examples() {
  std::vector<Example> examples;
  const std::string part = named_part();
  for (std::size_t at = part.find("\n### "); at != std::string::npos;) {
    const std::size_t next = part.find("\n### ", at + 1);
    const std::string section = part.substr(at + 5, next - at - 5);
    if (section.find("```sh") != std::string::npos) examples.push_back(read_example(section));
    at = next;
  }
  return examples;
}

tools::NamedQuery query_named(const std::string& name) {
  for (const tools::QueryFile& file : tools::query_files()) {
    if (file.name == name) return *tools::parse_named_query(file);
  }
  throw std::invalid_argument("no query is called " + name);
}

}  // namespace fixwright::test
