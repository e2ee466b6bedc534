/// Every command has an example in its help, and every example is understood.

#include "server/tools/cli/examples.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/tools/cli/commands.hpp"

namespace fixwright::tools::cli {
namespace {

using ::testing::HasSubstr;

/// Those that have none below them.
void collect(CLI::App& app, const std::string& path, std::vector<std::string>& leaves) {
  const auto below = app.get_subcommands([](CLI::App* /*any*/) { return true; });
  if (below.empty()) leaves.push_back(path);
  for (CLI::App* command : below) {
    collect(*command, path.empty() ? command->get_name() : path + " " + command->get_name(),
            leaves);
  }
}

TEST(Examples, EveryCommandHasOneInItsHelp) {
  cli::Run run;
  CLI::App app;
  add_all(app, run);
  std::vector<std::string> leaves, named;
  collect(app, "", leaves);
  for (const Example& e : examples()) named.push_back(e.command);
  EXPECT_THAT(named, ::testing::UnorderedElementsAreArray(leaves));
  EXPECT_THAT(app.get_subcommand("case")->get_subcommand("note")->help(),
              HasSubstr("Example:\n  fixwright case note 1 \"the hum stops at six\""));
}

TEST(Examples, EachIsUnderstood) {
  for (const Example& e : examples()) {
    if (e.command == "completion") continue;  // what follows it is the shell's
    cli::Run run;
    CLI::App app{"", "fixwright"};
    add_all(app, run);
    EXPECT_NO_THROW(app.parse(e.command + " " + e.arguments, false)) << e.command;
    EXPECT_TRUE(run) << e.command << ": nothing would be run";
  }
}

}  // namespace
}  // namespace fixwright::tools::cli
