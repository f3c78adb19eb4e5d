// The frame of a page in HTML: one file, well-formed as XML too, nothing loaded from elsewhere. The policy in
// its head makes browsers refuse scripts and any network access.
#include <fmt/format.h>

#include "draw/svg.h"
#include "page/page_parts.h"
#include "settle/report.h"

namespace settle::page {

using draw::escape_xml;

std::string html_of(const Draft& draft) {
  std::string contents, sections, style = page_style();
  std::size_t number = 0;
  for (const Section& section : draft.sections) {
    const std::string id(page_section_names[static_cast<std::size_t>(section.kind)]);
    const std::string title = escape_xml(section.title);
    contents += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", id, title);
    sections += fmt::format(
        "<section id=\"{0}\" aria-labelledby=\"{0}-heading\">\n"
        "<h2 id=\"{0}-heading\"><span>{1}</span> {2}</h2>\n<div class=\"body\">\n{3}</div>\n</section>\n",
        id, ++number, title, document_html(section.body, 3, id, style));
  }
  const std::string nav = fmt::format("<nav aria-label=\"Contents\">\n<ol>\n{}</ol>\n</nav>\n", contents);
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta name=\"color-scheme\" content=\"light dark\"/>\n<meta name=\"generator\" content=\"settle "
      "{0}\"/>\n"
      "<title>{1}</title>\n<style>\n{2}</style>\n</head>\n<body>\n<header>\n<h1>{1}</h1>\n<p>{3}</p>\n</"
      "header>\n"
      "{4}<main>\n{5}</main>\n<footer><p>{6}</p></footer>\n</body>\n</html>\n",
      version(), escape_xml(draft.title), style, escape_xml(draft.lead), draft.sections.size() > 1 ? nav : "",
      sections, escape_xml(draft.origin));
}

}  // namespace settle::page
