// The frame of a page in HTML: one file, well-formed as XML too, nothing loaded from elsewhere. The policy in
// its head makes browsers refuse scripts and any network access.
#include <fmt/format.h>

#include "draw/svg.h"
#include "page/page_parts.h"
#include "settle/report.h"

namespace settle::page {

using draw::escape_xml;

std::string html_of(const Draft& draft) {
  std::string out = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
      "<meta name=\"generator\" content=\"settle "
      "{}\"/>\n<title>{}</title>\n<style>\n{}</style>\n</head>\n<body>\n",
      version(), escape_xml(draft.title), page_style());
  out += fmt::format("<header>\n<h1>{}</h1>\n<p>{}</p>\n</header>\n", escape_xml(draft.title),
                     escape_xml(draft.lead));
  if (draft.sections.size() > 1) {
    out += "<nav aria-label=\"Contents\">\n<ol>\n";
    for (const Section& section : draft.sections) {
      out +=
          fmt::format("<li><a href=\"#{}\">{}</a></li>\n",
                      page_section_names[static_cast<std::size_t>(section.kind)], escape_xml(section.title));
    }
    out += "</ol>\n</nav>\n";
  }
  out += "<main>\n";
  std::size_t number = 0;
  for (const Section& section : draft.sections) {
    const std::string id(page_section_names[static_cast<std::size_t>(section.kind)]);
    out += fmt::format(
        "<section id=\"{0}\" aria-labelledby=\"{0}-heading\">\n<h2 id=\"{0}-heading\"><span>{1}</span> "
        "{2}</h2>\n"
        "<div class=\"body\">\n{3}</div>\n</section>\n",
        id, ++number, escape_xml(section.title), document_html(section.body, 3, id));
  }
  return out +
         fmt::format("</main>\n<footer><p>{}</p></footer>\n</body>\n</html>\n", escape_xml(draft.origin));
}

}  // namespace settle::page
