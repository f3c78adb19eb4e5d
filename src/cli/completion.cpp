// Scripts for the completion of shells, written from the options that the commands have.
// bash: programmable completion (`complete -F`), zsh: `_arguments`, fish: `complete -c`, as the manuals of
// these shells describe them.
#include "cli/completion.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "cli/option_choices.h"
#include "settle/manual.h"

namespace settle::cli {
namespace {

struct KnownOption {
  std::vector<std::string> names;    // "-o", "--output"
  std::string meaning;               // first sentence
  std::vector<std::string> choices;  // of its value
  bool takes_value = false;
  bool takes_file = false;
};

struct KnownCommand {
  std::string name;
  std::string meaning;
  std::vector<KnownOption> options;
  std::vector<std::string> words;  // that it takes in place of files
};

/// Up to the first full stop, semicolon or colon with a blank, without what a shell would read as more than
/// text.
std::string short_meaning(std::string text) {
  for (const std::string_view end : {". ", "; ", ": "}) text.resize(std::min(text.find(end), text.size()));
  std::erase_if(text, [](char c) { return std::string_view("'\"[]`\\$").find(c) != std::string_view::npos; });
  std::ranges::replace(text, ':', ',');
  return text;
}

KnownCommand known_command(const CLI::App& app) {
  KnownCommand command{app.get_name(), short_meaning(app.get_description()), {}, {}};
  for (const CLI::Option* option : app.get_options()) {
    if (option->get_positional()) {
      if (command.words.empty()) command.words = choices_of(*option);
      continue;
    }
    KnownOption known;
    for (const std::string& name : option->get_snames()) known.names.push_back("-" + name);
    for (const std::string& name : option->get_lnames()) known.names.push_back("--" + name);
    known.meaning = short_meaning(option->get_description());
    known.choices = choices_of(*option);
    known.takes_value = option->get_items_expected_max() > 0;
    known.takes_file =
        known.takes_value && known.choices.empty() && option->get_type_name().find("TEXT") == 0;
    command.options.push_back(std::move(known));
  }
  return command;
}

std::vector<std::string> all_names(const KnownCommand& command) {
  std::vector<std::string> names;
  for (const KnownOption& option : command.options)
    names.insert(names.end(), option.names.begin(), option.names.end());
  return names;
}

std::string bash_script(const std::vector<KnownCommand>& commands) {
  std::vector<std::string> names;
  for (const KnownCommand& command : commands) names.push_back(command.name);
  std::string out =
      fmt::format(R"(# Completion of settle for bash: load it with  source <(settle completion bash)
_settle() {{
  local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} words= IFS=$' \t\n'
  COMPREPLY=()
  # --format=js comes in three words.
  if [ "$word" = = ]; then word=; elif [ "$before" = = ]; then before=${{COMP_WORDS[COMP_CWORD-2]}}; fi
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "{} --help --version" -- "$word"))
    return
  fi
  case "${{COMP_WORDS[1]}} $before" in
)",
                  fmt::join(names, " "));
  for (const KnownCommand& command : commands) {
    for (const KnownOption& option : command.options) {
      if (!option.takes_value) continue;
      std::vector<std::string> patterns;
      for (const std::string& name : option.names)
        patterns.push_back(fmt::format("'{} {}'", command.name, name));
      const std::string pattern = fmt::format("{}", fmt::join(patterns, " | "));
      if (!option.choices.empty()) {
        out += fmt::format("    {}) COMPREPLY=($(compgen -W \"{}\" -- \"$word\")); return ;;\n", pattern,
                           fmt::join(option.choices, " "));
      } else if (!option.takes_file) {
        out += fmt::format("    {}) return ;;\n", pattern);
      }
    }
  }
  out += R"(  esac
  case "$word" in
    -*)
      case "${COMP_WORDS[1]}" in
)";
  for (const KnownCommand& command : commands) {
    out += fmt::format("        {}) words='{}' ;;\n", command.name, fmt::join(all_names(command), " "));
  }
  out += R"(      esac
      COMPREPLY=($(compgen -W "$words" -- "$word"))
      ;;
    *)
      case "${COMP_WORDS[1]}" in
)";
  for (const KnownCommand& command : commands) {
    if (command.words.empty()) continue;
    out += fmt::format("        {}) COMPREPLY=($(compgen -W \"{}\" -- \"$word\")); return ;;\n", command.name,
                       fmt::join(command.words, " "));
  }
  out += R"(      esac
      IFS=$'\n'  # names of files may have blanks
      COMPREPLY=($(compgen -f -- "$word"))
      ;;
  esac
}
complete -o filenames -F _settle settle
)";
  return out;
}

