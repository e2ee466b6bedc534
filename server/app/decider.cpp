#include "server/app/decider.hpp"

#include "server/store/decision_book.hpp"
#include "server/store/result_writer.hpp"

namespace fixwright::app {

Result<EmitterDecision> Decider::decide(const EmitterDecision& wish) {
  return store::DecisionBook(database_).decide(wish);
}

bool Decider::acknowledge_alert(const std::string& id, const std::string& by) {
  return store::ResultWriter(database_).acknowledge_alert(id, clock_.now(), by);
}

}  // namespace fixwright::app
