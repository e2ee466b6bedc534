/// What bash itself offers with the script that we print.

#include "server/tools/cli/completion.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <fstream>

#include "server/tools/cli/commands.hpp"

namespace fixwright::tools::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

class Completion : public ::testing::Test {
 protected:
  Completion() {
    cli::Run run;
    CLI::App app;
    add_all(app, run);
    std::ofstream(path_) << bash_completion(app, "fixwright");
  }
  ~Completion() override { std::remove(path_.c_str()); }

  /// What it offers for the last word, a line each.
  std::string offered(const std::string& words, int place) {
    const std::string command = "bash -c 'set -eu; . " + path_ + "; COMP_WORDS=(" + words +
                                "); COMP_CWORD=" + std::to_string(place) +
                                "; _fixwright; printf \"%s\\n\" \"${COMPREPLY[@]}\"' 2>&1";
    std::string out = "\n";
    FILE* const pipe = popen(command.c_str(), "r");
    std::array<char, 256> part{};
    while (std::fgets(part.data(), part.size(), pipe) != nullptr) out += part.data();
    pclose(pipe);
    return out;
  }

  const std::string path_ = ::testing::TempDir() + "completion_" +
                            ::testing::UnitTest::GetInstance()->current_test_info()->name();
};

TEST_F(Completion, CommandsAreOffered) {
  EXPECT_EQ(offered("fixwright re", 1), "\nreplay\nregister\nreport\nrecompute\nretention\n");
}

TEST_F(Completion, CommandsBelowOneAndTheirOptionsAreOffered) {
  EXPECT_EQ(offered("fixwright case cl", 2), "\nclose\n");
  const std::string options = offered("fixwright case open --", 3);
  EXPECT_THAT(options, HasSubstr("\n--complaint\n"));
  EXPECT_THAT(options, HasSubstr("\n--help\n"));
  EXPECT_THAT(options, Not(HasSubstr("\n--tune")));
}

TEST_F(Completion, WordsThatAreNoCommandsAreSteppedOver) {
  EXPECT_THAT(offered("fixwright export --limit 5 emitters --for", 5), HasSubstr("\n--format\n"));
}

}  // namespace
}  // namespace fixwright::tools::cli
