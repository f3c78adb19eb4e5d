// Pages for man(1), made of what the program knows: options and examples of the commands, pages of the manual.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

namespace settle::cli {

struct ManPage {
  std::string file;  ///< "man1/settle-run.1"
  std::string text;
};

/// A page of section 1 for each command, with its page of the manual where there is one; one of section 5 for
/// each other page that describes a language or a file format, and of section 7 for the rest.
std::vector<ManPage> man_pages(const CLI::App& program);

}  // namespace settle::cli
