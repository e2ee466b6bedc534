#pragma once
/// `fixwright completion`: what a shell may offer, made from the commands themselves.

#include <CLI/CLI.hpp>
#include <string>

namespace fixwright::tools::cli {

/// A script for bash: to be sourced, or put where bash-completion looks. Offers the commands and
/// options that may come next; file names otherwise.
std::string bash_completion(const CLI::App& app, const std::string& program);

}  // namespace fixwright::tools::cli
