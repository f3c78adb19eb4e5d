#include <regex>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

TEST_CASE("draw writes pictures that are well-formed and the same each time") {
  for (const std::string options :
       {"lever_latch.gates", "lever_latch.gates --flat --symbols rectangles --net-names",
        "lever_latch.gates lever_latch.stim --at 25 --open block_memory", "route_register.gates --flat",
        "bell_divider.gates --kind states"}) {
    CAPTURE(options);
    const Outcome first = run_settle("draw --quiet " + options);
    CHECK(first.status == 0);
    CHECK(first.output.substr(0, 5) == "<svg ");
    CHECK(run_settle("draw --quiet " + options).output == first.output);
    CHECK(run_shell("settle draw --quiet " + options + " | xmllint --noout -").status == 0);
    for (const std::string never : {"<script", "href", "@import", "url("})
      CHECK_FALSE(has(first.output, never));
  }
}

TEST_CASE("All pictures of the pages, and one with every kind of gate, are valid SVG 1.1") {
  const std::string valid = "xmllint --nonet --noout --dtdvalid " SETTLE_SOURCE_DIR "/tests/draw/svg11_role.dtd ";
  // Without the package the definition is not found, and says so itself.
  if (run_shell("xmlcatalog /etc/xml/catalog '-//W3C//DTD SVG 1.1//EN' 2>/dev/null | grep -q file:").status != 0) {
    WARN("w3c-sgml-lib is not installed: pictures are not validated");
    return;
  }
  CHECK(run_shell(valid + SETTLE_SOURCE_DIR "/docs/pictures/*.svg 2>&1").output == "");
  const ScratchFolder folder;
  folder.put("kinds.gates",
             "cell kinds\n  in a b c d e en\n  out line q\n  and g1: a b c d e -> n1\n  xor g2: n1 a 0 -> n2\n"
             "  notif0 g3: n2 en -> line\n  bufif1 g4: n2 en -> line\n  pullup g5: -> line\n  nor g6: n2 q -> q\nend\n");
  for (const std::string options : {"--at 1", "--symbols rectangles --at 1 --net-names", "--kind timing"}) {
    CAPTURE(options);
    const Outcome outcome = run_shell(
        "settle draw kinds.gates --quiet -o kinds.svg " + options + " && " + valid + "kinds.svg 2>&1",
        folder.path().string());
    CHECK(outcome.status == 0);
    CHECK(outcome.output == "");
  }
}

