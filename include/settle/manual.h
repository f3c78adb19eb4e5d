// The pages of the manual inside the program: found by topic, shown as text.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/report.h"

namespace settle {

/// A page of docs/, as it is: Markdown.
struct ManualPage {
  std::string_view name;  ///< "stimulus"
  std::string_view text;
};

/// All pages, sorted by name.
const std::vector<ManualPage>& manual_pages();

/// A page, or a section of one with all that is below its heading.
struct ManualTopic {
  std::string name;        ///< how it is asked for: "stimulus", "power-up", "floating-input"
  std::string title;       ///< its heading
  std::string_view page;   ///< the page that it is in
  std::string text;        ///< heading included
  bool is_page = false;
};

/// Topics of a page: the page itself, then its sections in order.
std::vector<ManualTopic> manual_topics(const ManualPage& page);

/// The topics that `word` names, best first: pages, then sections called so, or, without these, rows of tables with
/// that word in their first column; then sections whose name holds it as a whole word. Upper and lower case are the same, and so are blanks and hyphens. Empty: none.
std::vector<ManualTopic> find_topics(std::string_view word);

/// The word nearest to one that names no topic; empty when none is near.
std::string nearest_topic(std::string_view word);

/// Markdown as text for a terminal: headings, paragraphs and lists wrapped to the width, tables in columns or,
/// where they are too wide, as a list; marks and links are left out.
std::string manual_text(std::string_view markdown, const TextStyle& style);

/// Markdown as the body of a page for man(1): groff's man macros, `##` as .SS; pictures are left out.
std::string manual_roff(std::string_view markdown);
/// Text for roff, in which no character has another meaning.
std::string roff_text(std::string_view text);

/// The pages and what they are about, a line each.
std::string manual_contents(const TextStyle& style);

}  // namespace settle
