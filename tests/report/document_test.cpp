#include "report/document.h"

#include "support/catch.h"

using namespace settle;
using report::Document;

namespace {

Document sample_document() {
  Document document;
  document.heading("Parts");
  document.paragraph("- none");
  document.list(Document::Kind::lines, {"q+ = d"}, 2);
  document.list(Document::Kind::ticks, {"U1.1 to U1_2"});
  document.remark("warning", "a");
  document.remark("note", "b");
  using Align = report::DocumentColumn::Align;
  document.table({"Pins", {{"pin", Align::right}, {"n|et", Align::left}}, {{"1", "-"}, {"22", "q"}}});
  document.picture({"graph", "A graph", "<svg/>", "settle draw"});
  return document;
}

}  // namespace

TEST_CASE("Documents as text") {
  CHECK(report::document_text(sample_document(), {}) ==
        "\nParts\n- none\n  q+ = d\nU1.1 to U1_2\nwarning: a\nnote: b\n  pin  n|et\n  1    -\n  22   q\n");
}

TEST_CASE("Documents as Markdown") {
  CHECK(report::document_markdown(sample_document(), 2, "x-") ==
        "## Parts\n\n\\- none\n\n    q+ = d\n\n- [ ] U1.1 to U1\\_2\n\n- **warning**: a\n- **note**: b\n\n"
        "| pin | n\\|et |\n|--:|:--|\n| 1 | \\- |\n| 22 | q |\n\n![A graph](<x-graph.svg>)\n");
  Document document;
  document.picture({"graph", "A graph", "<svg/>", "settle draw"});
  CHECK(report::document_markdown(document, 2) == "A graph: drawn by `settle draw`\n");
}
