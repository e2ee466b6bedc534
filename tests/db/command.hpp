#pragma once
/// Runs a program of ours to its end.

#include <string>
#include <vector>

namespace fixwright::test {

struct Finished {
  int status = 0;      // exit status; -1 when a signal ended it
  std::string output;  // standard output and error
};

/// No shell reads the words: the first is the program's path.
Finished run_command(const std::vector<std::string>& words);

}  // namespace fixwright::test
