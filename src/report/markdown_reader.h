// Markdown as our pages write it, piece by piece: headings, paragraphs, items of lists, tables, code blocks.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace settle::report {

/// Hands the pieces of a page to its heirs in order.
class MarkdownReader {
 public:
  virtual ~MarkdownReader() = default;
  void read(std::string_view markdown);

 protected:
  /// Its number of #, from 1, and its text.
  virtual void heading(std::size_t level, std::string_view text) = 0;
  /// The lines between the fences.
  virtual void code(std::span<const std::string_view> lines) = 0;
  /// Rows of cells, the head first; marks of Markdown are still in them.
  virtual void table(const std::vector<std::vector<std::string>>& rows) = 0;
  /// A paragraph or an item as one line; `mark` columns of it are the mark of the item with its blanks, 0:
  /// none.
  virtual void paragraph(std::string_view text, std::size_t mark) = 0;
  /// Empty lines.
  virtual void gap() = 0;
};

/// Text without the marks of Markdown: `code`, **strong**, [text](target).
std::string without_marks(std::string_view text);

}  // namespace settle::report
