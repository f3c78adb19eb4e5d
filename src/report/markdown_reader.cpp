#include "report/markdown_reader.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle::report {
namespace {

std::string_view trimmed_blanks(std::string_view text) {
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  return text;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

/// "| a | b |" -> a, b. A bar behind a backslash belongs to the cell.
std::vector<std::string> cells_of(std::string_view line) {
  std::vector<std::string> cells;
  std::string cell;
  line = trimmed_blanks(line);
  if (line.starts_with('|')) line.remove_prefix(1);
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '\\' && i + 1 < line.size() && line[i + 1] == '|') {
      cell += line[++i];
    } else if (line[i] == '|') {
      cells.emplace_back(trimmed_blanks(cell));
      cell.clear();
    } else {
      cell += line[i];
    }
  }
  return cells;
}

/// "- item", "* item", "1. item": columns of the mark with its blank; 0: no item.
std::size_t item_mark(std::string_view line) {
  const std::size_t indent = std::min(line.find_first_not_of(' '), line.size());
  const std::string_view rest = line.substr(indent);
  if (rest.starts_with("- ") || rest.starts_with("* ")) return indent + 2;
  const std::size_t digits = std::min(rest.find_first_not_of("0123456789"), rest.size());
  return digits > 0 && rest.substr(digits).starts_with(". ") ? indent + digits + 2 : 0;
}

bool continues(std::string_view line) {
  return !trimmed_blanks(line).empty() && item_mark(line) == 0 && line.find_first_of("#|") != 0 &&
         !line.starts_with("```");
}

}  // namespace

/// Text without the marks of Markdown: `code`, **strong**, [text](target).
std::string without_marks(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '`') continue;
    if (text.substr(i).starts_with("**")) {
      ++i;
      continue;
    }
    if (text[i] == '\\' && i + 1 < text.size()) {
      out += text[++i];
      continue;
    }
    const bool is_picture = text.substr(i).starts_with("![");
    if (is_picture) ++i;
    if (text[i] == '[') {
      const std::size_t middle = text.find("](", i);
      const std::size_t end = middle == std::string_view::npos ? middle : text.find(')', middle);
      // "name[3]" is no link: the text of a link has no bracket of its own here.
      if (end != std::string_view::npos &&
          text.substr(i + 1, middle - i - 1).find('[') == std::string_view::npos) {
        out += fmt::format(fmt::runtime(is_picture ? "(picture: {})" : "{}"),
                           without_marks(text.substr(i + 1, middle - i - 1)));
        i = end;
        continue;
      }
    }
    out += text[i];
  }
  return out;
}

void MarkdownReader::read(std::string_view markdown) {
  const std::vector<std::string_view> lines = lines_of(markdown);
  for (std::size_t i = 0; i < lines.size();) {
    const std::string_view line = lines[i];
    std::size_t next = i + 1;
    if (line.starts_with("```")) {
      while (next < lines.size() && !lines[next].starts_with("```")) ++next;
      code(std::span(lines).subspan(i + 1, next - i - 1));
      ++next;
    } else if (line.starts_with('#')) {
      const std::size_t level = std::min(line.find_first_not_of('#'), line.size());
      heading(level, trimmed_blanks(line.substr(level)));
    } else if (line.starts_with('|')) {
      std::vector<std::vector<std::string>> rows;
      for (next = i; next < lines.size() && lines[next].starts_with('|'); ++next) {
        if (next != i + 1) rows.push_back(cells_of(lines[next]));  // the rule under the head is no row
      }
      table(rows);
    } else if (trimmed_blanks(line).empty()) {
      gap();
    } else {
      std::string text(line);
      while (next < lines.size() && continues(lines[next]))
        text += ' ' + std::string(trimmed_blanks(lines[next++]));
      paragraph(text, item_mark(text));
    }
    i = next;
  }
}

}  // namespace settle::report
