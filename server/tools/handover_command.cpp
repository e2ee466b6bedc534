#include "server/tools/handover_command.hpp"

#include <fmt/core.h>

#include <exception>
#include <optional>

#include "server/base/clock.hpp"
#include "server/base/text.hpp"
#include "server/report/handover_sheet.hpp"
#include "server/store/evidence.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/input_file.hpp"
#include "server/tools/output_file.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

/// Nothing, with a line on `err`, when the basemap can't be used.
std::optional<std::vector<report::Road>> roads_of(const std::string& path, std::ostream& err) {
  if (path.empty()) return std::vector<report::Road>{};
  const auto text = read_input("handover", path, err);
  if (!text) return std::nullopt;
  auto roads = report::roads_in(*text);
  if (roads) return *std::move(roads);
  err << fmt::format("handover: {}: {}\n", path, roads.error());
  return std::nullopt;
}

std::optional<EmitterEvidence> evidence_of(EmitterKey emitter, const HandoverOptions& options,
                                           TimePoint now, std::ostream& err) {
  store::Database database{command_rules(options.database)};
  auto evidence = store::read_evidence(database, {emitter, now, now, 0});
  if (!evidence) {
    err << fmt::format("handover: emitter {}: there is none\n", options.emitter);
  } else if (evidence->region.empty()) {
    err << fmt::format("handover: emitter {}: its place is not known\n", options.emitter);
    return std::nullopt;
  }
  return evidence;
}

int write(const HandoverOptions& options, std::ostream& out, std::ostream& err) {
  const auto emitter = given_emitter("handover: ", options.emitter, err);
  if (!emitter) return 2;
  auto roads = roads_of(options.basemap, err);
  if (!roads) return 1;
  const TimePoint now = SystemClock{}.now();
  const auto evidence = evidence_of(*emitter, options, now, err);
  if (!evidence) return 1;
  const report::HandoverOrder order{now, options.by, options.report_to, *std::move(roads)};
  return put_output("handover", report::handover_sheet(*evidence, order), options.output, out, err);
}

}  // namespace

int run_handover(const HandoverOptions& options, std::ostream& out, std::ostream& err) {
  try {
    return write(options, out, err);
  } catch (const std::exception& error) {
    err << fmt::format("handover: {}\n", one_line(error.what()));
    return 1;
  }
}

}  // namespace fixwright::tools
