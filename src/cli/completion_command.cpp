// settle completion: a script with which a shell completes commands, options and their values.
#include <memory>
#include <string>

#include "cli/commands.h"
#include "cli/completion.h"
#include "cli/exit_status.h"
#include "cli/output.h"

namespace settle::cli {
namespace {

constexpr const char* completion_example = R"(
Example: complete with the tabulator key in this shell, and in every later one:

  source <(settle completion bash)
  settle completion bash > ~/.local/share/bash-completion/completions/settle

Exit status: 0 written; 2 the call is wrong.)";

}  // namespace

void add_completion_command(CLI::App& program, int& status) {
  auto shell = std::make_shared<std::string>();
  CLI::App& app = *program.add_subcommand(
      "completion", "Write a script with which a shell completes commands and options");
  app.footer(completion_example);
  app.add_option("SHELL", *shell, "bash|zsh|fish")->required()->check(CLI::IsMember({"bash", "zsh", "fish"}));
  app.callback([shell, &program, &status] {
    status = write_output("", completion_script(program, *shell)) ? exit_good : exit_bad_input;
  });
}

}  // namespace settle::cli
