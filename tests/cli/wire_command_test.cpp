// settle wire as a user calls it.
#include "support/catch.h"
#include "support/run_program.h"

namespace settle::testing {
namespace {

TEST_CASE("wire: the lever latch and its board") {
  const Outcome wired = run_settle("wire lever_latch.gates --quiet");
  CHECK(wired.status == 0);
  CHECK(has(wired.output, "wiring of lever_latch: 2 chips, the fewest"));
  const ScratchFolder folder;
  const std::string board = (folder.path() / "board.gates").string();
  CHECK(run_settle("wire lever_latch.gates --format gates -o " + board).status == 0);
  const Outcome compared = run_settle("compare lever_latch.gates " + board);
  CAPTURE(compared.output);
  CHECK(compared.status == 0);
  CHECK(has(compared.output, "equal: "));
  // One wire in the wrong hole: what the board does is no longer what was meant.
  std::string text = content_of(board);
  const auto at = text.find("2=");
  REQUIRE(at != std::string::npos);
  text.replace(at, text.find(' ', at) - at, "2=0");
  folder.put("wrong.gates", text);
  CHECK(run_settle("compare lever_latch.gates " + (folder.path() / "wrong.gates").string()).status == 1);
}

TEST_CASE("wire: forms of the result") {
  CHECK(has(run_settle("wire lever_latch.gates --format csv").output,
            "step,number,net,from,to\nPower,1,supply,supply,U1.14\n"));
  CHECK(has(run_settle("wire lever_latch.gates --format json").output, "\"schema\": \"wire/1\""));
  CHECK(has(run_settle("wire lever_latch.gates --format markdown").output, "- [ ] supply to U1.14 (supply)"));
  const Outcome picture = run_shell("settle wire route_register.gates --format svg | xmllint --noout -");
  CHECK(picture.status == 0);
  CHECK(
      has(run_settle("wire lever_latch.gates --format svg").output, "<title>Wiring of lever_latch</title>"));
}

TEST_CASE("wire: a register on ten chips, its read line on sixteen inputs") {
  const Outcome wired = run_settle("wire route_register.gates --quiet");
  CHECK(wired.status == 0);
  CHECK(has(wired.output, "10 chips, the fewest"));
}

TEST_CASE("wire: exit status") {
  const ScratchFolder folder;
  folder.put("wide.gates", "cell wide\n in a b c d e\n out q\n nor g: a b c d e -> q\nend\n");
  CHECK(run_settle("wire " + (folder.path() / "wide.gates").string()).status == 2);
  CHECK(run_settle("wire " + (folder.path() / "wide.gates").string() + " --substitute full").status == 0);
  CHECK(run_settle("wire lever_latch.gates --family XY").status == 2);
  std::string heavy = "cell heavy\n in a b\n out q\n nand g: a b -> t\n";
  for (int i = 0; i < 20; ++i) heavy += " not n" + std::to_string(i) + ": t -> m" + std::to_string(i) + "\n";
  folder.put("heavy.gates", heavy + " not last: t -> q\nend\n");
  CHECK(run_settle("wire " + (folder.path() / "heavy.gates").string() + " --family LS").status == 1);
  CHECK(run_settle("wire " + (folder.path() / "heavy.gates").string()).status == 0);
}

}  // namespace
}  // namespace settle::testing
