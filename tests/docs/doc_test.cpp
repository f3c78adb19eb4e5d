// Runs what the documentation shows. Usage: doc_test [--update] [PAGE...]
//
// Pages: README.md, DEVELOPERS.md and docs/*.md, unless some are named. In each page
//   ```console       lines that start with "$ " are commands; what stands below one must be exactly
//                    what it prints, standard error included. They run in a fresh copy of examples/,
//                    in page order, with the built program first in the PATH.
//   ```gates NAME    (any language, with a file name as second word) is written to that file in the
//                    same folder before the next command runs.
//   ```sh            is not run, but the scripts of the project that it names must exist.
// Relative links must lead to files, and every option that a --help page shows must stand in the
// manual page docs/settle.1, which may name no other.
//
// --update rewrites the output below each command with what was printed. Read the difference
// before you commit it: the test can tell that an output changed, not that it is right.

#include <sys/wait.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "docs/markdown.h"

namespace {

namespace fs = std::filesystem;
using settle::docs::Block;
using settle::docs::Page;

const fs::path source_folder = SETTLE_SOURCE_DIR;
const fs::path program = SETTLE_PROGRAM;

struct Printed {
  std::vector<std::string> lines;
  int status = 0;  // 128 and more: ended by a signal
};

std::string quoted(const std::string& text) {
  std::string result = "'";
  for (const char c : text) result += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return result + "'";
}

std::vector<std::string> split_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    line.erase(line.find_last_not_of(" \t\r") + 1);  // editors cut trailing blanks of pages, too
    lines.push_back(line);
  }
  return lines;
}

Printed run_command(const std::string& command, const fs::path& folder) {
  const std::string script =
      "cd " + quoted(folder.string()) +
      " && unset COLUMNS && export NO_COLOR=1 PATH=" + quoted(program.parent_path().string()) +
      ":\"$PATH\" && exec 2>&1 && {\n" + command + "\n}";
  Printed printed;
  FILE* pipe = popen(script.c_str(), "r");
  if (pipe == nullptr) {
    printed.status = 127;
    return printed;
  }
  std::string text;
  std::array<char, 4096> buffer;
  for (std::size_t count; (count = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    text.append(buffer.data(), count);
  }
  const int result = pclose(pipe);
  printed.status = WIFEXITED(result) ? WEXITSTATUS(result) : 128;
  printed.lines = split_lines(text);
  return printed;
}

// Counts and prints what is wrong.
class Report {
 public:
  void wrong(const Page& page, std::size_t line, const std::string& text) {
    std::cout << fs::relative(page.path, source_folder).string() << ':' << line + 1 << ": " << text << '\n';
    ++failures_;
  }
  void wrong(const std::string& text) {
    std::cout << text << '\n';
    ++failures_;
  }
  void checked() { ++checks_; }
  int failures() const { return failures_; }
  int checks() const { return checks_; }

 private:
  int failures_ = 0;
  int checks_ = 0;
};

std::string shown(const std::vector<std::string>& lines) {
  std::string text;
  for (const auto& line : lines) text += "    |" + line + "\n";
  return text;
}

// Runs the commands of a block; gives the lines that it should have.
std::vector<std::string> check_console(const Page& page, const Block& block, const fs::path& folder,
                                       Report& report) {
  std::vector<std::string> right;
  std::size_t at = block.first;
  while (at < block.last) {
    const std::string& line = page.lines[at];
    if (!line.starts_with("$ ")) {
      report.wrong(page, at, "a console block must start with a command: '$ settle ...'");
      return {page.lines.begin() + static_cast<std::ptrdiff_t>(block.first),
              page.lines.begin() + static_cast<std::ptrdiff_t>(block.last)};
    }
    const std::size_t command_line = at++;
    std::vector<std::string> want;
    while (at < block.last && !page.lines[at].starts_with("$ ")) want.push_back(page.lines[at++]);
    const Printed got = run_command(line.substr(2), folder);
    report.checked();
    if (got.status >= 126) {
      report.wrong(page, command_line, "'" + line.substr(2) + "' crashed or was not found");
    }
    right.push_back(line);
    right.insert(right.end(), got.lines.begin(), got.lines.end());
    if (got.lines != want) {
      report.wrong(page, command_line,
                   "'" + line.substr(2) + "' prints something else\n  the page shows\n" + shown(want) +
                       "  it printed\n" + shown(got.lines));
    }
  }
  return right;
}

// Words that look like a script or folder of the project must be one.
void check_scripts(const Page& page, const Block& block, Report& report) {
  for (std::size_t at = block.first; at < block.last; ++at) {
    std::istringstream words(page.lines[at]);
    for (std::string word; words >> word;) {
      if (word.starts_with('#')) break;
      const bool ours = word.starts_with("examples/") || word.starts_with("tests/") ||
                        word.starts_with("src/") || word.starts_with("docs/") || word.starts_with(".ci/");
      if (!ours) continue;
      report.checked();
      if (!fs::exists(source_folder / word)) report.wrong(page, at, "there is no '" + word + "'");
    }
  }
}

void check_links(const Page& page, Report& report) {
  for (const auto& link : page.links) {
    report.checked();
    if (!fs::exists(fs::path(page.path).parent_path() / link.target)) {
      report.wrong(page, link.line, "the link '" + link.target + "' leads nowhere");
    }
  }
}

void check_page(Page page, const fs::path& folder, bool update, Report& report) {
  fs::remove_all(folder);
  fs::create_directories(folder.parent_path());
  fs::copy(source_folder / "examples", folder, fs::copy_options::recursive);
  check_links(page, report);
  std::vector<std::string> rewritten;
  std::size_t copied = 0;
  const auto copy_up_to = [&](std::size_t end) {
    rewritten.insert(rewritten.end(), page.lines.begin() + static_cast<std::ptrdiff_t>(copied),
                     page.lines.begin() + static_cast<std::ptrdiff_t>(end));
    copied = end;
  };
  for (const Block& block : page.blocks) {
    copy_up_to(block.first);
    if (block.language == "console") {
      const auto right = check_console(page, block, folder, report);
      rewritten.insert(rewritten.end(), right.begin(), right.end());
      copied = block.last;
    } else if (block.language == "sh") {
      check_scripts(page, block, report);
    }
    if (!block.file_name.empty()) {
      std::ofstream file(folder / fs::path(block.file_name).filename());
      for (std::size_t at = block.first; at < block.last; ++at) file << page.lines[at] << '\n';
    }
  }
  copy_up_to(page.lines.size());
  if (update && rewritten != page.lines) {
    std::ofstream file(page.path);
    for (const auto& line : rewritten) file << line << '\n';
    std::cout << "rewritten: " << page.path << '\n';
  }
}

// Long options in a text: "--" and a letter, up to the end of the word.
std::set<std::string> options_in(const std::string& text) {
  std::set<std::string> options;
  for (std::size_t at = text.find("--"); at != std::string::npos; at = text.find("--", at + 2)) {
    const bool starts =
        at == 0 || (!std::isalnum(static_cast<unsigned char>(text[at - 1])) && text[at - 1] != '-');
    std::size_t end = at + 2;
    while (end < text.size() && (std::islower(static_cast<unsigned char>(text[end])) || text[end] == '-'))
      ++end;
    if (starts && end > at + 2) options.insert(text.substr(at, end - at));
  }
  return options;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const auto& line : lines) text += line + '\n';
  return text;
}

