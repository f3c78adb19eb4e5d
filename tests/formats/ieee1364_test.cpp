// Structural text of IEEE 1364-2005, in and out.
#include "support/format_text.h"

namespace settle {
namespace {

using testing::read_text;

std::string hdl_dump(const std::string& text, const std::string& cell = {}) {
  const auto read = read_text("t.v", text, FlipFlopForm::six_nand, cell);
  INFO(read.messages);
  REQUIRE(read.circuit);
  CHECK(read.messages.empty());
  return read.circuit->dump();
}

std::string hdl_messages(const std::string& text) { return read_text("t.v", text).messages; }

TEST_CASE("Both header styles, comments, escaped names, implicit nets") {
  CHECK(hdl_dump("// one\nmodule m(a, y);\n input a; output y;\n /* two */ wire n;\n not g1(n, a);\n not g2(y, n);\nendmodule\n") ==
        "g1 not a -> n\ng2 not n -> y\n");
  CHECK(hdl_dump("module m(input a, output wire y);\n not (n1, a), (y, n1);\nendmodule\n") ==
        "not_1 not a -> n1\nnot_2 not n1 -> y\n");
  CHECK(hdl_dump("module m(input \\a[0] , output y);\n not \\g+1 (y, \\a[0] );\nendmodule\n") == "g_1 not a_0 -> y\n");
}

TEST_CASE("Instances by order and by name, arrays, buses, open outputs") {
  const std::string latch = "module pair(q, s, r, qn); input s, r; output q, qn; nor a(q, r, qn); nor b(qn, s, q); endmodule\n";
  CHECK(hdl_dump(latch + "module top(input s, r, output q); pair p(q, s, r); endmodule\n") ==
        "p.a nor r p.qn -> q\np.b nor s q -> p.qn\n");
  CHECK(hdl_dump(latch + "module top(input [1:0] s, input r, output [1:0] q);\n pair p[1:0](.q(q), .s(s), .r(r), .qn());\nendmodule\n") ==
        "p[1].a nor r p[1].qn -> q[1]\np[1].b nor s[1] q[1] -> p[1].qn\n"
        "p[0].a nor r p[0].qn -> q[0]\np[0].b nor s[0] q[0] -> p[0].qn\n");
  CHECK(hdl_dump("module m(input [1:0] a, output [1:0] y); wire [1:0] n; not g[1:0](n, a); buf h1(y[1], n[0]), h0(y[0], n[1]); endmodule\n") ==
        "g[1] not a[1] -> n[1]\ng[0] not a[0] -> n[0]\nh1 buf n[0] -> y[1]\nh0 buf n[1] -> y[0]\n");
}

TEST_CASE("Delays with time scale, min:typ:max, decimals; attributes") {
  const auto read = read_text("t.v", "`timescale 1ns / 100ps\nmodule m(input a, output y, z);\n nand #(1.5, 2) g(y, a, a);\n"
                                     " (* part = \"74HC04\" *) not #(1:2:3) h(z, a);\nendmodule\n");
  INFO(read.messages);
  REQUIRE(read.circuit);
  CHECK(read.circuit->time_unit() == TimeUnit::ps);
  CHECK(read.circuit->delay(0).rise == DelayTriple{1500, 1500, 1500});
  CHECK(read.circuit->delay(0).fall == DelayTriple{2000, 2000, 2000});
  CHECK(read.circuit->delay(1).fall == DelayTriple{1000, 2000, 3000});
  CHECK(read.tree.attributes[1].part == "74HC04");
}

TEST_CASE("Delays are rounded to the precision of the time scale") {
  const auto unit_and_delay = [](const std::string& scale, const std::string& delay) {
    const auto read = read_text("t.v", "`timescale " + scale + "\nmodule m(input a, output y); not #" + delay + " g(y, a); endmodule\n");
    INFO(read.messages);
    REQUIRE(read.circuit);
    return std::pair{read.circuit->time_unit(), read.circuit->delay(0).rise.typ};
  };
  CHECK(unit_and_delay("1ns/1ns", "1.5") == std::pair{TimeUnit::ns, std::uint64_t{2}});
  CHECK(unit_and_delay("1 ns / 100 ps // so fine", "1.27") == std::pair{TimeUnit::ps, std::uint64_t{1300}});
  CHECK(unit_and_delay("10ns/10ps", "0.3333") == std::pair{TimeUnit::ps, std::uint64_t{3330}});
  const auto told = [](const std::string& text) { return hdl_messages(text + "\nmodule m(input a, output y); not #0.4 g(y, a); endmodule\n"); };
  CHECK(told("`timescale 1ns/10ns").find("1:1: error: this is no time scale") != std::string::npos);
  CHECK(told("`timescale 1ns/1ns").find("2:34: error: this delay rounds to 0") != std::string::npos);
  CHECK(hdl_messages("module s(input a, output y); not #2 (y, a); endmodule\n`timescale 1ns/1ns\n"
                     "module m(input a, output y); wire n; not #1 g(n, a); s u(n, y); endmodule\n")
            .find("1:34: error: this delay has no time scale") != std::string::npos);
}

TEST_CASE("Parts of buses run as declared; bits in braces may run either way") {
  const std::string head = "module m(input [2:1] a, output [1:0] y); buf g[1:0](";
  const std::string turned = hdl_dump(head + "y, {a[1], a[2]}); endmodule\n");
  CHECK(turned == "g[1] buf a[1] -> y[1]\ng[0] buf a[2] -> y[0]\n");
  CHECK(hdl_dump(head + "{y[0], y[1]}, a[2:1]); endmodule\n") == "g[1] buf a[2] -> y[0]\ng[0] buf a[1] -> y[1]\n");
  CHECK(hdl_messages(head + "y, a[1:2]); endmodule\n").find("error: 'a[1:2]' runs against 'a[2:1]'") != std::string::npos);
  for (const auto* list : {"{a[1], y[0]}", "{a[1], a[3]}", "{a[1], a[2], a[1]}", "{a[2:1]}", "{2{a[1]}}"}) {
    INFO(list);
    CHECK(hdl_messages(head + "y, " + list + "); endmodule\n").find("error: a concatenation") != std::string::npos);
  }
}

TEST_CASE("Directives that change what a text says are obeyed or refused") {
  const std::string text = "module m(input a, output y); not g(y, n), h(n, a); endmodule\n";
  const std::string told = "2:39: error: net 'n' is not declared";
  CHECK(hdl_messages("`default_nettype none // please\n" + text).find(told) != std::string::npos);
  CHECK(hdl_messages("`default_nettype none\nmodule m(a, y); input a; output y; wire n; not g(y, n), h(n, a); endmodule\n").empty());
  CHECK(hdl_messages("`default_nettype none\n`default_nettype wire\n" + text).empty());
  CHECK(hdl_messages("`default_nettype none\n`resetall\n" + text).empty());
  CHECK(hdl_messages("`default_nettype wand\n" + text).find("'wand', a wired-logic net, is outside") != std::string::npos);
  CHECK(hdl_messages("`unconnected_drive pull1\n" + text).find("is outside") != std::string::npos);
}

TEST_CASE("Supplies, constants and assigns") {
  CHECK(hdl_dump("module m(input a, output y); supply1 vdd; nand g(y, a, vdd, 1'b1); endmodule\n") == "g nand a 1 1 -> y\n");
  for (const char* driven : {"pullup p(w);", "buf h(w, a);", "assign w = a;", "k u(.a(a), .y(w));"}) {
    CAPTURE(driven);
    CHECK(hdl_messages(std::string("module k(input a, output y); buf g(y, a); endmodule\nmodule m(input a, output y); supply1 w; ") + driven +
                       " buf g(y, a); endmodule\n")
              .find("'w' is driven, but has the fixed level 1 already") != std::string::npos);
  }
  CHECK(hdl_messages("module m(input a, output y); supply1 w; buf g(y, w[2]); endmodule\n").find("'w' is one bit") != std::string::npos);
  // An inner net is joined without a gate, whichever side it stands on.
  CHECK(hdl_dump("module m(input a, output y); wire n, k; assign n = a; not g(k, n); assign y = k; endmodule\n") == "g not a -> y\n");
  // Two ports need a gate between them.
  CHECK(hdl_dump("module m(input a, output y); assign y = a; endmodule\n") == "assign_1 buf a -> y\n");
  CHECK(hdl_dump("module m(input [1:0] a, output [1:0] y); assign y = a; endmodule\n") ==
        "assign_1[1] buf a[1] -> y[1]\nassign_1[0] buf a[0] -> y[0]\n");
  CHECK(hdl_messages("module m(input a, output y); wire p, q; assign p = q; assign q = p; and g(y, a, p); endmodule\n")
            .find("net 'q' is assigned to itself") != std::string::npos);
}

TEST_CASE("The order of assigns does not matter") {
  const auto module = [](const std::string& one, const std::string& two) {
    return "module m(input a, output k, y, z); wire n; not g(z, n); buf h(k, a); " + one + two + "endmodule\n";
  };
  for (const std::string source : {"a", "1'b1", "k"}) {
    INFO(source);
    const std::string first = "assign y = n; ", second = "assign n = " + source + "; ";
    CHECK(hdl_dump(module(first, second)) == hdl_dump(module(second, first)));
  }
  CHECK(hdl_dump(module("assign y = n; ", "assign n = a; ")) == "g not a -> z\nh buf a -> k\nassign_1 buf a -> y\n");
  for (const auto* text : {"assign y = n; assign n = y; ", "assign n = y; assign y = n; "}) {
    CHECK(hdl_messages(module(text, "")).find("is assigned to itself") != std::string::npos);
  }
}

TEST_CASE("Hints about nets hold no statement of another language") {
  CHECK(hdl_messages("module m(input a, output y, z); wire w; not g(w, a), h(y, v), k(v, v); endmodule\n") ==
        "t.v:1:29: warning: nothing drives output 'z'\n  module m(input a, output y, z); wire w; not g(w, a), h(y, v), k(v, v); endmodule\n"
        "                              ^\n"
        "t.v:1:47: warning: nothing reads net 'w'\n  module m(input a, output y, z); wire w; not g(w, a), h(y, v), k(v, v); endmodule\n"
        "                                                ^\n");
}

TEST_CASE("buf and not with several outputs become several gates") {
  CHECK(hdl_dump("module m(input a, output x, y); not g(x, y, a); endmodule\n") == "g not a -> x\ng_part_2 not a -> y\n");
}

TEST_CASE("Three-state gates and pulls") {
  CHECK(hdl_dump("module m(input a, e, output tri y); bufif1 g(y, a, e); pullup p(y); endmodule\n") ==
        "g bufif1 a e -> y\np pullup -> y\n");
}

TEST_CASE("What is outside the subset is named with its clause") {
  struct Row {
    const char* item;
    const char* message;
  };
  for (const Row& row : {
           Row{"always @(a) y = a;", "error: 'always', a procedure, is outside the structural subset (IEEE 1364-2005, clause 9.9)"},
           Row{"initial begin y = 0; y = 1; end", "error: 'initial', a procedure, is outside"},
           Row{"reg r;", "error: 'reg', a variable, is outside"},
           Row{"parameter N = 3;", "clause 4.10)"},
           Row{"not g(y, a & b);", "error: an expression ('&') is outside the structural subset (IEEE 1364-2005, clause 5)"},
           Row{"not g(y, {a, b});", "error: a concatenation is outside"},
           Row{"assign y = ~a;", "error: an expression ('~') is outside"},
           Row{"not (strong0, strong1) g(y, a);", "error: a drive strength is outside"},
           Row{"bufif1 #(1, 2, 3) g(y, a, a);", "error: a turn-off delay of its own is outside"},
           Row{"nmos g(y, a, a);", "error: 'nmos', a switch, is outside"},
           Row{"wand w;", "error: 'wand', a wired-logic net, is outside"},
           Row{"specify (a => y) = 3; endspecify", "error: 'specify', a specify block, is outside"},
           Row{"not g(y, m.a);", "error: a hierarchical name, 'm.', is outside"},
           Row{"not #0 g(y, a);", "error: a gate without delay cannot be simulated here"},
       }) {
    INFO(row.item);
    const std::string messages = hdl_messages(std::string("module m(input a, b, output y);\n ") + row.item + "\n not h(y, a);\nendmodule\n");
    CHECK(messages.find("t.v:2:") == 0);
    CHECK(messages.find(row.message) != std::string::npos);
    CHECK(messages.find("error:", messages.find("error:") + 1) == std::string::npos);  // told once
  }
}

TEST_CASE("Errors of structure have place, text and hint") {
  CHECK(hdl_messages("module a(input x, output y); not g(y, x); endmodule\nmodule m(input x, output y); b u(.x(x), .y(y)); endmodule\n") ==
        "t.v:2:32: error: there is no module 'b' in this file\n  module m(input x, output y); b u(.x(x), .y(y)); endmodule\n" +
            std::string(33, ' ') + "^\n");
  CHECK(hdl_messages("module a(input xin, output y); not g(y, xin); endmodule\nmodule m(input x, output y); a u(.xni(x), .y(y)); endmodule\n")
            .find("module 'a' has no port 'xni'") != std::string::npos);
  CHECK(hdl_messages("module m(input a, output y); not g(y, a)\nendmodule\n").find("expected ';' after the gate, not 'endmodule'") != std::string::npos);
  CHECK(hdl_messages("module m(a, y); input a; not g(y, a); endmodule\n").find("port 'y' has no direction") != std::string::npos);
  CHECK(hdl_messages("module m(input a, output y); not g(y, a);\n").find("module 'm' has no end") != std::string::npos);
  CHECK(hdl_messages("/* no end").find("this comment has no end") != std::string::npos);
  CHECK(hdl_messages("module m(input [4294967295:0] a, output y); endmodule").find("more than the limit") != std::string::npos);
  CHECK(hdl_messages("").find("there is no module in this file") != std::string::npos);
}

}  // namespace
}  // namespace settle
