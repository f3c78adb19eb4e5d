// Which words lead to which part of the manual. Sections are cut at headings; a heading's name is its text in
// small letters with hyphens, as the links between the pages write it. A word that no heading holds is looked
// up in the first columns of tables, where options, kinds and values stand: the answer is the row under its
// head.
#include <algorithm>
#include <cctype>

#include <fmt/format.h>

#include "settle/diagnostic.h"
#include "settle/manual.h"

namespace settle {
namespace {

/// "The four verdicts" -> "the-four-verdicts"; marks are dropped.
std::string topic_name(std::string_view text) {
  std::string name;
  for (const char c : text) {
    if (std::isalnum(static_cast<unsigned char>(c))) {
      name += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if ((c == ' ' || c == '-' || c == '_') && !name.empty() && name.back() != '-') {
      name += '-';
    }
  }
  while (name.ends_with('-')) name.pop_back();
  return name;
}

struct Heading {
  std::size_t begin = 0;  // of its line
  std::size_t level = 0;  // number of #
  std::string title;
};

/// Headings outside of code blocks.
std::vector<Heading> headings(std::string_view text) {
  std::vector<Heading> found;
  bool is_code = false;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    if (line.starts_with("```")) is_code = !is_code;
    if (!is_code && line.starts_with("#")) {
      const std::size_t level = std::min(line.find_first_not_of('#'), line.size());
      std::string title(line.substr(std::min(level + 1, line.size())));
      std::erase(title, '`');
      found.push_back({at, level, std::move(title)});
    }
    at = end + 1;
  }
  return found;
}

/// Words that a reader asks for, and the section that answers.
struct Alias {
  std::string_view word, section;
};
constexpr Alias aliases[] = {
    {"settles", "the-four-verdicts"},
    {"delay-dependent", "the-four-verdicts"},
    {"indeterminate", "the-four-verdicts"},
    {"verdict", "the-four-verdicts"},
    {"verdicts", "the-four-verdicts"},
    {"skew", "several-inputs-at-once"},
    {"race", "any-delays"},
    {"any-delay", "any-delays"},
    {"ternary", "ternary-analysis"},
    {"metastable", "what-the-models-cannot-tell"},
    {"metastability", "what-the-models-cannot-tell"},
    {"gates", "netlist"},
    {"stim", "stimulus"},
    {"language", "netlist"},
    {"languages", "netlist"},
    {"junit", "check"},
};

bool holds_word(std::string_view name, std::string_view word) {
  for (std::size_t at = name.find(word); at != std::string_view::npos; at = name.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    if ((at == 0 || name[at - 1] == '-') && (end == name.size() || name[end] == '-')) return true;
  }
  return false;
}

/// The code words of the first cell of a table's line: "| `buf` `not` | 1 |" -> buf, not.
std::vector<std::string> row_names(std::string_view line) {
  std::vector<std::string> names;
  const std::string_view cell = line.substr(1, std::min(line.find(" |", 1), line.size()) - 1);
  for (std::size_t at = cell.find('`'); at != std::string_view::npos;) {
    const std::size_t end = cell.find('`', at + 1);
    if (end == std::string_view::npos) break;
    std::string name = topic_name(cell.substr(at + 1, end - at - 1));
    name.erase(0, std::min(name.find_first_not_of('-'), name.size()));  // of an option
    if (!name.empty()) names.push_back(std::move(name));
    at = cell.find('`', end + 1);
  }
  return names;
}

struct PageRow {
  std::vector<std::string> names;
  std::string head, line;  // the head with the rule below it
  std::size_t at = 0;      // of the line in the page
};

std::vector<PageRow> rows_of(std::string_view text) {
  std::vector<PageRow> rows;
  std::string head;
  std::string_view before;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    if (!line.starts_with('|')) {
      head.clear();
    } else if (line.starts_with("|--") || line.starts_with("| --")) {
      head = fmt::format("{}\n{}\n", before, line);
    } else if (auto names = row_names(line); !head.empty() && !names.empty()) {
      rows.push_back({std::move(names), head, std::string(line), at});
    }
    before = line;
    at = end + 1;
  }
  return rows;
}

/// A topic for each section with rows that are called so: these rows.
std::vector<ManualTopic> topics_in_tables(const std::string& name) {
  std::vector<ManualTopic> topics;
  for (const ManualPage& page : manual_pages()) {
    const std::vector<Heading> marks = headings(page.text);
    std::string last_head;
    for (const PageRow& row : rows_of(page.text)) {
      if (std::ranges::find(row.names, name) == row.names.end()) continue;
      auto mark = std::ranges::upper_bound(marks, row.at, {}, &Heading::begin);
      if (mark != marks.begin()) --mark;
      if (topics.empty() || topics.back().page != page.name || topics.back().title != mark->title) {
        topics.push_back({name, mark->title, page.name, fmt::format("## {}\n\n", mark->title), false});
        last_head.clear();
      }
      if (row.head != last_head) topics.back().text += "\n" + row.head;
      topics.back().text += row.line + "\n";
      last_head = row.head;
    }
  }
  // The languages first: their words are what one stumbles over.
  // Not of std::ranges, whose result clang 14 cannot read with the library of g++ 12.
  std::stable_partition(
      topics.begin(), topics.end(), [](const ManualTopic& topic) { return topic.page == "netlist" || topic.page == "stimulus"; });
  return topics;
}

std::vector<ManualTopic> all_topics() {
  std::vector<ManualTopic> topics;
  for (const ManualPage& page : manual_pages()) {
    std::ranges::move(manual_topics(page), std::back_inserter(topics));
  }
  return topics;
}

}  // namespace

