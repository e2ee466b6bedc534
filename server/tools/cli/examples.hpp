#pragma once
/// An example of every command, at the end of its help.

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace fixwright::tools::cli {

struct Example {
  std::string command;    // "register import"
  std::string arguments;  // as typed after it
};

const std::vector<Example>& examples();

/// Adds them to the commands that are below `app`.
void add_examples(CLI::App& app);

}  // namespace fixwright::tools::cli
