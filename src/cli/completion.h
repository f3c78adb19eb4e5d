// Completion of commands, options and their values in shells.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <string_view>

namespace settle::cli {

/// A script for `shell` (bash, zsh or fish) that completes the commands and options of `program` as they are:
/// nothing is listed by hand. Empty for another shell.
std::string completion_script(const CLI::App& program, std::string_view shell);

}  // namespace settle::cli
