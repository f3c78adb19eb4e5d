// settle help: the manual, page by page or by the word that one stumbled over.
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/commands.h"
#include "cli/common.h"
#include "cli/exit_status.h"
#include "cli/man_pages.h"
#include "cli/output.h"
#include "settle/manual.h"

namespace settle::cli {
namespace {

struct HelpCommand {
  CommonOptions common;
  std::vector<std::string> words;
  std::string man;
};

constexpr const char* help_example = R"(
Example: what does the warning mean, and what can a stimulus say?

  settle help indeterminate
  settle help stimulus

Exit status: 0 shown; 2 no such topic.)";

int write_man_pages(const std::string& folder, const CLI::App& program) {
  for (const ManPage& page : man_pages(program)) {
    const std::filesystem::path path = std::filesystem::path(folder) / page.file;
    std::error_code ignored;  // writing tells what is wrong
    std::filesystem::create_directories(path.parent_path(), ignored);
    if (!write_output(path.string(), page.text)) return exit_bad_input;
  }
  return exit_good;
}

int show_help(const HelpCommand& command, const CLI::App& program) {
  if (!command.man.empty()) return write_man_pages(command.man, program);
  const TextStyle style = text_style(command.common);
  if (command.words.empty()) return write_output("", manual_contents(style)) ? exit_good : exit_bad_input;
  const std::string word = fmt::format("{}", fmt::join(command.words, " "));
  const std::vector<ManualTopic> topics = find_topics(word);
  // Commands without a page of their own have their options at least.
  if (topics.empty() || !topics.front().is_page) {
    const auto named = program.get_subcommands([&](const CLI::App* app) { return app->get_name() == word; });
    if (!named.empty()) return write_output("", named.front()->help("settle")) ? exit_good : exit_bad_input;
  }
  if (topics.empty()) {
    const std::string near = nearest_topic(word);
    print_message(fmt::format(
        "settle: error: the manual has no topic '{}'\n  hint: {}\n", word,
        near.empty() ? "'settle help' lists the pages" : fmt::format("did you mean '{}'?", near)));
    return exit_bad_input;
  }
  std::string text = manual_text(topics.front().text, style);
  if (!topics.front().is_page) text += fmt::format("\n(from the page '{}')\n", topics.front().page);
  for (std::size_t i = 1; i < topics.size(); ++i) {
    text += fmt::format("{}{}, on the page '{}'\n", i == 1 ? "\nSee also:\n  " : "  ", topics[i].title,
                        topics[i].page);
  }
  return write_output("", text) ? exit_good : exit_bad_input;
}

}  // namespace

void add_help_command(CLI::App& program, int& status) {
  auto command = std::make_shared<HelpCommand>();
  CLI::App& app =
      *program.add_subcommand("help", "Show the manual: a page, a statement, a verdict, a kind of warning");
  app.footer(help_example);
  app.add_option("TOPIC", command->words, "A page or a section; without it, the pages");
  app.add_option("--man", command->man,
                 "Write the whole manual as pages for man(1) into this folder, below man1, man5 and man7")
      ->type_name("FOLDER");
  add_text_options(app, command->common);
  app.callback([command, &program, &status] { status = show_help(*command, program); });
}

}  // namespace settle::cli
