#pragma once
/// The command line: a file a command, which names its options and runs it once it is chosen.

#include <CLI/CLI.hpp>
#include <functional>
#include <iostream>
#include <memory>
#include <string>
#include <utility>

#include "server/locate/rules.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools::cli {

/// What the chosen command will do; returns the exit code.
using Run = std::function<int()>;

/// All of them.
void add_all(CLI::App& app, Run& run);
/// Each adds its command to `app`; parsing that command sets `run`, which outlives the parse.
void add_locate(CLI::App& app, Run& run);
void add_explain(CLI::App& app, Run& run);
void add_export(CLI::App& app, Run& run);
void add_handover(CLI::App& app, Run& run);
void add_replay(CLI::App& app, Run& run);
void add_accuracy(CLI::App& app, Run& run);
void add_alert(CLI::App& app, Run& run);
void add_case(CLI::App& app, Run& run);
void add_calibrate(CLI::App& app, Run& run);
void add_calibration(CLI::App& app, Run& run);
void add_register(CLI::App& app, Run& run);
void add_emitter(CLI::App& app, Run& run);
void add_emitters(CLI::App& app, Run& run);
void add_query(CLI::App& app, Run& run);
void add_completion(CLI::App& app, Run& run);
void add_recompute(CLI::App& app, Run& run);
void add_report(CLI::App& app, Run& run);
void add_retention(CLI::App& app, Run& run);

/// Options that several commands share. What they fill in outlives the parse.
void add_input(CLI::App& command, std::string& input);
/// Of a command that writes.
void add_database(CLI::App& command, std::string& database);
void add_transmission_rules(CLI::App& command, TransmissionRules& rules);
void add_locate_rules(CLI::App& command, locate::LocateRules& rules);

/// Lets `command(options, std::cout, std::cerr)` be run when `app` is chosen.
template <typename Options>
void run_when_chosen(CLI::App& app, Run& run, std::shared_ptr<Options> options,
                     int (*command)(const Options&, std::ostream&, std::ostream&)) {
  app.callback([&run, options = std::move(options), command] {
    run = [options, command] { return command(*options, std::cout, std::cerr); };
  });
}

}  // namespace fixwright::tools::cli
