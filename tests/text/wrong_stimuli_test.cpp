// Every kind of mistake in a stimulus, with the whole message that it brings.
#include <string>
#include <string_view>

#include "settle/stimulus.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle {
namespace {

struct WrongStimulus {
  std::string_view text;
  std::string_view messages;  // after a line end
};

// clang-format off
constexpr WrongStimulus wrong_stimuli[] = {
    {"sett a=1",
     R"(
cabin.stim:1:1: error: 'sett' is not a statement
  sett a=1
  ^
  hint: did you mean 'set'?
)"},
    {"Wait 5",
     R"(
cabin.stim:1:1: error: 'Wait' is not a statement
  Wait 5
  ^
  hint: did you mean 'wait'?
)"},
    {"frobnicate 5",
     R"(
cabin.stim:1:1: error: 'frobnicate' is not a statement
  frobnicate 5
  ^
  hint: statements are cell, netlist, power-up, unit, set, wait, settle, expect, pulse, repeat, end, clock, bounce, at, observe
)"},
    {"power up",
     R"(
cabin.stim:1:1: error: 'power' is not a statement
  power up
  ^
  hint: statements are cell, netlist, power-up, unit, set, wait, settle, expect, pulse, repeat, end, clock, bounce, at, observe
)"},
    {"a=1",
     R"(
cabin.stim:1:1: error: 'a' is not a statement
  a=1
  ^
  hint: to change an input write: set a=...
)"},
    {"\"a\"=1",
     R"(
cabin.stim:1:1: error: a statement starts with a word
  "a"=1
  ^
)"},
    {"= 1",
     R"(
cabin.stim:1:1: error: a statement starts with a word
  = 1
  ^
)"},
    {"cel lever_latch",
     R"(
cabin.stim:1:1: error: 'cel' is not a statement
  cel lever_latch
  ^
  hint: did you mean 'cell'?
)"},
    {"wait 5 set a=1",
     R"(
cabin.stim:1:8: error: unexpected 'set'
  wait 5 set a=1
         ^
  hint: statements are separated by ';' or line ends
)"},
    {"settle 20",
     R"(
cabin.stim:1:8: error: unexpected '20'
  settle 20
         ^
  hint: write: settle
)"},
    {"set",
     R"(
cabin.stim:1:4: error: NET=VALUE is missing
  set
     ^
  hint: write: set NET=VALUE ...
)"},
    {"set a",
     R"(
cabin.stim:1:5: error: 'a' has no value
  set a
      ^
  hint: write: a=1
)"},
    {"set a b=1",
     R"(
cabin.stim:1:5: error: 'a' has no value
  set a b=1
      ^
  hint: write: a=1
)"},
    {"set a=",
     R"(
cabin.stim:1:7: error: the value of 'a' is missing
  set a=
        ^
)"},
    {"set a= b=1",
     R"(
cabin.stim:1:7: error: the value of 'a' is missing
  set a= b=1
        ^
)"},
    {"set =1",
     R"(
cabin.stim:1:5: error: the net before '=' is missing
  set =1
      ^
)"},
    {"set a==1",
     R"(
cabin.stim:1:7: error: unexpected '='
  set a==1
        ^
  hint: an assignment and an expectation have a single '='
)"},
    {"set a=\"1\"",
     R"(
cabin.stim:1:7: error: values are written without quotes
  set a="1"
        ^
)"},
    {"set a=1, b=0",
     R"(
cabin.stim:1:8: error: unexpected ','
  set a=1, b=0
         ^
  hint: separate assignments by blanks
)"},
    {"set a=2.5",
     R"(
cabin.stim:1:7: error: '2.5' is not a value: nets have no fractions
  set a=2.5
        ^
  hint: values are 0, 1, x, z, binary 0b1x0z, hexadecimal 0xB1 or decimal 177
)"},
    {"set a=-1",
     R"(
cabin.stim:1:7: error: '-1' is not a value: values have no sign
  set a=-1
        ^
  hint: for a two's complement number on a bus write its bits, after 0b
)"},
    {"set a=10x1",
     R"(
cabin.stim:1:7: error: '10x1' is not a value
  set a=10x1
        ^
  hint: write binary digits as 0b10x1
)"},
    {"set a=zz",
     R"(
cabin.stim:1:7: error: 'zz' is not a value
  set a=zz
        ^
  hint: write binary digits as 0bzz
)"},
    {"set a=high",
     R"(
cabin.stim:1:7: error: 'high' is not a value
  set a=high
        ^
  hint: values are 0, 1, x, z, binary 0b1x0z, hexadecimal 0xB1 or decimal 177
)"},
    {"set a=0b102",
     R"(
cabin.stim:1:11: error: '2' is not a binary digit
  set a=0b102
            ^
  hint: the digits after 0b are 0, 1, x and z
)"},
    {"set a=0b",
     R"(
cabin.stim:1:7: error: '0b' has no digits
  set a=0b
        ^
)"},
    {"set a=0x",
     R"(
cabin.stim:1:7: error: '0x' has no digits
  set a=0x
        ^
  hint: for bits 0 and x write 0b0x
)"},
    {"set a=0xx1",
     R"(
cabin.stim:1:9: error: 'x' is not a hexadecimal digit
  set a=0xx1
          ^
  hint: write x and z digits in binary, after 0b
)"},
    {"set a=0xG1",
     R"(
cabin.stim:1:9: error: 'G' is not a hexadecimal digit
  set a=0xG1
          ^
)"},
    {"set a=0b_1",
     R"(
cabin.stim:1:9: error: '_' stands between two digits only
  set a=0b_1
          ^
)"},
    {"set a=0b1_",
     R"(
cabin.stim:1:10: error: '_' stands between two digits only
  set a=0b1_
           ^
)"},
    {"set a=1_000",
     R"(
cabin.stim:1:7: error: '1_000' is not a value
  set a=1_000
        ^
  hint: '_' can separate digits after 0b and 0x only
)"},
    {"set a=1 a=0",
     R"(
cabin.stim:1:9: error: 'a' is set twice in one statement
  set a=1 a=0
          ^
)"},
    {"set route[7:4]=0 route[5]=1",
     R"(
cabin.stim:1:18: error: 'route[5]' is set twice in one statement
  set route[7:4]=0 route[5]=1
                   ^
  hint: 'route[7:4]' has bits of it, too
)"},
    {"set route[2]=0 b=1 route=0xB1",
     R"(
cabin.stim:1:20: error: 'route' is set twice in one statement
  set route[2]=0 b=1 route=0xB1
                     ^
  hint: 'route[2]' has bits of it, too
)"},
    {"set 3a=1",
     R"(
cabin.stim:1:5: error: '3a' is not a name: it has '3' where a letter should be
  set 3a=1
      ^
)"},
    {"set a..b=1",
     R"(
cabin.stim:1:7: error: a part of the name 'a..b' is empty
  set a..b=1
        ^
  hint: the parts are separated by single dots
)"},
    {"set a.=1",
     R"(
cabin.stim:1:6: error: a part of the name 'a.' is empty
  set a.=1
       ^
  hint: the parts are separated by single dots
)"},
    {"set a[=1",
     R"(
cabin.stim:1:7: error: a bit number is missing in 'a['
  set a[=1
        ^
  hint: bits are written [3] or [7:4]
)"},
    {"set a[]=1",
     R"(
cabin.stim:1:7: error: a bit number is missing in 'a[]'
  set a[]=1
        ^
  hint: bits are written [3] or [7:4]
)"},
    {"set a[3=1",
     R"(
cabin.stim:1:6: error: '[' is not closed in 'a[3'
  set a[3=1
       ^
)"},
    {"set a[3;wait",
     R"(
cabin.stim:1:6: error: '[' is not closed in 'a[3'
  set a[3;wait
       ^
)"},
    {"set a[x]=1",
     R"(
cabin.stim:1:7: error: a bit number is missing in 'a[x]'
  set a[x]=1
        ^
  hint: bits are written [3] or [7:4]
)"},
    {"set a[7:4].b=1",
     R"(
cabin.stim:1:6: error: a range of bits is possible at the end of a name only, not in 'a[7:4].b'
  set a[7:4].b=1
       ^
)"},
    {"set a[99999999999]=1",
     R"(
cabin.stim:1:7: error: this bit number is too large
  set a[99999999999]=1
        ^
)"},
    {"set a-b=1",
     R"(
cabin.stim:1:6: error: '-' is not possible in the name 'a-b'
  set a-b=1
       ^
)"},
    {"set gr\303\266\303\237e=1",
     R"(
cabin.stim:1:7: error: 'ö' is not possible in the name 'größe'
  set größe=1
        ^
)"},
    {"set a=1 for 5",
     R"(
cabin.stim:1:9: error: unexpected 'for'
  set a=1 for 5
          ^
  hint: write: set NET=VALUE ...
)"},
    {"set a=1 wait 5",
     R"(
cabin.stim:1:9: error: 'wait' has no value
  set a=1 wait 5
          ^
  hint: statements are separated by ';' or line ends
)"},
    {"wait -5",
     R"(
cabin.stim:1:6: error: '-5' is negative
  wait -5
       ^
  hint: time goes forward only: write 0 or more
)"},
    {"wait 2.5 ns",
     R"(
cabin.stim:1:6: error: '2.5' is not a whole number
  wait 2.5 ns
       ^
  hint: use a finer unit: 2500 ps
)"},
    {"wait 2.5",
     R"(
cabin.stim:1:6: error: '2.5' is not a whole number
  wait 2.5
       ^
  hint: times are whole numbers; use a finer unit
)"},
    {"wait 0.0001us",
     R"(
cabin.stim:1:6: error: '0.0001us' is not a whole number
  wait 0.0001us
       ^
  hint: times are whole numbers; use a finer unit
)"},
    {"wait 20xs",
     R"(
cabin.stim:1:8: error: 'xs' is not a unit of time
  wait 20xs
         ^
  hint: units are fs, ps, ns, us, ms and s
)"},
    {"wait 20 \302\265s",
     R"(
cabin.stim:1:9: error: 'µs' is not a unit of time
  wait 20 µs
          ^
  hint: write 'us' for microseconds
)"},
    {"wait 20 NS",
     R"(
cabin.stim:1:9: error: 'NS' is not a unit of time
  wait 20 NS
          ^
  hint: did you mean 'ns'?
)"},
    {"wait ten",
     R"(
cabin.stim:1:6: error: 'ten' is not a time
  wait ten
       ^
  hint: a time is a whole number, with or without a unit: 20 or 20 ns
)"},
    {"wait 99999999999999999999",
     R"(
cabin.stim:1:6: error: '99999999999999999999' is too large: 18446744073709551615 is the most
  wait 99999999999999999999
       ^
)"},
    {"wait 1e9",
     R"(
cabin.stim:1:7: error: 'e9' is not a unit of time
  wait 1e9
        ^
  hint: units are fs, ps, ns, us, ms and s
)"},
    {"at",
     R"(
cabin.stim:1:3: error: a time is missing
  at
    ^
  hint: write: at TIME [STATEMENT]
)"},
    {"at -1 settle",
     R"(
cabin.stim:1:4: error: '-1' is negative
  at -1 settle
     ^
  hint: time goes forward only: write 0 or more
)"},
    {"at 5 set a",
     R"(
cabin.stim:1:10: error: 'a' has no value
  at 5 set a
           ^
  hint: write: a=1
)"},
    {"at 5 set a=1 wait 3",
     R"(
cabin.stim:1:14: error: 'wait' has no value
  at 5 set a=1 wait 3
               ^
  hint: statements are separated by ';' or line ends
)"},
    {"expect",
     R"(
cabin.stim:1:7: error: NET=VALUE is missing
  expect
        ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect a",
     R"(
cabin.stim:1:8: error: 'a' has no value
  expect a
         ^
  hint: write: a=1
)"},
    {"expect a=1 for",
     R"(
cabin.stim:1:15: error: a time is missing
  expect a=1 for
                ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect a=1 for 0",
     R"(
cabin.stim:1:16: error: 'for' needs a time above 0
  expect a=1 for 0
                 ^
  hint: to look at this instant only, leave 'for' out
)"},
    {"expect a=1 for 5 6",
     R"(
cabin.stim:1:18: error: unexpected '6'
  expect a=1 for 5 6
                   ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect a changes",
     R"(
cabin.stim:1:17: error: the number of changes is missing
  expect a changes
                  ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect a changes x since 5",
     R"(
cabin.stim:1:18: error: the number of changes must be written in digits, not 'x'
  expect a changes x since 5
                   ^
)"},
    {"expect a changes 1 since",
     R"(
cabin.stim:1:25: error: a time is missing
  expect a changes 1 since
                          ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect a changes 1 sinse 4",
     R"(
cabin.stim:1:20: error: unexpected 'sinse'
  expect a changes 1 sinse 4
                     ^
  hint: did you mean 'since'?
)"},
    {"expect warning",
     R"(
cabin.stim:1:15: error: the kind of warning is missing
  expect warning
                ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"expect warning metastable",
     R"(
cabin.stim:1:16: error: 'metastable' is not a kind of warning
  expect warning metastable
                 ^
  hint: kinds are delay-dependent, indeterminate, oscillation, hazard, contention, unsettled-change, not-settled, unjudged, skew
)"},
    {"expect warning oscilation",
     R"(
cabin.stim:1:16: error: 'oscilation' is not a kind of warning
  expect warning oscilation
                 ^
  hint: did you mean 'oscillation'?
)"},
    {"expect warning hazard 5",
     R"(
cabin.stim:1:23: error: unexpected '5'
  expect warning hazard 5
                        ^
  hint: write: expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND | delay NET -> NET <= TIME | setup NET before NET [rises|falls] >= TIME | hold NET after NET [rises|falls] >= TIME
)"},
    {"pulse a=1",
     R"(
cabin.stim:1:10: error: 'for' is missing
  pulse a=1
           ^
  hint: write: pulse NET=VALUE ... for TIME
)"},
    {"pulse a=1 for 0",
     R"(
cabin.stim:1:15: error: the pulse must be longer than 0
  pulse a=1 for 0
                ^
)"},
    {"pulse for 5",
     R"(
cabin.stim:1:7: error: NET=VALUE is missing
  pulse for 5
        ^
  hint: write: pulse NET=VALUE ... for TIME
)"},
    {"repeat\nend",
     R"(
cabin.stim:1:7: error: the number of repeats is missing
  repeat
        ^
  hint: write: repeat N
)"},
    {"repeat 0\nend",
     R"(
cabin.stim:1:8: error: a repeat runs 1 to 1000000000 times, not 0
  repeat 0
         ^
  hint: put '#' in front of statements to leave them out
)"},
    {"repeat x\nend",
     R"(
cabin.stim:1:8: error: the number of repeats must be written in digits, not 'x'
  repeat x
         ^
)"},
    {"repeat 1000000001\nend",
     R"(
cabin.stim:1:8: error: a repeat runs 1 to 1000000000 times, not 1000000001
  repeat 1000000001
         ^
)"},
    {"repeat 3 times\nend",
     R"(
cabin.stim:1:10: error: unexpected 'times'
  repeat 3 times
           ^
  hint: write: repeat N
)"},
    {"repeat 2\n  repeat 3\n    settle\n  end",
     R"(
cabin.stim:1:1: error: the 'repeat' on line 1 has no 'end'
  repeat 2
  ^
)"},
    {"repaet 2\n  settle\nend",
     R"(
cabin.stim:1:1: error: 'repaet' is not a statement
  repaet 2
  ^
  hint: did you mean 'repeat'?
)"},
    {"end",
     R"(
cabin.stim:1:1: error: 'end' without 'repeat'
  end
  ^
)"},
    {"settle\nend",
     R"(
cabin.stim:2:1: error: 'end' without 'repeat'
  end
  ^
)"},
    {"end now",
     R"(
cabin.stim:1:1: error: 'end' without 'repeat'
  end now
  ^
)"},
    {"clock",
     R"(
cabin.stim:1:6: error: a net is missing
  clock
       ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"clock a",
     R"(
cabin.stim:1:8: error: 'period' is missing
  clock a
         ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"clock a period 20",
     R"(
cabin.stim:1:18: error: 'high' is missing
  clock a period 20
                   ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"clock a period 20 high",
     R"(
cabin.stim:1:23: error: a time is missing
  clock a period 20 high
                        ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"clock a period 20 high 0",
     R"(
cabin.stim:1:24: error: the clock must be high for more than 0
  clock a period 20 high 0
                         ^
)"},
    {"clock a period 20 high 20",
     R"(
cabin.stim:1:16: error: the period must be longer than the time for which the clock is high
  clock a period 20 high 20
                 ^
)"},
    {"clock a period 20 ns high 21000 ps",
     R"(
cabin.stim:1:16: error: the period must be longer than the time for which the clock is high
  clock a period 20 ns high 21000 ps
                 ^
)"},
    {"clock a periode 20 high 10",
     R"(
cabin.stim:1:9: error: unexpected 'periode'
  clock a periode 20 high 10
          ^
  hint: did you mean 'period'?
)"},
    {"clock a period 20 high 10 till 400",
     R"(
cabin.stim:1:27: error: unexpected 'till'
  clock a period 20 high 10 till 400
                            ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"clock a period 20 high 10 until",
     R"(
cabin.stim:1:32: error: a time is missing
  clock a period 20 high 10 until
                                 ^
  hint: write: clock NET period TIME high TIME [until TIME]
)"},
    {"bounce",
     R"(
cabin.stim:1:7: error: NET=VALUE is missing
  bounce
        ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"bounce a=1",
     R"(
cabin.stim:1:11: error: 'edges' is missing
  bounce a=1
            ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"bounce a=x edges 3 within 9",
     R"(
cabin.stim:1:10: error: a contact bounces to 0 or 1 only
  bounce a=x edges 3 within 9
           ^
)"},
    {"bounce a=5 edges 3 within 9",
     R"(
cabin.stim:1:10: error: a contact bounces to 0 or 1 only
  bounce a=5 edges 3 within 9
           ^
)"},
    {"bounce a=1 b=0 edges 3 within 9",
     R"(
cabin.stim:1:12: error: one net bounces at a time
  bounce a=1 b=0 edges 3 within 9
             ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"bounce a=1 edges 4 within 9",
     R"(
cabin.stim:1:18: error: the number of edges must be odd, not 4
  bounce a=1 edges 4 within 9
                   ^
  hint: with an even number the net ends at the value that it started from
)"},
    {"bounce a=1 edges 0 within 9",
     R"(
cabin.stim:1:18: error: the number of edges must be odd, not 0
  bounce a=1 edges 0 within 9
                   ^
  hint: with an even number the net ends at the value that it started from
)"},
    {"bounce a=1 edges 5 within 3",
     R"(
cabin.stim:1:27: error: 5 edges do not fit within 3
  bounce a=1 edges 5 within 3
                            ^
  hint: edges fall at different times: write 4 or more
)"},
    {"bounce a=1 edges 5",
     R"(
cabin.stim:1:19: error: 'within' is missing
  bounce a=1 edges 5
                    ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"bounce a=1 edges 5 within",
     R"(
cabin.stim:1:26: error: a time is missing
  bounce a=1 edges 5 within
                           ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"bounce a=1 edges 5 within 12 seed -3",
     R"(
cabin.stim:1:35: error: the seed must be written in digits, not '-3'
  bounce a=1 edges 5 within 12 seed -3
                                    ^
)"},
    {"bounce a=1 edges 5 within 12 seed",
     R"(
cabin.stim:1:34: error: the seed is missing
  bounce a=1 edges 5 within 12 seed
                                   ^
  hint: write: bounce NET=VALUE edges N within TIME [seed N]
)"},
    {"cell",
     R"(
cabin.stim:1:5: error: a name is missing
  cell
      ^
  hint: write: cell NAME
)"},
    {"cell \"a\"",
     R"(
cabin.stim:1:6: error: names are written without quotes
  cell "a"
       ^
)"},
    {"cell a.b",
     R"(
cabin.stim:1:7: error: 'a.b' is not the name of a cell
  cell a.b
        ^
  hint: a name is made of letters, digits and '_', and starts with no digit
)"},
    {"cell 3",
     R"(
cabin.stim:1:6: error: '3' is not the name of a cell
  cell 3
       ^
  hint: a name is made of letters, digits and '_', and starts with no digit
)"},
    {"cell a\ncell b",
     R"(
cabin.stim:2:1: error: 'cell' is written twice
  cell b
  ^
  hint: the first is on line 1
)"},
    {"cell a b",
     R"(
cabin.stim:1:8: error: unexpected 'b'
  cell a b
         ^
  hint: write: cell NAME
)"},
    {"settle\ncell a",
     R"(
cabin.stim:2:1: error: 'cell' must stand before the first action
  cell a
  ^
  hint: the first action is on line 1
)"},
    {"netlist",
     R"(
cabin.stim:1:8: error: a file name in quotes is missing
  netlist
         ^
  hint: write: netlist "FILE"
)"},
    {"netlist latches.gates",
     R"(
cabin.stim:1:9: error: the file name must be in quotes
  netlist latches.gates
          ^
  hint: write: netlist "latches.gates"
)"},
    {"netlist \"\"",
     R"(
cabin.stim:1:9: error: the file name is empty
  netlist ""
          ^
)"},
    {"netlist \"latches.gates",
     R"(
cabin.stim:1:9: error: this text has no closing '"' on its line
  netlist "latches.gates
          ^
)"},
    {"netlist \"a\" \"b\"",
     R"(
cabin.stim:1:13: error: unexpected text in quotes
  netlist "a" "b"
              ^
  hint: write: netlist "FILE"
)"},
    {"power-up",
     R"(
cabin.stim:1:9: error: the way to power up is missing
  power-up
          ^
  hint: write: power-up unknown | random [seed N] | every | NET=VALUE ...
)"},
    {"power-up randon",
     R"(
cabin.stim:1:10: error: 'randon' is not a way to power up
  power-up randon
           ^
  hint: did you mean 'random'?
)"},
    {"power-up sometimes",
     R"(
cabin.stim:1:10: error: 'sometimes' is not a way to power up
  power-up sometimes
           ^
  hint: write: power-up unknown | random [seed N] | every | NET=VALUE ...
)"},
    {"power-up random seed x",
     R"(
cabin.stim:1:22: error: the seed must be written in digits, not 'x'
  power-up random seed x
                       ^
)"},
    {"power-up random 7",
     R"(
cabin.stim:1:17: error: unexpected '7'
  power-up random 7
                  ^
  hint: write: power-up unknown | random [seed N] | every | NET=VALUE ...
)"},
    {"power-up seen",
     R"(
cabin.stim:1:10: error: 'seen' is not a way to power up
  power-up seen
           ^
  hint: write: power-up unknown | random [seed N] | every | NET=VALUE ...
)"},
    {"power-up seen=1 seen=0",
     R"(
cabin.stim:1:17: error: 'seen' is set twice in one statement
  power-up seen=1 seen=0
                  ^
)"},
    {"settle\npower-up every",
     R"(
cabin.stim:2:1: error: 'power-up' must stand before the first action
  power-up every
  ^
  hint: the first action is on line 1
)"},
    {"unit",
     R"(
cabin.stim:1:5: error: a time is missing
  unit
      ^
  hint: write: unit TIME
)"},
    {"unit 0",
     R"(
cabin.stim:1:6: error: the unit must be at least 1
  unit 0
       ^
)"},
    {"unit 5\nunit 6",
     R"(
cabin.stim:2:1: error: 'unit' is written twice
  unit 6
  ^
  hint: the first is on line 1
)"},
    {"set a=1 \\ # more",
     R"(
cabin.stim:1:9: error: '\' is possible at the end of a line only
  set a=1 \ # more
          ^
  hint: it continues the statement on the next line
)"},
    {"set a=1 \\ b=0",
     R"(
cabin.stim:1:9: error: '\' is possible at the end of a line only
  set a=1 \ b=0
          ^
  hint: it continues the statement on the next line
)"},
    {"set a=(1)",
     R"(
cabin.stim:1:7: error: unexpected '('
  set a=(1)
        ^
)"},
    {"set a=\0011",
     R"(
cabin.stim:1:7: error: byte 0x01 is not possible here
  set a=\x011
        ^
)"},
    {"set a=\377",
     R"(
cabin.stim:1:7: error: byte 0xff is not possible here
  set a=\xff
        ^
  hint: stimuli are texts in UTF-8
)"},
    {"wait 5 % ; set a ; wat",
     R"(
cabin.stim:1:8: error: unexpected '%'
  wait 5 % ; set a ; wat
         ^
cabin.stim:1:16: error: 'a' has no value
  wait 5 % ; set a ; wat
                 ^
  hint: write: a=1
cabin.stim:1:20: error: 'wat' is not a statement
  wait 5 % ; set a ; wat
                     ^
  hint: did you mean 'wait'?
)"},
    {"set a=1 \"b\"",
     R"(
cabin.stim:1:9: error: unexpected text in quotes
  set a=1 "b"
          ^
  hint: write: set NET=VALUE ...
)"},
    {"# CRLF\r\nset a=\r\nsettle\r\n",
     R"(
cabin.stim:2:7: error: the value of 'a' is missing
  set a=
        ^
)"},
    {"\357\273\277sett a=1",
     R"(
cabin.stim:1:1: error: 'sett' is not a statement
  sett a=1
  ^
  hint: did you mean 'set'?
)"},
    {std::string_view("set a=1\000b=2", 11),
     R"(
cabin.stim:1:8: error: this is not a text: it has a zero byte
  set a=1\x00b=2
         ^
  hint: stimuli are texts in UTF-8
)"},
    {"repeat 2 ; set a ; end",
     R"(
cabin.stim:1:16: error: 'a' has no value
  repeat 2 ; set a ; end
                 ^
  hint: write: a=1
)"},
    {"repeat x ; set a=1 ; end ; end",
     R"(
cabin.stim:1:8: error: the number of repeats must be written in digits, not 'x'
  repeat x ; set a=1 ; end ; end
         ^
cabin.stim:1:28: error: 'end' without 'repeat'
  repeat x ; set a=1 ; end ; end
                             ^
)"},
};
// clang-format on

std::string messages_of(std::string_view text) {
  testing::MemoryFiles files;
  files.put("cabin.stim", std::string(text));
  Sources sources;
  Diagnostics diagnostics;
  parse_stimulus("cabin.stim", files, sources, diagnostics);
  return render(diagnostics, sources);
}

}  // namespace

TEST_CASE("wrong stimuli bring these messages") {
  for (const WrongStimulus& wrong : wrong_stimuli) {
    CAPTURE(wrong.text);
    CHECK("\n" + messages_of(wrong.text) == wrong.messages);
  }
}

TEST_CASE("a stimulus that cannot be read says why") {
  testing::MemoryFiles files;
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus stimulus = parse_stimulus("cabin.stim", files, sources, diagnostics);
  CHECK(render(diagnostics, sources) == "settle: error: cannot read 'cabin.stim': no such file\n");
  CHECK(stimulus.file == Place::none);
}

TEST_CASE("reading stops once enough errors were reported") {
  std::string text;
  for (int i = 0; i < 1000; ++i) text += "set lever\n";
  text += "repeat 2\n";
  testing::MemoryFiles files;
  files.put("cabin.stim", text);
  Sources sources;
  Diagnostics diagnostics(5);
  parse_stimulus("cabin.stim", files, sources, diagnostics);
  CHECK(diagnostics.all().size() == 5);
  CHECK(diagnostics.error_count() == 5);
}

TEST_CASE("long wrong words are cut in messages") {
  const std::string word(100'000, 'q');
  CHECK(messages_of(word).size() < 600);
  CHECK(messages_of("set " + word + "=q" + word).size() < 600);
  CHECK(messages_of("wait 1" + word).size() < 600);
  CHECK(messages_of("set lever=" + std::string(100'000, '1')).size() < 600);
  CHECK(messages_of("set lever=zz" + std::string(100'000, 'x')).size() < 600);
}

TEST_CASE("no prefix of a stimulus, and no byte in it, is more than an error") {
  const std::string good =
      "cell lever_latch\nnetlist \"latches.gates\"\npower-up random seed 7\nunit 2 ns\n"
      "set lever=0 read=0x1F ; settle \\\n\nexpect seen=x for 20\npulse read=1 for 4\nrepeat 3\n"
      "at 5 set a[3:0]=0b1_0\nend\nclock tick period 20 high 10 until 400\n"
      "bounce enter=1 edges 5 within 12 seed 3\nexpect warning skew\nexpect seen changes 1 since 500\n";
  REQUIRE(messages_of(good).empty());
  for (std::size_t length = 0; length <= good.size(); ++length) messages_of(good.substr(0, length));
  for (std::size_t at = 0; at < good.size(); ++at) {
    for (const char c : {'\0', '\xff', '=', ';', '"', '\\', '\n', '9', '-'}) {
      std::string changed = good;
      changed[at] = c;
      // A message without a place would start with the name of the program.
      CHECK(messages_of(changed).find("settle: ") == std::string::npos);
    }
  }
}

}  // namespace settle
