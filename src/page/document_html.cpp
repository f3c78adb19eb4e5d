// Documents as HTML. What is wider than the page lies in a box that scrolls, which the keyboard reaches too.
#include <fmt/format.h>

#include "draw/inline_svg.h"
#include "draw/svg.h"
#include "page/page_parts.h"

namespace settle::page {
namespace {

using Kind = report::DocumentBlock::Kind;
using draw::escape_xml;

constexpr double least_scale = 0.72;  // below that the letters of a picture are too small for a screen
constexpr std::size_t most_rows_together = 24;  // a table that is not broken across sheets of paper

std::string scrolling(std::string_view name, std::string_view classes = "wide") {
  return fmt::format("<div class=\"{}\" role=\"region\" tabindex=\"0\" aria-label=\"{}\">\n", classes,
                     escape_xml(name));
}

void append_items(std::string& out, std::string_view classes, const std::vector<std::string>& items) {
  out += classes.empty() ? "<ul>\n" : fmt::format("<ul class=\"{}\">\n", classes);
  for (const std::string& item : items) out += fmt::format("<li>{}</li>\n", escape_xml(item));
  out += "</ul>\n";
}

std::string cell_class(const report::DocumentColumn& column) {
  using Align = report::DocumentColumn::Align;
  std::string classes = column.align == Align::right    ? "right"
                        : column.align == Align::centre ? "centre"
                                                        : "";
  if (column.ruled) classes += classes.empty() ? "ruled" : " ruled";
  return classes.empty() ? classes : fmt::format(" class=\"{}\"", classes);
}

void append_table(std::string& out, const report::DocumentTable& table) {
  const bool fits = table.rows.size() <= most_rows_together;
  out += scrolling(table.caption, fits ? "wide whole" : "wide") + "<table>\n";
  out += fmt::format("<caption>{}</caption>\n", escape_xml(table.caption));
  if (!table.columns.empty() && !table.columns[0].name.empty()) {
    out += "<thead><tr>";
    for (const report::DocumentColumn& column : table.columns)
      out += fmt::format("<th scope=\"col\"{}>{}</th>", cell_class(column), escape_xml(column.name));
    out += "</tr></thead>\n";
  }
  out += "<tbody>\n";
  for (const auto& row : table.rows) {
    out += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const std::string classes = cell_class(table.columns[i]);
      out += i == 0 && table.names_rows
                 ? fmt::format("<th scope=\"row\"{}>{}</th>", classes, escape_xml(row[i]))
                 : fmt::format("<td{}>{}</td>", classes, escape_xml(row[i]));
    }
    out += "</tr>\n";
  }
  out += "</tbody>\n</table>\n</div>\n";
}

void append_picture(std::string& out, const report::DocumentPicture& picture, const std::string& id,
                    std::string& style) {
  const double width = draw::size_of(picture.svg).width;
  const draw::InlineSvg part = draw::inline_svg(picture.svg, fmt::format("{}-{}", id, picture.name));
  style += part.style;
  out += "<figure>\n" + scrolling(picture.title);
  out += fmt::format("<div class=\"picture\" style=\"min-width:{}px\">\n{}</div>\n</div>\n",
                     draw::number(width * least_scale), part.element);
  out += fmt::format("<figcaption>{}</figcaption>\n</figure>\n", escape_xml(picture.title));
}

}  // namespace

std::string document_html(const report::Document& document, unsigned level, const std::string& id,
                          std::string& style) {
  std::string out;
  for (const report::DocumentBlock& block : document.blocks()) {
    switch (block.kind) {
      case Kind::heading:
        out += fmt::format("<h{0}>{1}</h{0}>\n", level + block.level - 1, escape_xml(block.text));
        break;
      case Kind::paragraph: out += fmt::format("<p>{}</p>\n", escape_xml(block.text)); break;
      case Kind::lines: append_items(out, "formulas", block.items); break;
      case Kind::list: append_items(out, {}, block.items); break;
      case Kind::ticks: append_items(out, "ticks", block.items); break;
      case Kind::remarks:
        out += "<ul class=\"remarks\">\n";
        for (std::size_t i = 0; i < block.items.size(); ++i) {
          out += fmt::format("<li class=\"{0}\"><b>{0}</b> {1}</li>\n", escape_xml(block.words[i]),
                             escape_xml(block.items[i]));
        }
        out += "</ul>\n";
        break;
      case Kind::table: append_table(out, block.table); break;
      case Kind::picture: append_picture(out, block.picture, id, style); break;
    }
  }
  return out;
}

}  // namespace settle::page
