#include "server/web/http/answer.hpp"

#include <nlohmann/json.hpp>
#include <utility>

#include "server/web/http/view_json.hpp"

namespace fixwright::web {

Answer text_answer(std::string_view content_type, std::string body) {
  Answer answer;
  answer.content_type = content_type;
  answer.body = std::make_shared<const std::string>(std::move(body));
  return answer;
}

Answer error_answer(int status, std::string_view line) {
  Answer answer = text_answer("application/json", json_text({{"error", line}}));
  answer.status = status;
  return answer;
}

}  // namespace fixwright::web
