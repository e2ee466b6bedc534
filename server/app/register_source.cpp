#include "server/app/register_source.hpp"

#include <iterator>

namespace fixwright::app {

/// The state is read first: what comes between makes it read again, and is never missed.
KnownRegister load_register(store::Database& database, const register_::RegisterRules& rules) {
  store::RegisterBook book{database};
  KnownRegister known;
  known.state = book.state();
  auto licences = book.licences();
  auto former = book.former();
  licences.insert(licences.end(), std::make_move_iterator(former.begin()),
                  std::make_move_iterator(former.end()));
  known.licences = std::make_shared<const register_::Register>(std::move(licences), rules);
  for (RegisterOpinion& o : book.opinions()) known.opinions.emplace(o.emitter, std::move(o));
  return known;
}

}  // namespace fixwright::app