// The names of the commands: words that start the lines below a head line with "commands" in it.
std::vector<std::string> commands_of(const std::vector<std::string>& help) {
  std::vector<std::string> commands;
  bool listed = false;
  for (const auto& line : help) {
    std::string lower = line;
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (lower.starts_with("commands") || lower.starts_with("subcommands")) {
      listed = true;
    } else if (line.empty() || !line.starts_with("  ")) {
      listed = listed && line.empty() && commands.empty();
    } else if (listed && line.size() > 2 && line[2] != ' ') {
      commands.push_back(line.substr(2, line.find(' ', 2) - 2));
    }
  }
  return commands;
}

// The manual page and the help texts must name the same options.
void check_manual(const fs::path& folder, Report& report) {
  std::ostringstream text;
  text << std::ifstream(source_folder / "docs/settle.1").rdbuf();
  std::string manual = text.str();
  // roff writes a minus sign as \-
  for (std::size_t at; (at = manual.find("\\-")) != std::string::npos;) manual.replace(at, 2, "-");
  const auto described = options_in(manual);

  const auto help = run_command("settle --help", folder).lines;
  const auto commands = commands_of(help);
  if (commands.empty()) report.wrong("settle --help lists no commands");
  auto offered = options_in(joined(help));
  for (const auto& command : commands) {
    const auto of_command = options_in(joined(run_command("settle " + command + " --help", folder).lines));
    offered.insert(of_command.begin(), of_command.end());
    report.checked();
    if (manual.find(".SS settle " + command) == std::string::npos) {
      report.wrong("docs/settle.1 has no section for 'settle " + command + "'");
    }
  }
  for (const auto& option : offered) {
    report.checked();
    if (!described.contains(option)) report.wrong("docs/settle.1 does not describe " + option);
  }
  for (const auto& option : described) {
    report.checked();
    if (!offered.contains(option))
      report.wrong("docs/settle.1 describes " + option + ", which no --help shows");
  }
}

}  // namespace

int main(int argc, char** argv) {
  bool update = false;
  std::vector<fs::path> paths;
  for (int i = 1; i < argc; ++i) {
    const std::string argument = argv[i];
    if (argument == "--update") {
      update = true;
    } else {
      paths.push_back(fs::absolute(argument));
    }
  }
  const bool all = paths.empty();
  if (all) {
    paths = {source_folder / "README.md", source_folder / "DEVELOPERS.md"};
    for (const auto& entry : fs::directory_iterator(source_folder / "docs")) {
      if (entry.path().extension() == ".md") paths.push_back(entry.path());
    }
    std::sort(paths.begin(), paths.end());
  }
  Report report;
  const fs::path scratch = fs::path(SETTLE_SCRATCH_DIR);
  for (const auto& path : paths) {
    if (!fs::exists(path)) {
      report.wrong("there is no '" + path.string() + "'");
      continue;
    }
    check_page(settle::docs::read_page(path.string()), scratch / path.stem(), update, report);
  }
  if (all) {
    fs::create_directories(scratch);
    check_manual(scratch, report);
  }
  std::cout << report.checks() << " checks, " << report.failures() << " wrong\n";
  return report.failures() == 0 && report.checks() > 0 ? 0 : 1;
}
