#include "settle/diagnostic.h"

#include <array>
#include <string>

#include "support/catch.h"

using namespace settle;

namespace {

std::string shown(const std::string& text, std::uint32_t offset) {
  Sources sources;
  const std::uint32_t file = sources.add("a.gates", text);
  return render({Severity::error, {file, offset}, "wrong", "", ""}, sources);
}

}  // namespace

TEST_CASE("a message is its place, its line with a caret and a hint") {
  Sources sources;
  const std::uint32_t file = sources.add("cabin.gates", "cell c\n\tnor g: a b -> c\nend\n");
  CHECK(render({Severity::warning, {file, 15}, "net 'a' has no driver", "did you mean 'b'?", "undriven-net"},
               sources) ==
        "cabin.gates:2:9: warning: net 'a' has no driver\n"
        "   nor g: a b -> c\n"
        "          ^\n"
        "  hint: did you mean 'b'?\n");
  CHECK(render({Severity::note, {}, "nothing to do", "", ""}, sources) == "settle: note: nothing to do\n");
  // The end of the text.
  CHECK(shown("cell c\n", 7) == "a.gates:2:1: error: wrong\n");
  CHECK(shown("cell c", 6) == "a.gates:1:7: error: wrong\n  cell c\n        ^\n");
}

TEST_CASE("characters that would not be seen are made visible") {
  CHECK(shown("a\x1b[31m b", 7) == "a.gates:1:8: error: wrong\n  a\\x1b[31m b\n            ^\n");
  CHECK(shown("\xc3\xb6 \xff q", 5) == "a.gates:1:5: error: wrong\n  \xc3\xb6 \\xff q\n         ^\n");
  CHECK(shown("\xe2\x80\xae q", 4) == "a.gates:1:3: error: wrong\n  \\u202e q\n         ^\n");
  Sources sources;
  CHECK(render({Severity::error, {}, "no '\n\x7f'", "", ""}, sources) == "settle: error: no '\\x0a\\x7f'\n");
}

TEST_CASE("long lines are cut around the place") {
  const std::string a(80, 'a');
  const std::string b(300, 'b');
  CHECK(shown(a, 79) == "a.gates:1:80: error: wrong\n  " + a + "\n  " + std::string(79, ' ') + "^\n");
  CHECK(shown(b, 0) == "a.gates:1:1: error: wrong\n  " + std::string(100, 'b') + "...\n  ^\n");
  CHECK(shown(b + "!" + b, 300) == "a.gates:1:301: error: wrong\n  ..." + std::string(50, 'b') + "!" +
                                       std::string(49, 'b') + "...\n  " + std::string(53, ' ') + "^\n");
  CHECK(shown(b, 299) == "a.gates:1:300: error: wrong\n  ..." + std::string(51, 'b') + "\n  " +
                             std::string(53, ' ') + "^\n");
}

TEST_CASE("errors beyond the limit are counted") {
  Sources sources;
  Diagnostics diagnostics(2);
  CHECK(!diagnostics.has_errors());
  diagnostics.error({}, "one");
  diagnostics.warning({}, "odd", "careful");
  CHECK(!diagnostics.is_full());
  diagnostics.error({}, "two", "do this");
  diagnostics.error({}, "three");
  CHECK(diagnostics.is_full());
  CHECK(diagnostics.error_count() == 3);
  CHECK(diagnostics.warning_count() == 1);
  CHECK(render(diagnostics, sources) ==
        "settle: error: one\nsettle: warning: careful\nsettle: error: two\n  hint: do this\n"
        "3 errors, 1 more not shown; --limit-errors shows more\n");
  diagnostics.clear();
  CHECK(render(diagnostics, sources) == "");
  CHECK(!diagnostics.has_errors());
}

TEST_CASE("the nearest name") {
  constexpr std::array<std::string_view, 6> names = {"enter", "leave", "occupied", "clear", "nand", "q"};
  CHECK(nearest_name("entre", names) == "enter");
  CHECK(nearest_name("ocupied", names) == "occupied");
  CHECK(nearest_name("occuppiedd", names) == "occupied");
  CHECK(nearest_name("nadn", names) == "nand");
  CHECK(nearest_name("NAND", names) == "nand");
  CHECK(nearest_name("Q", names) == "q");
  CHECK(nearest_name("x", names) == "");
  CHECK(nearest_name("lever", names) == "");
  CHECK(nearest_name("", names) == "");
  CHECK(nearest_name(std::string(1000, 'q'), names) == "");
  CHECK(nearest_name("enter", {}) == "");
}
