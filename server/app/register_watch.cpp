#include "server/app/register_watch.hpp"

#include <chrono>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{2};

}  // namespace

RegisterWatch::RegisterWatch(store::Database& database, const register_::RegisterRules& rules,
                             store::RegisterState seen, Tell tell)
    : database_(database),
      rules_(rules),
      seen_(seen),
      tell_(std::move(tell)),
      poller_({kInterval, "the register is not read"}, [this] { look(); }) {}

void RegisterWatch::look() {
  if (store::RegisterBook{database_}.state() == seen_) return;
  KnownRegister known = load_register(database_, rules_);
  seen_ = known.state;
  log::info(
      "register: {} entries, those that ended among them, as of import {}; {} decided by people",
      known.licences->size(), seen_.imports, known.opinions.size());
  tell_(std::move(known));
}

}  // namespace fixwright::app
