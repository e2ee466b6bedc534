#pragma once
/// Notices an import of the register or a person's word on an emitter, whoever wrote it into the
/// database, and hands the whole of it on.

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

#include "server/app/register_source.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

class RegisterWatch {
 public:
  using Tell = std::function<void(KnownRegister)>;

  /// Looks every two seconds for another state than `seen`. `tell` is called from its thread.
  RegisterWatch(store::Database& database, const register_::RegisterRules& rules,
                store::RegisterState seen, Tell tell);
  ~RegisterWatch();
  RegisterWatch(const RegisterWatch&) = delete;
  RegisterWatch& operator=(const RegisterWatch&) = delete;

 private:
  void run();
  void look();

  store::Database& database_;
  const register_::RegisterRules rules_;
  store::RegisterState seen_;
  Tell tell_;
  std::mutex mutex_;
  std::condition_variable stop_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace fixwright::app
