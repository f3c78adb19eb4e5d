// Documents as pages in Markdown.
#include <fmt/format.h>

#include "report/document.h"
#include "report/markdown_text.h"

namespace settle::report {
namespace {

using BlockKind = DocumentBlock::Kind;

std::string cell_text(const std::string& text) {
  return text == "-" ? "\\-" : escape_markdown(text);  // a lone one would start a list
}

/// Text at the beginning of a line: what would start a list or a heading there is escaped.
std::string line_text(const std::string& text) {
  const std::string escaped = escape_markdown(text);
  return !escaped.empty() && std::string_view("-+#").find(escaped[0]) != std::string_view::npos
             ? "\\" + escaped
             : escaped;
}

void append_pipe_table(std::string& out, const DocumentTable& table) {
  out += "|";
  for (const DocumentColumn& column : table.columns) out += " " + cell_text(column.name) + " |";
  out += "\n|";
  for (const DocumentColumn& column : table.columns) {
    using Align = DocumentColumn::Align;
    out += column.align == Align::left ? ":--|" : column.align == Align::right ? "--:|" : ":-:|";
  }
  out += "\n";
  for (const auto& row : table.rows) {
    out += "|";
    for (const std::string& cell : row) out += " " + cell_text(cell) + " |";
    out += "\n";
  }
}

void append_picture(std::string& out, const DocumentPicture& picture, const std::string& folder) {
  if (!folder.empty()) {
    out += fmt::format("![{}](<{}{}.svg>)\n", escape_markdown(picture.title), folder, picture.name);
  } else {
    out += fmt::format("{}: drawn by `{}`\n", line_text(picture.title), picture.made_by);
  }
}

}  // namespace

std::string document_markdown(const Document& document, unsigned level, const std::string& pictures) {
  std::string out;
  for (const DocumentBlock& block : document.blocks()) {
    if (!out.empty()) out += '\n';
    switch (block.kind) {
      case BlockKind::heading:
        out += fmt::format("{} {}\n", std::string(level + block.level - 1, '#'), escape_markdown(block.text));
        break;
      case BlockKind::paragraph: out += line_text(block.text) + "\n"; break;
      case BlockKind::lines:
        for (const std::string& line : block.items) out += "    " + line + "\n";
        break;
      case BlockKind::list:
        for (const std::string& item : block.items) out += "- " + line_text(item) + "\n";
        break;
      case BlockKind::ticks:
        for (const std::string& item : block.items) out += "- [ ] " + escape_markdown(item) + "\n";
        break;
      case BlockKind::remarks:
        for (std::size_t i = 0; i < block.items.size(); ++i)
          out += fmt::format("- **{}**: {}\n", block.words[i], escape_markdown(block.items[i]));
        break;
      case BlockKind::table: append_pipe_table(out, block.table); break;
      case BlockKind::picture: append_picture(out, block.picture, pictures); break;
    }
  }
  return out;
}

}  // namespace settle::report
