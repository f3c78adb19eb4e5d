// A text with structure: paragraphs, lists, tables, pictures. Built once, and then written for the terminal
// or as Markdown (here), or as HTML (src/page/document_html.h).
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "settle/report.h"

namespace settle::report {

struct DocumentColumn {
  std::string name;
  enum class Align { left, right, centre } align = Align::left;
  bool ruled = false;  ///< a rule parts it from the column before
};

struct DocumentTable {
  std::string caption;  ///< what it lists, for those who hear the page; not shown in text
  std::vector<DocumentColumn> columns;  ///< without names: a table without a head
  std::vector<std::vector<std::string>> rows;
  bool names_rows = false;  ///< the first cell of a row says what the row is about
};

struct DocumentPicture {
  std::string name;  ///< "schematic": a word for file names and anchors
  std::string title;
  std::string svg;
  std::string made_by;  ///< the command that draws it
};

struct DocumentBlock {
  enum class Kind {
    heading,
    paragraph,
    lines,  ///< each as it is, such as equations
    list,
    ticks,    ///< a list to tick off
    remarks,  ///< a list in which each item begins with a word like "warning"
    table,
    picture,
  };
  Kind kind = Kind::paragraph;
  std::string text;                ///< heading, paragraph
  std::vector<std::string> items;  ///< lines, list, ticks; remarks: without the word
  std::vector<std::string> words;  ///< remarks: "warning", "note", "error"
  DocumentTable table;
  DocumentPicture picture;
  unsigned level = 1;       ///< of a heading, below that of the whole document
  std::size_t indent = 0;   ///< text only: columns in front
  bool blank_line = false;  ///< text only: one before it
};

/// Texts are plain: each form escapes what has a meaning in it.
class Document {
 public:
  using Kind = DocumentBlock::Kind;

  void heading(std::string text, unsigned level = 1) {
    DocumentBlock& block = add(Kind::heading);
    block.text = std::move(text);
    block.level = level;
  }
  DocumentBlock& paragraph(std::string text, std::size_t indent = 0) {
    DocumentBlock& block = add(Kind::paragraph);
    block.text = std::move(text);
    block.indent = indent;
    return block;
  }
  DocumentBlock& list(Kind kind, std::vector<std::string> items, std::size_t indent = 0) {
    DocumentBlock& block = add(kind);
    block.items = std::move(items);
    block.indent = indent;
    return block;
  }
  /// The remarks of one list follow each other.
  void remark(std::string word, std::string text) {
    if (blocks_.empty() || blocks_.back().kind != Kind::remarks) add(Kind::remarks);
    blocks_.back().words.push_back(std::move(word));
    blocks_.back().items.push_back(std::move(text));
  }
  DocumentBlock& table(DocumentTable table) {
    DocumentBlock& block = add(Kind::table);
    block.table = std::move(table);
    return block;
  }
  void picture(DocumentPicture picture) { add(Kind::picture).picture = std::move(picture); }
  void append(Document other) {
    for (DocumentBlock& block : other.blocks_) blocks_.push_back(std::move(block));
  }

  const std::vector<DocumentBlock>& blocks() const { return blocks_; }
  bool is_empty() const { return blocks_.empty(); }

 private:
  DocumentBlock& add(Kind kind) {
    blocks_.emplace_back().kind = kind;
    return blocks_.back();
  }
  std::vector<DocumentBlock> blocks_;
};

/// For a terminal. Headings stand behind a blank line. The first and the last column of a table are flush
/// left, the others flush right; pictures are left out.
std::string document_text(const Document& document, const TextStyle& style);

/// For pages in Markdown: headings of level 1 become those of `level`. A picture is an image of the file
/// `pictures` + its name + ".svg"; where `pictures` is empty, the command that draws it is said.
std::string document_markdown(const Document& document, unsigned level, const std::string& pictures = {});

}  // namespace settle::report
