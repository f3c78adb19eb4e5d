// Which pins of a board are not as the cell has them.
#include "settle/board_difference.h"

#include "support/board_text.h"
#include "support/catch.h"
#include "support/circuit_text.h"

namespace settle {
namespace {

const std::string intended_latch =
    "cell latch\n  in lever read\n  out seen seen_n\n  not inv: lever -> lever_n\n  and gs: lever read -> s\n"
    "  and gr: lever_n read -> r\n  nor ha: r seen_n -> seen\n  nor hb: s seen -> seen_n\nend\n";

std::string board(const std::string& first, const std::string& second) {
  return "cell b\n  in lever read\n  out seen seen_n\n  chip U1 74HC02: " + first + " 7=0 14=1\n  chip U2 74HC08: " + second +
         " 7=0 14=1\nend\n";
}

const char* const good_nor = "1=ln 2=lever 3=lever 4=seen 5=r 6=seen_n 10=seen_n 8=s 9=seen";
const char* const good_and = "1=lever 2=read 3=s 4=ln 5=read 6=r";

/// The sentences, one a line.
std::string differences(const std::string& first, const std::string& second, const BoardMatchLimits& limits = {}) {
  const auto loaded = testing::load_board(board(first, second));
  INFO(loaded.messages);
  REQUIRE(loaded.circuit);
  const Circuit intended = testing::circuit(intended_latch);
  const Catalogue catalogue = built_in_catalogue();
  PinMatch match;
  Diagnostics diagnostics;
  REQUIRE(match_pins(*loaded.circuit, intended, {}, match, diagnostics));
  const auto difference = board_difference(*loaded.circuit, board_of(loaded.tree, *loaded.circuit, catalogue), intended, match, limits);
  CHECK(difference.is_least);
  std::string text;
  for (const PinDifference& d : difference.pins) text += d.sentence + "\n";
  return text;
}

TEST_CASE("A board wired as meant has no differences, whatever gate is where") {
  CHECK(differences(good_nor, good_and) == "");
  // Other gates, inputs in another order.
  CHECK(differences("13=ln 11=lever 12=lever 1=seen 3=r 2=seen_n 10=seen_n 9=s 8=seen 5=0 6=0", "13=read 12=lever 11=s 8=r 9=ln 10=read 1=0 2=0") == "");
}

TEST_CASE("A wrong wire is named with its pin") {
  CHECK(differences(good_nor, "1=lever 2=read 3=s 4=ln 5=s 6=r") == "pin 5 of U2 is on 's', but gr of the cell wants 'read' there\n");
  CHECK(differences("1=ln 2=lever 3=lever 4=seen 5=read 6=seen_n 10=seen_n 8=s 9=seen", good_and) ==
        "pin 5 of U1 is on 'read', but ha of the cell wants pin 6 of U2 there\n");
}

TEST_CASE("Two exchanged wires are two differences") {
  CHECK(differences("1=ln 2=lever 3=lever 4=seen 5=s 6=seen_n 10=seen_n 8=r 9=seen", good_and) ==
        "pin 5 of U1 is on 's', but ha of the cell wants 'r' there\npin 8 of U1 is on 'r', but hb of the cell wants 's' there\n");
}

TEST_CASE("An open pin and a missing gate are told") {
  CHECK(differences(good_nor, "1=lever 2=read 3=s 4=ln 6=r") == "pin 5 of U2 is on nothing, but gr of the cell wants 'read' there\n");
  const std::string none = differences("1=ln 2=lever 3=lever 4=seen 5=s 6=seen_n 10=seen_n 8=s 9=seen", "1=lever 2=read 3=s 4=0 5=0");
  CHECK(none.find("no 'and' gate of the board stands for gr ('r')\n") != std::string::npos);
}

}  // namespace
}  // namespace settle
