// A page before it has a form.
#pragma once

#include <string>
#include <vector>

#include "report/document.h"
#include "settle/page.h"

namespace settle::page {

struct Section {
  PageSection kind = PageSection::about;
  std::string title;
  report::Document body;
};

struct Draft {
  std::string title;
  std::string lead;    ///< one sentence below the title
  std::string origin;  ///< one sentence at the end: from which files, by which program
  std::vector<Section> sections;
  bool complete = true;
};

/// Does the work of all sections.
Draft draft_of(const PageSubject& subject, const PageOptions& options);

std::string html_of(const Draft& draft);
std::string markdown_of(const Draft& draft, const std::string& pictures);

/// The style sheet of a page in HTML: screens wide and narrow, light and dark, and A4 paper.
std::string page_style();

/// A document as elements of HTML that are well-formed XML too. Its headings of level 1 become `h{level}`;
/// ids begin with `id`. The rules of its pictures, which belong to the head of the page, are added to
/// `style`.
std::string document_html(const report::Document& document, unsigned level, const std::string& id,
                          std::string& style);

}  // namespace settle::page
