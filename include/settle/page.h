// A page to hand out: what a circuit is, its pictures, tables, figures, wiring and warnings, in one file.
#pragma once

#include <array>
#include <bitset>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "settle/catalogue.h"
#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/explain.h"
#include "settle/lint.h"
#include "settle/netlist.h"
#include "settle/run.h"
#include "settle/state_space.h"
#include "settle/table.h"
#include "settle/timing.h"
#include "settle/wiring.h"

namespace settle {

/// In the order of the page.
enum class PageSection : std::uint8_t {
  about,
  schematic,
  table,
  waveforms,
  states,
  timing,
  warnings,
  cautions,
  wiring
};
inline constexpr std::array<std::string_view, 9> page_section_names = {
    "about", "schematic", "table", "waveforms", "states", "timing", "warnings", "cautions", "wiring"};
using PageSections = std::bitset<page_section_names.size()>;

/// What the page is about. All must outlive the call.
struct PageSubject {
  const Circuit& circuit;
  const Circuit* delayed = nullptr;  ///< the same with delays of a logic family, for times; none: `circuit`
  const Netlist& tree;               ///< what it was made from
  const Sources& sources;
  std::span<const Diagnostic> messages;  ///< warnings and notes of reading
  const Catalogue& catalogue;
  std::string path;  ///< of the netlist, as the reader of the page shall see it
  const Stimulus* stimulus = nullptr;
  std::string stimulus_path;
  std::string no_stimulus;  ///< where there is none: why, a sentence
};

struct PageOptions {
  PageSections sections = PageSections().set();  ///< cautions come with wiring, asked for or not
  std::string title;                             ///< empty: the name of the cell
  bool markdown = false;                         ///< else HTML
  /// Markdown: what stands in front of the names of the files of pictures; empty: none are made, and the page
  /// says which command draws them.
  std::string pictures;
  bool rectangular = false;      ///< symbols of IEC 60617-12
  std::size_t part_limit = 300;  ///< gates and cells in the schematic
  ExplainOptions explain;
  TableOptions table;
  StateSpaceOptions space;
  TimingOptions timing;
  WiringOptions wiring;
  RunOptions run;
  LintOptions lint;
};

struct PageFile {
  std::string path, text;
};

struct Page {
  std::string text;
  std::vector<PageFile> pictures;  ///< Markdown only: files that the page shows
  bool complete = true;            ///< false: a limit stopped some work; the page says so where it did
};

/// Does all that the sections need, and writes the page. A section that cannot be made says why. The same
/// subject and options always give the same bytes: no dates, nothing from elsewhere, no scripts.
Page make_page(const PageSubject& subject, const PageOptions& options);

}  // namespace settle
