#include "server/app/decision_watch.hpp"

#include <fmt/core.h>

#include <chrono>
#include <set>
#include <utility>

#include "server/base/log.hpp"
#include "server/base/text.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/reader.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{1};

}  // namespace

DecisionWatch::DecisionWatch(Parts parts) : parts_(std::move(parts)) {
  store::DecisionBook book(parts_.database);
  const auto decided = book.after(0);
  if (!decided.empty()) seen_ = decided.back().id;
  parts_.marks.replace(book.marks());
  redirects_ = book.redirects();
  parts_.redirect(redirects_);
  poller_.emplace(Poller::Rules{kInterval, "decisions are not read"}, [this] { look(); });
}

void DecisionWatch::look() {
  store::DecisionBook book(parts_.database);
  const auto decided = book.after(seen_);
  if (decided.empty()) return;
  parts_.marks.replace(book.marks());
  std::set<EmitterKey> concerned;
  for (const EmitterDecision& d : decided) {
    concerned.insert(d.emitter);
    if (d.other) concerned.insert({d.emitter.channel, *d.other});
    log::info("decision {}: {} of emitter {}/{} by {}", d.id, to_string(d.kind), d.emitter.channel,
              d.emitter.id, one_line(d.by));
  }
  store::Reader reader(parts_.database);
  for (const EmitterKey key : concerned) {
    if (const auto view = reader.emitter(key)) parts_.emitters.publish(*view);
  }
  if (auto redirects = book.redirects(); redirects != redirects_) {
    redirects_ = std::move(redirects);
    parts_.redirect(redirects_);
  }
  seen_ = decided.back().id;
}

}  // namespace fixwright::app
