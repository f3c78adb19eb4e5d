// A page in one of its forms.
#include "settle/page.h"

#include <fmt/format.h>

#include "page/page_parts.h"
#include "report/markdown_text.h"

namespace settle {
namespace page {

std::string markdown_of(const Draft& draft, const std::string& pictures) {
  std::string out =
      fmt::format("# {}\n\n{}\n", report::escape_markdown(draft.title), report::escape_markdown(draft.lead));
  for (const Section& section : draft.sections)
    out += fmt::format("\n## {}\n\n{}", section.title, report::document_markdown(section.body, 3, pictures));
  return out + fmt::format("\n---\n\n{}\n", report::escape_markdown(draft.origin));
}

}  // namespace page

Page make_page(const PageSubject& subject, const PageOptions& options) {
  const page::Draft draft = page::draft_of(subject, options);
  Page page;
  page.complete = draft.complete;
  page.text = options.markdown ? page::markdown_of(draft, options.pictures) : page::html_of(draft);
  if (!options.markdown || options.pictures.empty()) return page;
  for (const page::Section& section : draft.sections) {
    for (const report::DocumentBlock& block : section.body.blocks()) {
      if (block.kind != report::DocumentBlock::Kind::picture) continue;
      page.pictures.push_back({options.pictures + block.picture.name + ".svg", block.picture.svg});
    }
  }
  return page;
}

}  // namespace settle
