#include "cli/man_pages.h"

#include <algorithm>
#include <cctype>
#include <string_view>

#include <fmt/format.h>

#include "cli/option_choices.h"
#include "settle/manual.h"
#include "settle/report.h"

namespace settle::cli {
namespace {

constexpr std::string_view format_pages[] = {"formats", "json", "netlist", "stimulus"};

const ManualPage* page_named(std::string_view name) {
  const auto& pages = manual_pages();
  const auto found = std::ranges::find(pages, name, &ManualPage::name);
  return found == pages.end() ? nullptr : &*found;
}

std::string upper(std::string_view text) {
  std::string out(text);
  std::ranges::transform(out, out.begin(),
                         [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return out;
}

std::string head(std::string_view name, int section, std::string_view purpose) {
  return fmt::format(
      ".\\\" Written by settle help \\-\\-man.\n.TH SETTLE\\-{} {} \"\" \"settle {}\" \"{}\"\n.SH "
      "NAME\nsettle\\-{} \\- {}\n",
      roff_text(upper(name)), section, version(), section == 1 ? "User Commands" : "settle manual",
      roff_text(name), roff_text(purpose));
}

/// Behind a name: what stands for its value.
std::string value_name(const CLI::Option& option) {
  if (option.get_items_expected_max() == 0) return "";
  const std::vector<std::string> choices = choices_of(option);
  if (!choices.empty()) return fmt::format(" \\fI{}\\fR", roff_text(joined_choices(choices)));
  const std::string type = option.get_type_name();
  return fmt::format(" \\fI{}\\fR",
                     roff_text(type.empty() ? "VALUE" : type.substr(0, type.find_first_of(" :"))));
}

std::string option_entry(const CLI::Option& option) {
  std::string names;
  if (option.get_positional()) {
    names = fmt::format("\\fI{}\\fR", roff_text(option.get_name()));
  } else {
    for (const std::string& name : option.get_snames())
      names += fmt::format("\\fB\\-{}\\fR, ", roff_text(name));
    for (const std::string& name : option.get_lnames())
      names += fmt::format("\\fB\\-\\-{}\\fR, ", roff_text(name));
    names.resize(names.size() - 2);
    names += value_name(option);
  }
  std::string meaning = roff_text(option.get_description());
  if (!option.get_default_str().empty()) meaning += fmt::format(" [{}]", roff_text(option.get_default_str()));
  return fmt::format(".TP\n{}\n{}\n", names, meaning);
}

std::string options(const CLI::App& command) {
  std::string out, limits;
  for (const CLI::Option* option : command.get_options()) {
    if (option->get_group().empty()) continue;  // hidden
    (option->get_group() == "Limits" ? limits : out) += option_entry(*option);
  }
  return ".SH OPTIONS\n" + out + (limits.empty() ? "" : ".SS Limits\n" + limits);
}

std::string synopsis(const CLI::App& command) {
  std::string out =
      fmt::format(".SH SYNOPSIS\n.B settle {}\n[\\fIOPTION\\fR]...\n", roff_text(command.get_name()));
  for (const CLI::Option* option : command.get_options()) {
    if (!option->get_positional()) continue;
    const std::string name = fmt::format("\\fI{}\\fR{}", roff_text(option->get_name()),
                                         option->get_items_expected_max() > 1 ? "..." : "");
    out += option->get_required() ? name + "\n" : "[" + name + "]\n";
  }
  return out;
}

/// The text below --help: paragraphs, indented lines as they are; from "Exit status:" a section of its own.
std::string footer(std::string_view text) {
  std::string out;
  bool is_verbatim = false, is_new = true;
  const auto section = [&](std::string_view title) {
    out += fmt::format("{}.SH {}\n", is_verbatim ? ".fi\n.RE\n" : "", title);
    is_verbatim = false;
    is_new = true;
  };
  section("EXAMPLE");
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    at = end + 1;
    if (line.starts_with("Exit status:")) section("EXIT STATUS");
    if (line.starts_with("  ") != is_verbatim && !line.empty()) {
      is_verbatim = !is_verbatim;
      out += is_verbatim ? ".RS 4\n.nf\n" : ".fi\n.RE\n";
    }
    if (line.empty()) {
      is_new = true;
      continue;
    }
    if (is_new && !is_verbatim && !out.ends_with(".SH EXAMPLE\n") && !out.ends_with(".SH EXIT STATUS\n"))
      out += ".PP\n";
    is_new = false;
    out += roff_text(is_verbatim ? line.substr(2) : line) + "\n";
  }
  return out + (is_verbatim ? ".fi\n.RE\n" : "");
}

std::string see_also(const std::vector<std::string>& others) {
  std::string out = ".SH SEE ALSO\n.BR settle (1)";
  for (const std::string& other : others) out += ",\n.BR " + other;
  return out + "\n";
}

int section_of(std::string_view page) {
  return std::ranges::find(format_pages, page) != std::end(format_pages) ? 5 : 7;
}

std::string reference(std::string_view name, int section) {
  return fmt::format("settle\\-{} ({})", roff_text(name), section);
}

}  // namespace

std::vector<ManPage> man_pages(const CLI::App& program) {
  std::vector<ManPage> pages;
  std::vector<std::string> commands;
  const auto add = [&](std::string_view name, int section, std::string text) {
    pages.push_back({fmt::format("man{0}/settle-{1}.{0}", section, name), std::move(text)});
  };
  const std::vector<std::string> languages = {reference("netlist", 5), reference("stimulus", 5),
                                              reference("meaning", 7)};
  for (const CLI::App* command : program.get_subcommands([](const CLI::App*) { return true; })) {
    const std::string name = command->get_name();
    const std::string description = command->get_description();
    const ManualPage* page = page_named(name);
    commands.push_back(name);
    add(name, 1,
        head(name, 1, description) + synopsis(*command) + ".SH DESCRIPTION\n" +
            (page != nullptr ? manual_roff(page->text) : roff_text(description) + ".\n") + options(*command) +
            footer(command->get_footer()) + see_also(languages));
  }
  for (const ManualPage& page : manual_pages()) {
    if (std::ranges::find(commands, page.name) != commands.end()) continue;
    const int section = section_of(page.name);
    const std::string title = manual_topics(page).front().title;
    add(page.name, section,
        head(page.name, section, title) + ".SH DESCRIPTION\n" + manual_roff(page.text) + see_also({}));
  }
  return pages;
}

}  // namespace settle::cli
