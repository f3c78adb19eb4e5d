#include "settle/page.h"

#include <set>

#include "draw/inline_svg.h"
#include "draw/svg.h"
#include "support/board_text.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::testing;

namespace {

constexpr const char* latch =
    "cell latch\n  in s r\n  out q n\n  nor one: r n -> q\n  nor two: s q -> n\nend\n";

PageOptions only(std::initializer_list<PageSection> sections) {
  PageOptions options;
  options.sections.reset();
  for (const PageSection section : sections) options.sections.set(static_cast<std::size_t>(section));
  return options;
}

/// The page of a netlist text, and of a stimulus text where there is one.
Page page_of(const std::string& text, const PageOptions& options, const std::string& stimulus_text = {}) {
  const LoadedBoard loaded = load_board(text);
  INFO(loaded.messages);
  REQUIRE(loaded.circuit);
  Diagnostics diagnostics;
  MemoryFiles files{{"test.stim", stimulus_text}};
  const Stimulus stimulus = parse_stimulus("test.stim", files, *loaded.sources, diagnostics);
  REQUIRE_FALSE(diagnostics.has_errors());
  const Catalogue catalogue = built_in_catalogue();
  return make_page({.circuit = *loaded.circuit,
                    .tree = loaded.tree,
                    .sources = *loaded.sources,
                    .messages = {},
                    .catalogue = catalogue,
                    .path = "test.gates",
                    .stimulus = stimulus_text.empty() ? nullptr : &stimulus,
                    .stimulus_path = "test.stim",
                    .no_stimulus = "There is no stimulus."},
                   options);
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (auto at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

}  // namespace

TEST_CASE("A page has all sections, and no name is given twice") {
  const Page page = page_of(latch, {}, "set s=1 r=0\nwait 4\nset s=0\nsettle\nexpect q=1\n");
  CHECK(page.complete);
  CHECK(page.pictures.empty());
  for (const std::string_view name : page_section_names)
    CHECK(has(page.text, "<section id=\"" + std::string(name) + "\""));
  CHECK(has(page.text, "1 expectation passed, 0 failed."));
  CHECK(has(page.text, "<li>supply to U1.14 (supply)</li>"));
  std::set<std::string> ids;
  for (auto at = page.text.find(" id=\""); at != std::string::npos; at = page.text.find(" id=\"", at + 1)) {
    const std::string id = page.text.substr(at + 5, page.text.find('"', at + 5) - at - 5);
    CAPTURE(id);
    CHECK(ids.insert(id).second);
  }
  CHECK(ids.contains("schematic-schematic"));
}

TEST_CASE("A page brings no scripts and loads nothing") {
  const Page page = page_of(latch, {});
  CHECK(count(page.text, "http") ==
        count(page.text, "http-equiv") + count(page.text, "xmlns=\"http://www.w3.org/2000/svg\""));
  for (const std::string never : {"<script", "@import", "url(", "src=", "<link", "onload"})
    CHECK_FALSE(has(page.text, never));
  CHECK(count(page.text, "href=") == count(page.text, "href=\"#"));
}

TEST_CASE("What a page says comes out as text, whatever its signs mean elsewhere") {
  PageOptions options = only({PageSection::about});
  options.title = "Latch <b> & \"co\"";
  CHECK(has(page_of(latch, options).text, "<h1>Latch &lt;b&gt; &amp; &quot;co&quot;</h1>"));
  options.markdown = true;
  options.title = "a_b*c";
  CHECK(has(page_of(latch, options).text, "# a\\_b\\*c\n"));
}

TEST_CASE("Sections that cannot be made say why") {
  const std::string wide = "cell wide\n  in a[39:0]\n  out y\n  nand g: a[1] a[0] -> y\nend\n";
  const Page page = page_of(wide, {});
  CHECK(has(page.text, "No table: "));
  CHECK(has(page.text, "has no loop, so it has no states of its own"));
  CHECK(has(page.text, "There is no stimulus."));
  CHECK(has(page.text, "Nothing was run."));
  PageOptions small = only({PageSection::schematic});
  small.part_limit = 1;
  CHECK(has(page_of(latch, small).text, "Not drawn: 2 parts are too many"));
  const Page wrong = page_of(latch, only({PageSection::waveforms}), "set nowhere=1\n");
  CHECK(has(wrong.text, "test.stim does not fit this circuit: "));
  CHECK(wrong.complete);
}

TEST_CASE("A page that a limit cut short says so, and is not complete") {
  PageOptions options = only({PageSection::table});
  options.table.stable_limit = 1;
  const Page page = page_of(latch, options);
  CHECK_FALSE(page.complete);
  CHECK(has(page.text, "<b>incomplete</b>"));
}

TEST_CASE("The wiring list never goes without the cautions") {
  const Page page = page_of(latch, only({PageSection::wiring}));
  CHECK(has(page.text, "Extra-low voltage only"));
  CHECK(has(page.text, "no safety case"));
  CHECK(page.text.find("id=\"cautions\"") < page.text.find("id=\"wiring\""));
}

TEST_CASE("Markdown has its pictures as files, or the commands that draw them") {
  PageOptions options = only({PageSection::schematic, PageSection::wiring});
  options.markdown = true;
  const Page named = page_of(latch, options);
  CHECK(named.pictures.empty());
  CHECK(has(named.text, "`settle draw test.gates`"));
  options.pictures = "page-";
  const Page page = page_of(latch, options);
  REQUIRE(page.pictures.size() == 2);
  CHECK(page.pictures[0].path == "page-schematic.svg");
  CHECK(page.pictures[1].path == "page-chips.svg");
  CHECK(has(page.text, "](<page-schematic.svg>)"));
  CHECK(has(page.text, "- [ ] supply to U1.14 (supply)"));
}

TEST_CASE("A picture inside of a page keeps its rules to itself") {
  draw::Picture picture("A & B", "two");
  picture.style().colour(".w,.n", "stroke", draw::Hue::ink);
  picture.text(1, 2, ".settle-picture .w,x");
  const draw::InlineSvg part = draw::inline_svg(picture.finish(30, 40), "p");
  CHECK(has(
      part.element,
      "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"p\" role=\"img\" aria-label=\"A &amp; B\" width=\"30\" "
      "height=\"40\" viewBox=\"0 0 30 40\">\n<title>A &amp; B</title>\n<desc>two</desc>\n<rect "));
  CHECK(has(part.element, ">.settle-picture .w,x</text>"));
  CHECK(has(part.style, "\n#p .w,#p .n{stroke:"));
  CHECK(has(part.style, "@media screen and (prefers-color-scheme:dark)"));
  CHECK_FALSE(has(part.style, "settle-picture"));
  CHECK(draw::size_of(part.element).height == 40);
}
