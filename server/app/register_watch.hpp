#pragma once
/// Notices an import of the register or a person's word on an emitter, whoever wrote it into the
/// database, and hands the whole of it on.

#include <functional>

#include "server/app/poller.hpp"
#include "server/app/register_source.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

class RegisterWatch {
 public:
  using Tell = std::function<void(KnownRegister)>;

  /// Looks at once and then every two seconds for another state than `seen`. `tell` is called from
  /// its thread.
  RegisterWatch(store::Database& database, const register_::RegisterRules& rules,
                store::RegisterState seen, Tell tell);

 private:
  void look();

  store::Database& database_;
  const register_::RegisterRules rules_;
  store::RegisterState seen_;
  Tell tell_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