TEST_CASE("The control of a three-state gate looks as its wire does") {
  const ScratchFolder folder;
  folder.put("gate.gates", "cell gate\n  in data en\n  out line\n  bufif0 g: data en -> line\nend\n");
  folder.put("gate.stim", "set data=0 en=1; settle\n");
  const std::string picture =
      run_shell("settle draw gate.gates gate.stim --quiet", folder.path().string()).output;
  // From the pin round the corner to the circle below the body, in the colour and stroke of a 1.
  CHECK(std::regex_search(picture, std::regex(R"(class="w v1" transform="[^"]*" d="M8 50H24V)")));
}

TEST_CASE("The picture of the lever latch is small, and shows the values of a moment") {
  const std::string plain = run_settle("draw lever_latch.gates --flat").output;
  CHECK(plain.size() < 20'000);
  CHECK_FALSE(has(plain, "seen = "));
  const std::string early =
      run_settle("draw lever_latch.gates lever_latch.stim --quiet --flat --at 5").output;
  CHECK(has(early, "seen = x"));
  CHECK(has(early, "lever = 0"));
  const std::string later =
      run_settle("draw lever_latch.gates lever_latch.stim --quiet --flat --at 25").output;
  CHECK(has(later, "seen = 1"));
  CHECK(has(later, "lever = 0"));
}

TEST_CASE("A timing diagram shows how long it takes from one signal to another") {
  const std::string call = "draw --quiet block_memory.gates block_memory.stim --kind timing --measure ";
  const Outcome picture = run_settle(call + "enter:occupied --measure occupied:occupied");
  CHECK(picture.status == 0);
  CHECK(has(picture.output, "<title>enter \u2192 occupied: 11</title>"));
  CHECK(has(picture.output, "; from enter to occupied 19 11 1; from occupied to occupied 30 1 20."));
  const Outcome unknown = run_settle(call + "enter:ocupied");
  CHECK(unknown.status == 2);
  CHECK(unknown.output == "settle: error: no signal 'ocupied' is shown, so it cannot be measured\n"
                          "  hint: did you mean 'occupied'?\n");
  CHECK(run_settle(call + "enter").status == 2);
  CHECK(run_settle("draw --quiet route_register.gates route_register.stim --kind timing --measure lever[7:0]:route")
            .status == 0);
}

TEST_CASE("draw says what is wrong with a call") {
  const Outcome cell = run_settle("draw lever_latch.gates --open block_memry");
  CHECK(cell.status == 2);
  CHECK(cell.output ==
        "settle: error: no cell is named 'block_memry'\n  hint: did you mean 'block_memory'?\n");
  const Outcome late = run_settle("draw block_memory.gates --at 1000");
  CHECK(late.status == 2);
  CHECK(has(late.output, "settle: error: the run ends at "));
  const Outcome large = run_settle("draw route_register.gates --flat --limit-parts 39");
  CHECK(large.status == 3);
  CHECK(has(large.output, "40 parts are too many"));
}

TEST_CASE("The state graph shows all states, and what is wrong with steps in words") {
  const std::string picture = run_settle("draw block_memory.gates --kind states").output;
  std::size_t states = 0;
  for (auto at = picture.find("<rect class=\"s\""); at != std::string::npos;
       at = picture.find("<rect class=\"s\"", at + 1))
    ++states;
  CHECK(states == 5);
  CHECK(has(picture, "enter=0 leave=0"));
  const std::string gated = run_settle("draw gated_block.gates --kind states").output;
  CHECK(has(gated, "with read=0: indeterminate"));
  CHECK(has(gated, "may go on for ever"));
  const Outcome large = run_settle("draw route_register.gates --kind states");
  CHECK(large.status == 3);
  CHECK(has(large.output, "--set holds inputs"));
}

TEST_CASE("Options that would do nothing, and names that match none, are wrong calls") {
  struct Row {
    const char* options;
    const char* message;
  };
  for (const auto& [options, message] :
       {Row{"--nets lever", "--nets is for --kind timing, and here the schematic is drawn"},
        Row{"--kind timing --at 5", "--at is for --kind schematic, and here a timing diagram is drawn"},
        Row{"--kind timing --set lever=1", "--set is for --kind states"},
        Row{"--kind states", "--kind states takes no stimulus"},
        Row{"--kind timing --nets 'foo*'", "error: no net matches 'foo*'"}}) {
    CAPTURE(options);
    const Outcome outcome = run_shell(std::string("settle draw lever_latch.gates lever_latch.stim ") + options + " 2>&1");
    CHECK(outcome.status == 2);
    CHECK(has(outcome.output, message));
  }
}

TEST_CASE("PNG and PDF come from another program, or a message says that it is missing") {
  const Outcome missing = run_shell("PATH=/nowhere; settle draw ring.gates --format png 2>&1");
  CHECK(missing.status == 2);
  CHECK(has(missing.output, "'--format png' needs the program rsvg-convert, which is not installed"));
  const ScratchFolder folder;
  const std::string as_named = "settle draw " SETTLE_SOURCE_DIR "/examples/ring.gates -o ring.pdf";
  CHECK(run_shell("PATH=/nowhere; " + as_named + " 2>&1", folder.path().string()).status == 2);
  if (run_shell("command -v rsvg-convert").status != 0) return;
  CHECK(run_shell(as_named, folder.path().string()).status == 0);
  CHECK(content_of(folder.path() / "ring.pdf").substr(0, 5) == "%PDF-");
  CHECK(run_settle("draw ring.gates --format png").output.substr(1, 3) == "PNG");
  CHECK(run_settle("draw ring.gates --format pdf").output.substr(0, 5) == "%PDF-");
}