std::vector<ManualTopic> manual_topics(const ManualPage& page) {
  std::vector<ManualTopic> topics;
  const std::vector<Heading> marks = headings(page.text);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    ManualTopic topic;
    topic.is_page = i == 0;
    topic.name = topic.is_page ? std::string(page.name) : topic_name(marks[i].title);
    topic.title = marks[i].title;
    topic.page = page.name;
    std::size_t end = page.text.size();
    for (std::size_t k = i + 1; k < marks.size(); ++k) {
      if (marks[k].level > marks[i].level) continue;
      end = marks[k].begin;
      break;
    }
    topic.text = std::string(page.text.substr(marks[i].begin, end - marks[i].begin));
    topics.push_back(std::move(topic));
  }
  return topics;
}

std::vector<ManualTopic> find_topics(std::string_view word) {
  std::string name = topic_name(word);
  if (name.empty()) return {};
  std::vector<ManualTopic> topics = all_topics();
  const auto alias = std::ranges::find(aliases, name, &Alias::word);
  if (alias != std::end(aliases)) name = alias->section;
  // 0 is the best; 3 does not fit at all.
  const auto rank = [&](const ManualTopic& topic) {
    if (topic.name == name) return topic.is_page ? 0 : 1;
    return holds_word(topic.name, name) && !topic.is_page ? 2 : 3;
  };
  std::erase_if(topics, [&](const ManualTopic& topic) { return rank(topic) == 3; });
  std::ranges::stable_sort(topics, {}, rank);
  const bool is_exact = !topics.empty() && rank(topics.front()) < 2;
  std::vector<ManualTopic> rows = is_exact ? std::vector<ManualTopic>() : topics_in_tables(name);
  std::ranges::move(topics, std::back_inserter(rows));
  return rows;
}

std::string nearest_topic(std::string_view word) {
  std::vector<std::string> names;
  for (const ManualTopic& topic : all_topics()) names.push_back(topic.name);
  for (const ManualPage& page : manual_pages()) {
    for (PageRow& row : rows_of(page.text)) std::ranges::move(row.names, std::back_inserter(names));
  }
  for (const Alias& alias : aliases) names.emplace_back(alias.word);
  const std::vector<std::string_view> views(names.begin(), names.end());
  return std::string(nearest_name(topic_name(word), views));
}

}  // namespace settle
