#include "server/tools/emitters_command.hpp"

#include "server/base/clock.hpp"
#include "server/report/table.hpp"
#include "server/rpc/query_client.hpp"

namespace fixwright::tools {

int run_emitters(const EmittersOptions& options, std::ostream& out, std::ostream& err) {
  rpc::QueryClient client(options.server);
  const auto emitters = client.emitters(options.limit);
  if (!emitters) {
    err << emitters.error() << '\n';
    return 1;
  }
  out << report::emitter_table(*emitters, SystemClock{}.now());
  return 0;
}

}  // namespace fixwright::tools