std::string zsh_script(const std::vector<KnownCommand>& commands) {
  std::string out = R"(#compdef settle
# Completion of settle for zsh: write it to a file _settle in a folder of $fpath,
# or load it with  source <(settle completion zsh)
_settle() {
  local -a commands
  commands=(
)";
  for (const KnownCommand& command : commands)
    out += fmt::format("    '{}:{}'\n", command.name, command.meaning);
  out += R"(  )
  if (( CURRENT == 2 )); then
    _describe command commands
    return
  fi
  local chosen=$words[2]
  shift words
  (( CURRENT-- ))
  case $chosen in
)";
  for (const KnownCommand& command : commands) {
    out += fmt::format("    {})\n      _arguments", command.name);
    for (const KnownOption& option : command.options) {
      for (const std::string& name : option.names) {
        std::string value;
        if (!option.choices.empty()) {
          value = fmt::format(":value:({})", fmt::join(option.choices, " "));
        } else if (option.takes_value) {
          value = option.takes_file ? ":value:_files" : ":value: ";
        }
        out += fmt::format(" \\\n        '{}[{}]{}'", name, option.meaning, value);
      }
    }
    out += command.words.empty()
               ? std::string(" \\\n        '*:file:_files'\n      ;;\n")
               : fmt::format(" \\\n        '*:word:({})'\n      ;;\n", fmt::join(command.words, " "));
  }
  out += R"(  esac
}
# As a file of $fpath this is the body of the function itself.
if [[ $funcstack[1] == _settle ]]; then _settle "$@"; else compdef _settle settle; fi
)";
  return out;
}

std::string fish_script(const std::vector<KnownCommand>& commands) {
  std::string out = "# Completion of settle for fish: load it with  settle completion fish | source\n";
  for (const KnownCommand& command : commands) {
    out += fmt::format("complete -c settle -f -n __fish_use_subcommand -a {} -d '{}'\n", command.name,
                       command.meaning);
  }
  for (const KnownCommand& command : commands) {
    if (!command.words.empty()) {
      out += fmt::format("complete -c settle -n '__fish_seen_subcommand_from {}' -f -a '{}'\n", command.name,
                         fmt::join(command.words, " "));
    }
    for (const KnownOption& option : command.options) {
      out += fmt::format("complete -c settle -n '__fish_seen_subcommand_from {}'", command.name);
      for (const std::string& name : option.names) {
        out += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
      }
      if (!option.choices.empty()) {
        out += fmt::format(" -x -a '{}'", fmt::join(option.choices, " "));
      } else if (option.takes_value) {
        out += option.takes_file ? " -r -F" : " -x";
      }
      out += fmt::format(" -d '{}'\n", option.meaning);
    }
  }
  return out;
}

}  // namespace

std::string completion_script(const CLI::App& program, std::string_view shell) {
  std::vector<KnownCommand> commands;
  for (const CLI::App* app : program.get_subcommands([](const CLI::App*) { return true; })) {
    commands.push_back(known_command(*app));
  }
  // The manual's pages are words as well, and so are the commands.
  const auto help = std::ranges::find(commands, "help", &KnownCommand::name);
  if (help != commands.end()) {
    for (const ManualPage& page : manual_pages()) help->words.emplace_back(page.name);
    for (const KnownCommand& command : commands) help->words.push_back(command.name);
    std::ranges::sort(help->words);
    help->words.erase(std::unique(help->words.begin(), help->words.end()), help->words.end());
  }
  if (shell == "bash") return bash_script(commands);
  if (shell == "zsh") return zsh_script(commands);
  if (shell == "fish") return fish_script(commands);
  return "";
}

}  // namespace settle::cli
