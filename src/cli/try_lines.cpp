// `settle try` without a terminal: statements line by line.
#include <filesystem>
#include <sstream>

#include <fmt/format.h>

#include "cli/exit_status.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cli/try_parts.h"

namespace settle::cli {
namespace {

constexpr const char* lines_help =
    "A statement of the stimulus language (set, wait, settle, pulse, expect, ...), or\n"
    "  undo        take back the last statement\n"
    "  show        the waveform so far\n"
    "  save FILE   write the stimulus, what was seen as its expectations\n"
    "  quit        leave; so does the end of the input\n";

std::string first_word(const std::string& line) {
  std::istringstream words(line);
  std::string word;
  words >> word;
  return word;
}

/// How many blocks a line opens, less those that it closes.
int depth_of(const std::string& line) {
  std::istringstream parts(line.substr(0, line.find('#')));
  int depth = 0;
  for (std::string part; std::getline(parts, part, ';');) {
    const std::string word = first_word(part);
    depth += word == "repeat" ? 1 : word == "end" ? -1 : 0;
  }
  return depth;
}

}  // namespace

bool save_trial(const TryJob& job, const std::string& path) {
  std::string text = "# Tried by hand with settle; expectations are what was seen.\n";
  if (job.netlist.find_first_of("\"\n") != std::string::npos) {
    print_message("settle: warning: a stimulus cannot say a netlist with such a name, so it is saved without one\n");
  } else if (job.netlist != "-") {
    std::error_code error;
    const std::filesystem::path folder = std::filesystem::absolute(path, error).parent_path();
    const std::filesystem::path netlist = std::filesystem::absolute(job.netlist, error);
    const std::filesystem::path near =
        netlist.lexically_normal().lexically_relative(folder.lexically_normal());
    text += fmt::format("netlist \"{}\"\n", near.empty() ? netlist.string() : near.string());
  }
  text += fmt::format("cell {}\n", job.circuit.cell_name());
  return write_output(path, text + job.trial.stimulus());
}

int try_lines(const TryJob& job, std::istream& input) {
  int status = exit_good;
  std::string block;
  int depth = 0;
  if (!write_output("", trial_state(job.trial, job.style))) return exit_bad_input;
  for (std::string line; !stop_flag() && std::getline(input, line);) {
    const std::string word = first_word(line);
    if (depth == 0 && word == "quit") break;
    std::string answer;
    if (depth == 0 && word == "undo") {
      if (job.trial.undo()) {
        answer = trial_state(job.trial, job.style);
      } else {
        print_message("settle: there is nothing to take back\n");
      }
    } else if (depth == 0 && word == "show") {
      answer = trial_waveform(job.trial, std::size_t{1} << 20, job.style);
    } else if (depth == 0 && word == "help") {
      answer = lines_help;
    } else if (depth == 0 && word == "save") {
      const std::size_t start = line.find_first_not_of(" \t", line.find("save") + 4);
      if (start == std::string::npos) {
        print_message("settle: error: 'save' needs a file name\n  hint: save NAME.stim\n");
        status = exit_bad_input;
      } else if (save_trial(job, line.substr(start, line.find_last_not_of(" \t\r") + 1 - start))) {
        answer = "saved\n";
      } else {
        status = exit_bad_input;
      }
    } else {
      block += line + "\n";
      depth = std::max(0, depth + depth_of(line));
      if (depth > 0) continue;
      std::string messages;
      const std::size_t before = job.trial.count();
      if (!job.trial.act(block, messages)) {
        print_message(messages);
        status = messages.starts_with("not so") && status != exit_bad_input ? exit_short : exit_bad_input;
      } else if (job.trial.count() > before) {
        answer = trial_state(job.trial, job.style);
      }
      block.clear();
    }
    if (!answer.empty() && !write_output("", answer)) return exit_bad_input;
  }
  if (depth > 0) {
    print_message("settle: error: the input ended inside 'repeat'\n  hint: 'end' closes it\n");
    status = exit_bad_input;
  }
  if (!job.save_to.empty() && !save_trial(job, job.save_to)) return exit_bad_input;
  return status;
}

}  // namespace settle::cli
