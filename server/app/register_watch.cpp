#include "server/app/register_watch.hpp"

#include <chrono>
#include <exception>
#include <string>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{2};

}  // namespace

RegisterWatch::RegisterWatch(store::Database& database, const register_::RegisterRules& rules,
                             store::RegisterState seen, Tell tell)
    : database_(database), rules_(rules), seen_(seen), tell_(std::move(tell)) {
  thread_ = std::thread([this] { run(); });
}

RegisterWatch::~RegisterWatch() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  stop_.notify_one();
  thread_.join();
}

void RegisterWatch::run() {
  std::string told;
  std::unique_lock lock(mutex_);
  while (!stop_.wait_for(lock, kInterval, [this] { return stopping_; })) {
    lock.unlock();
    try {
      look();
      told.clear();
    } catch (const store::DatabaseAway&) {
      // The database's watch tells of that; the register is read when it is back.
    } catch (const std::exception& problem) {
      if (told != problem.what()) log::error("the register is not read: {}", problem.what());
      told = problem.what();
    }
    lock.lock();
  }
}

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
