#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

#include "settle/stimulus.h"
#include "support/catch.h"
#include "support/memory_files.h"
#include "text/net_name.h"
#include "text/time_literal.h"
#include "text/value_literal.h"

namespace settle {
namespace {

using Kind = StimulusStatement::Kind;

std::string errors_of(std::string_view text, Stimulus& stimulus) {
  testing::MemoryFiles files;
  files.put("cabin.stim", std::string(text));
  Sources sources;
  Diagnostics diagnostics;
  stimulus = parse_stimulus("cabin.stim", files, sources, diagnostics);
  return render(diagnostics, sources);
}

Stimulus parsed(std::string_view text) {
  Stimulus stimulus;
  CHECK(errors_of(text, stimulus).empty());
  return stimulus;
}

std::string text_of(Duration duration) { return to_text(duration.count, duration.unit); }

std::string text_of(const std::vector<Assignment>& assignments) {
  std::string text;
  for (const Assignment& assignment : assignments) text += " " + assignment.net + "=" + assignment.value.bits;
  return text;
}

/// A stimulus as one string, so that a test can compare it whole.
std::string text_of(const Stimulus& stimulus) {
  std::string text;
  for (const StimulusStatement& s : stimulus.statements) {
    if (!text.empty()) text += "; ";
    switch (s.kind) {
      case Kind::set: text += "set" + text_of(s.assignments); break;
      case Kind::wait: text += "wait " + text_of(s.duration); break;
      case Kind::settle: text += "settle"; break;
      case Kind::observe: text += "observe" + text_of(s.assignments); break;
      case Kind::expect: text += "expect" + text_of(s.assignments); break;
      case Kind::expect_for: text += "expect" + text_of(s.assignments) + " for " + text_of(s.duration); break;
      case Kind::expect_changes:
        text += "expect " + s.net + " changes " + std::to_string(s.count) + " since " + text_of(s.since);
        break;
      case Kind::expect_time: text += "expect " + s.word + " " + s.net + " " + s.other_net; break;
      case Kind::expect_warning: text += "expect warning " + s.word; break;
      case Kind::pulse: text += "pulse" + text_of(s.assignments) + " for " + text_of(s.duration); break;
      case Kind::repeat:
        text += "repeat " + std::to_string(s.count) + " up to " + std::to_string(s.body_end);
        break;
      case Kind::clock:
        text += "clock " + s.net + " period " + text_of(s.period) + " high " + text_of(s.high);
        if (s.has_until) text += " until " + text_of(s.until);
        break;
      case Kind::bounce:
        text += "bounce" + text_of(s.assignments) + " edges " + std::to_string(s.count) + " within " +
                text_of(s.duration) + " seed " + std::to_string(s.seed);
        break;
      case Kind::at: text += "at " + text_of(s.duration); break;
    }
  }
  return text;
}

std::string read(std::string_view text) { return text_of(parsed(text)); }

std::string bits(std::string_view word) {
  ValueLiteral value;
  const auto error = read_value(word, value);
  return error ? "error: " + error->text : value.bits;
}

std::string fit(std::string_view word, std::uint32_t width) {
  ValueLiteral value;
  if (read_value(word, value)) return "error";
  return fitted(value, width).value_or("too wide");
}

}  // namespace

TEST_CASE("every statement is read") {
  CHECK(read("set lever=0 read = 1") == "set lever=0 read=1");
  CHECK(read("set route[7:4]=0b1x0z route[3]=x bit[2].keep.occupied=z") ==
        "set route[7:4]=1x0z route[3]=x bit[2].keep.occupied=z");
  CHECK(read("wait") == "wait 1");
  CHECK(read("wait 0") == "wait 0");
  CHECK(read("wait 6") == "wait 6");
  CHECK(read("wait 20ns; wait 20 ns") == "wait 20 ns; wait 20 ns");
  CHECK(read("wait 18446744073709551615") == "wait 18446744073709551615");
  CHECK(read("settle") == "settle");
  CHECK(read("expect seen=x seen_n=1") == "expect seen=x seen_n=1");
  CHECK(read("expect seen=1 for 20 us") == "expect seen=1 for 20 us");
  CHECK(read("expect seen changes 1 since 500") == "expect seen changes 1 since 500");
  CHECK(read("expect route[3] changes 0") == "expect route[3] changes 0 since 0");
  CHECK(read("pulse read=1 lever=0 for 4") == "pulse read=1 lever=0 for 4");
  CHECK(read("clock tick period 20 high 10") == "clock tick period 20 high 10");
  CHECK(read("clock tick period 1us high 999 ns until 4 ms") ==
        "clock tick period 1 us high 999 ns until 4 ms");
  CHECK(read("bounce enter=1 edges 5 within 4") == "bounce enter=1 edges 5 within 4 seed 1");
  CHECK(read("bounce enter=0 edges 1 within 0 seed 3") == "bounce enter=0 edges 1 within 0 seed 3");
  CHECK(read("at 500 set read=1") == "at 500; set read=1");
  CHECK(read("at 500") == "at 500");
  CHECK(read("at 5 at 6 settle ; wait 3") == "at 5; at 6; settle; wait 3");
}

TEST_CASE("every kind of warning can be expected") {
  for (const std::string_view word : warning_words) {
    CHECK(read("expect warning " + std::string(word)) == "expect warning " + std::string(word));
  }
}

TEST_CASE("repeats nest and hold their bodies in place") {
  CHECK(read("repeat 3\n  set lever=1 ; wait 2\n  repeat 2 ; settle ; end\nend\nwait 1") ==
        "repeat 3 up to 5; set lever=1; wait 2; repeat 2 up to 5; settle; wait 1");
  CHECK(read("repeat 1000000000 ; end") == "repeat 1000000000 up to 1");
  CHECK(read("at 5 repeat 2 ; settle ; at 9 end ; wait 3") == "at 5; repeat 2 up to 4; settle; at 9; wait 3");
}

TEST_CASE("nesting is limited by memory only") {
  constexpr std::size_t depth = 20'000;
  std::string text;
  for (std::size_t i = 0; i < depth; ++i) text += "repeat 2\n";
  text += "settle\n";
  for (std::size_t i = 0; i < depth; ++i) text += "end\n";
  const Stimulus stimulus = parsed(text);
  REQUIRE(stimulus.statements.size() == depth + 1);
  CHECK(stimulus.statements[0].body_end == depth + 1);
  CHECK(stimulus.statements[depth - 1].body_end == depth + 1);
}

TEST_CASE("the head says what is run and how it starts") {
  const Stimulus stimulus = parsed(
      "cell lever_latch\nnetlist \"a cabin/latches.gates\"\npower-up random seed 7\nunit 5 ns\n"
      "wait\nwait 3 ps\nwait 2");
  CHECK(stimulus.cell == "lever_latch");
  CHECK(stimulus.cell_offset == 5);
  CHECK(stimulus.netlist == "a cabin/latches.gates");
  CHECK(stimulus.power_up.kind == PowerUp::Kind::random);
  CHECK(stimulus.power_up.seed == 7);
  CHECK(text_of(stimulus.unit) == "5 ns");
  CHECK(text_of(stimulus) == "wait 5 ns; wait 3 ps; wait 2");
  CHECK(stimulus.finest_unit == TimeUnit::ps);
}

TEST_CASE("without a head the circuit starts unknown and a bare wait is one tick") {
  const Stimulus stimulus = parsed("");
  CHECK(stimulus.file == 0);
  CHECK(stimulus.cell.empty());
  CHECK(stimulus.netlist.empty());
  CHECK(stimulus.power_up.kind == PowerUp::Kind::unknown);
  CHECK(text_of(stimulus.unit) == "1");
  CHECK(stimulus.finest_unit == TimeUnit::none);
  CHECK(stimulus.statements.empty());
}

TEST_CASE("every way to power up is read") {
  CHECK(parsed("power-up unknown").power_up.kind == PowerUp::Kind::unknown);
  CHECK(parsed("power-up every").power_up.kind == PowerUp::Kind::every);
  CHECK(parsed("power-up random").power_up.seed == 1);
  const PowerUp chosen = parsed("power-up seen=1 seen_n=0").power_up;
  CHECK(chosen.kind == PowerUp::Kind::chosen);
  CHECK(text_of(chosen.values) == " seen=1 seen_n=0");
}

TEST_CASE("nets may be called like the words of the language") {
  CHECK(read("set set=1 for=0 wait=1 end=0") == "set set=1 for=0 wait=1 end=0");
  CHECK(read("expect for=1 warning=0 for 5") == "expect for=1 warning=0 for 5");
  CHECK(read("expect warning=1") == "expect warning=1");
  CHECK(read("expect warning changes 2") == "expect warning changes 2 since 0");
  CHECK(read("expect changes changes 2") == "expect changes changes 2 since 0");
  CHECK(text_of(parsed("power-up random=1 every=0").power_up.values) == " random=1 every=0");
  CHECK(read("clock period period 20 high 10") == "clock period period 20 high 10");
}

TEST_CASE("layout is free") {
  CHECK(read("# nothing but comments\n\n ;; ; # ; wait\n").empty());
  CHECK(read("\xef\xbb\xbfset lever=1\r\nwait 2 # two\r\n\tsettle") == "set lever=1; wait 2; settle");
  CHECK(read("set lever=1 \\\n  read=0\\\r\n\nsettle \\") == "set lever=1 read=0; settle");
  CHECK(read("settle # no continuation \\\nsettle") == "settle; settle");
  CHECK(read("wait 2;wait 3;") == "wait 2; wait 3");
  CHECK(read("# gr\xc3\xbc\xc3\x9f dich \xff\nsettle") == "settle");
}

TEST_CASE("what can be understood is read in spite of errors") {
  Stimulus stimulus;
  CHECK(!errors_of("set lever\nwait 2\nrepeat x\nexpect a=1 ; foo ; settle\nend\nwait 3", stimulus).empty());
  CHECK(text_of(stimulus) == "wait 2; repeat 1 up to 4; expect a=1; settle; wait 3");
}

TEST_CASE("statements know their places") {
  const std::string text =
      "wait\n  expect a=1 bus[3]=0xB for 20\nclock t period 9 high 4 until 7\n"
      "expect q changes 2 since 8\nexpect warning skew";
  const Stimulus stimulus = parsed(text);
  const auto at = [&](std::uint32_t offset, std::string_view word) {
    return std::string_view(text).substr(offset, word.size()) == word;
  };
  REQUIRE(stimulus.statements.size() == 5);
  const StimulusStatement& expect = stimulus.statements[1];
  CHECK(at(stimulus.statements[0].duration_offset, "wait"));
  CHECK(at(expect.offset, "expect a"));
  CHECK(expect.length == 6);
  CHECK(at(expect.assignments[1].offset, "bus[3]"));
  CHECK(expect.assignments[1].length == 6);
  CHECK(at(expect.assignments[1].value.offset, "0xB"));
  CHECK(expect.assignments[1].value.length == 3);
  CHECK(at(expect.duration_offset, "20"));
  const StimulusStatement& clock = stimulus.statements[2];
  CHECK(at(clock.net_offset, "t period"));
  CHECK(clock.net_length == 1);
  CHECK(at(clock.period_offset, "9 "));
  CHECK(at(clock.high_offset, "4 "));
  CHECK(at(clock.until_offset, "7\n"));
  CHECK(at(stimulus.statements[3].net_offset, "q "));
  CHECK(at(stimulus.statements[3].since_offset, "8\n"));
  CHECK(at(stimulus.statements[4].word_offset, "skew"));
}

TEST_CASE("values are read in every form") {
  CHECK(bits("0") == "0");
  CHECK(bits("Z") == "z");
  CHECK(bits("0b1X_0z") == "1x0z");
  CHECK(bits("0B001") == "001");
  CHECK(bits("0xB1") == "10110001");
  CHECK(bits("0x0_00f") == "1111");
  CHECK(bits("0x0") == "0");
  CHECK(bits("177") == "10110001");
  CHECK(bits("007") == "111");
  CHECK(bits("00") == "0");
  CHECK(bits("18446744073709551616") == "1" + std::string(64, '0'));
  CHECK(bits("1000000000") == "111011100110101100101000000000");
}

TEST_CASE("decimal values of any length agree with doubling by hand") {
  std::string decimal = "1";  // 2^n, doubled digit by digit
  for (std::size_t n = 0; n < 4096; ++n) {
    if (n % 97 == 0 || n > 4090) CHECK(bits(decimal) == "1" + std::string(n, '0'));
    std::string doubled;
    int carry = 0;
    for (std::size_t i = decimal.size(); i-- > 0;) {
      const int digit = 2 * (decimal[i] - '0') + carry;
      doubled.insert(doubled.begin(), static_cast<char>('0' + digit % 10));
      carry = digit / 10;
    }
    if (carry != 0) doubled.insert(doubled.begin(), '1');
    decimal = doubled;
  }
  CHECK(bits(decimal) == "error: this value has 4097 bits, and 4096 is the limit");
  CHECK(bits(std::string(1235, '9')) ==
        "error: this value has 1235 digits: more than 4096 bits, which is the limit");
  CHECK(bits(std::string(5000, '0') + "5") == "101");
}

TEST_CASE("binary and hexadecimal values have the same limit") {
  CHECK(bits("0b" + std::string(4096, 'x')).size() == 4096);
  CHECK(bits("0b" + std::string(4097, 'x')) == "error: this value has 4097 bits, and 4096 is the limit");
  CHECK(bits("0x" + std::string(1024, 'f')) == std::string(4096, '1'));
  CHECK(bits("0x1" + std::string(1024, '0')) == "error: this value has 4097 bits, and 4096 is the limit");
}

TEST_CASE("values are fitted to the width of a bus") {
  CHECK(fit("x", 4) == "xxxx");
  CHECK(fit("z", 2) == "zz");
  CHECK(fit("0bx", 4) == "000x");
  CHECK(fit("1", 4) == "0001");
  CHECK(fit("0", 4) == "0000");
  CHECK(fit("0b101", 8) == "00000101");
  CHECK(fit("0xB1", 8) == "10110001");
  CHECK(fit("177", 8) == "10110001");
  CHECK(fit("0x0B1", 8) == "10110001");
  CHECK(fit("0b00001", 4) == "0001");
  CHECK(fit("0b0x", 1) == "x");
  CHECK(fit("0bx0", 1) == "too wide");
  CHECK(fit("177", 7) == "too wide");
  CHECK(fit("2", 1) == "too wide");
}

TEST_CASE("a value knows the bits that it needs") {
  const auto needs = [](std::string_view word) {
    ValueLiteral value;
    REQUIRE(!read_value(word, value));
    return significant_bits(value);
  };
  CHECK(needs("0") == 1);
  CHECK(needs("0b0000") == 1);
  CHECK(needs("0b00x0") == 2);
  CHECK(needs("0xB1") == 8);
  CHECK(needs("256") == 9);
}

TEST_CASE("overlapping assignments are found") {
  const auto overlap = [](std::vector<std::string> nets) {
    std::vector<Assignment> assignments;
    for (std::string& net : nets) assignments.emplace_back().net = std::move(net);
    const auto found = first_overlap(assignments);
    return found ? std::to_string(found->earlier) + " " + std::to_string(found->later) : std::string();
  };
  CHECK(overlap({"a", "b", "c[0]", "c[1]", "c[7:2]"}).empty());
  CHECK(overlap({"a", "b", "a"}) == "0 2");
  CHECK(overlap({"a[0:7]", "b", "a[3]"}) == "0 2");
  CHECK(overlap({"a[3]", "b", "a"}) == "0 2");
  CHECK(overlap({"bit[3].q", "bit[2].q", "bit[3]"}).empty());
  CHECK(overlap({"a[9:0]", "a[2:1]", "a[4]"}) == "0 1");
  CHECK(overlap({"a[1]", "a[2]", "a[4:2]"}) == "1 2");
}

TEST_CASE("bits may be looked at twice in one expectation") {
  CHECK(read("expect route[7:4]=0b1011 route[6]=0 route=0xB1") ==
        "expect route[7:4]=1011 route[6]=0 route=10110001");
}

TEST_CASE("times in different units compare exactly") {
  using U = TimeUnit;
  CHECK(is_longer({2, U::ns}, {1999, U::ps}) == true);
  CHECK(is_longer({2, U::ns}, {2000, U::ps}) == false);
  CHECK(is_longer({2000, U::ps}, {2, U::ns}) == false);
  CHECK(is_longer({2001, U::ps}, {2, U::ns}) == true);
  CHECK(is_longer({end_of_time, U::s}, {end_of_time, U::fs}) == true);
  CHECK(is_longer({end_of_time, U::fs}, {end_of_time, U::s}) == false);
  CHECK(is_longer({end_of_time, U::fs}, {18446, U::s}) == true);
  CHECK(is_longer({end_of_time, U::fs}, {18447, U::s}) == false);
  CHECK(is_longer({3, U::none}, {2, U::none}) == true);
  CHECK(is_longer({3, U::none}, {2, U::ns}) == std::nullopt);
}

TEST_CASE("a long stimulus is read in one go") {
  std::string text;
  for (int i = 0; i < 100'000; ++i) text += "set lever=1 ; wait 2\n";
  CHECK(parsed(text).statements.size() == 200'000);
}

TEST_CASE("the examples of the stimulus page are stimuli") {
  std::ifstream file(SETTLE_SOURCE_DIR "/docs/stimulus.md", std::ios::binary);
  REQUIRE(file.good());
  const std::string page((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
  const std::string_view opener = "\n```stim\n";
  int examples = 0;
  for (std::size_t at = page.find(opener); at != std::string::npos; at = page.find(opener, at + 1)) {
    const std::size_t first = at + opener.size();
    const std::size_t end = page.find("\n```\n", first);
    REQUIRE(end != std::string::npos);
    const std::string example = page.substr(first, end - first);
    CAPTURE(example);
    Stimulus stimulus;
    CHECK(errors_of(example, stimulus).empty());
    ++examples;
  }
  CHECK(examples >= 15);
}

}  // namespace settle
