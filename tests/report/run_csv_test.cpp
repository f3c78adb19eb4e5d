#include "report/hand_made.h"
#include "settle/report.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::test;

TEST_CASE("a row for each time of change, buses as bit strings") {
  RunResult run;
  add_net(run.waveform, in, "read", "0111100");
  add_bus(run.waveform, out, "route", {"xx", "xx", "xx", "10", "11", "11", "zz"});
  CHECK(run_csv(run, named_circuit("cabin")) ==
        "time,read,route[1:0]\n"
        "0,0,xx\n"
        "1,1,xx\n"
        "3,1,10\n"
        "4,1,11\n"
        "5,0,11\n"
        "6,0,zz\n");
  WaveformView view;
  view.from = 2;
  view.to = 4;
  view.patterns = {"route*"};
  CHECK(run_csv(run, named_circuit("cabin"), view) == "time,route[1:0]\n2,xx\n3,10\n4,11\n");
}

TEST_CASE("names are quoted as in RFC 4180 where they need it") {
  RunResult run;
  add_net(run.waveform, in, "a,\"b\"", "0");
  CHECK(run_csv(run, named_circuit("cabin")) == "time,\"a,\"\"b\"\"\"\n0,0\n");
}

TEST_CASE("activity: the signals that change most, with shares and times, and how many moved less") {
  RunResult run;
  add_net(run.waveform, in, "read", "0111100");
  add_net(run.waveform, in, "still", "0000000");
  add_bus(run.waveform, out, "route", {"xx", "xx", "xx", "10", "11", "11", "zz"});
  CHECK(run_activity(run, 1) ==
        "Activity, time 0 to 6: 7 changes; 2 of 3 signals moved\n"
        "   changes   share      first       last  signal\n"
        "         5   71.4%          3          6  route[1:0]\n"
        "         1 signals moved less\n");
  WaveformView view;
  view.from = 2;
  view.to = 4;
  CHECK(run_activity(run, 5, view) ==
        "Activity, time 2 to 4: 3 changes; 1 of 3 signals moved\n"
        "   changes   share      first       last  signal\n"
        "         3  100.0%          3          4  route[1:0]\n");
}
