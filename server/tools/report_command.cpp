#include "server/tools/report_command.hpp"

#include <fmt/core.h>

#include <exception>
#include <vector>

#include "server/base/clock.hpp"
#include "server/base/text.hpp"
#include "server/report/emitter_report.hpp"
#include "server/store/evidence.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/input_file.hpp"
#include "server/tools/output_file.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr std::chrono::hours kUsualStretch{7 * 24};

std::string day_text(const BearingReference& b) { return format_rfc3339(b.start, 6); }

/// One line for each bearing that is no longer what the report says. \return how many.
std::size_t tell_differences(const std::vector<BearingReference>& quoted,
                             const std::vector<std::string>& now, const std::string& file,
                             std::ostream& err) {
  std::size_t wrong = 0;
  for (std::size_t i = 0; i < quoted.size(); ++i) {
    if (quoted[i].digest == now[i]) continue;
    ++wrong;
    err << fmt::format("report: {}: bearing {} of stream {} at {}: {}\n", file, quoted[i].sequence,
                       quoted[i].stream, day_text(quoted[i]),
                       now[i].empty() ? "is not in the database"
                                      : "is another in the database than in the report");
  }
  return wrong;
}

int verify(const ReportOptions& options, std::ostream& out, std::ostream& err) {
  const auto html = read_input("report", options.verify, err);
  if (!html) return 1;
  const auto quoted = report::references_in(*html);
  if (!quoted) {
    err << fmt::format("report: {}: {}\n", options.verify, quoted.error());
    return 1;
  }
  store::Database database{command_rules(options.database)};
  const auto wrong =
      tell_differences(*quoted, store::read_digests(database, *quoted), options.verify, err);
  if (wrong > 0) return 1;
  out << fmt::format("{}: all {} bearings are in the database as the report has them\n",
                     options.verify, quoted->size());
  return 0;
}

int write(const ReportOptions& options, std::ostream& out, std::ostream& err) {
  const auto emitter = given_emitter("report: ", options.emitter, err);
  if (!emitter) return 2;
  const TimePoint now = SystemClock{}.now();
  const auto until = given_time("--until", options.until, now, err);
  if (!until) return 2;
  const auto since = given_time("--since", options.since, *until - kUsualStretch, err);
  if (!since) return 2;
  store::Database database{command_rules(options.database)};
  const auto evidence = store::read_evidence(database, {*emitter, *since, *until});
  if (!evidence) {
    err << fmt::format("report: emitter {}: there is none\n", options.emitter);
    return 1;
  }
  if (evidence->bearings.empty()) {
    err << fmt::format("report: emitter {}: nothing was heard of it from {} to {}; see --since\n",
                       options.emitter, format_rfc3339(*since, 0), format_rfc3339(*until, 0));
    return 1;
  }
  const std::string html = report::emitter_report(*evidence, {options.question, options.by, now});
  return put_output("report", html, options.output, out, err);
}

}  // namespace

int run_report(const ReportOptions& options, std::ostream& out, std::ostream& err) {
  if (options.emitter.empty() == options.verify.empty()) {
    err << "report: give an emitter, or --verify FILE\n";
    return 2;
  }
  try {
    return options.verify.empty() ? write(options, out, err) : verify(options, out, err);
  } catch (const std::exception& error) {
    err << fmt::format("report: {}\n", one_line(error.what()));
    return 1;
  }
}

}  // namespace fixwright::tools
