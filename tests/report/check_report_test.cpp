// Checks as text, as a document and as JUnit-style XML.
#include "settle/check_report.h"

#include <nlohmann/json.hpp>

#include "support/catch.h"

using namespace settle;

namespace {

CheckItem item(CheckItem::Aspect aspect, std::string kind, bool fails, std::string message) {
  CheckItem made;
  made.aspect = aspect;
  made.kind = std::move(kind);
  made.fails = fails;
  made.severity = fails ? Severity::error : Severity::warning;
  made.file = "a<b>&\"c\".stim";
  made.line = 3;
  made.column = 8;
  made.message = std::move(message);
  made.text = made.file + ":3:8: error: " + made.message + "\n";
  return made;
}

CheckResult mixed() {
  CheckResult result;
  CheckedFile good;
  good.path = "good.gates";
  good.warnings = 1;
  good.items.push_back(item(CheckItem::Aspect::netlist, "unused-input", false, "nothing reads input 'b'"));
  good.requirements.push_back({"good", "stores 1", RequirementOutcome::Answer::holds});
  CheckedFile bad;
  bad.path = "a<b>&\"c\".stim";
  bad.is_stimulus = true;
  bad.netlist = "good.gates";
  bad.verdict = CheckVerdict::fail;
  bad.passed = 2;
  bad.failed = 1;
  bad.items.push_back(
      item(CheckItem::Aspect::expectation, "expectation", true, "wanted 0 & found \x01\xff<1>"));
  CheckedFile slow;
  slow.path = "slow.stim";
  slow.is_stimulus = true;
  slow.verdict = CheckVerdict::incomplete;
  slow.incomplete_reason = "more than 20 changes";
  CheckedFile broken;
  broken.path = "x.stim";
  broken.is_stimulus = true;
  broken.verdict = CheckVerdict::error;
  broken.items.push_back(
      item(CheckItem::Aspect::stimulus, "error", true, "no netlist goes with this stimulus"));
  result.files = {good, bad, slow, broken};
  result.planned = 4;
  return result;
}

}  // namespace

TEST_CASE("A line for each file, then what fails, then a summary") {
  CHECK(check_text(mixed(), {}) ==
        "pass        good.gates     1 requirement, 1 warning: unused-input\n"
        "FAIL        a<b>&\"c\".stim  1 of 3 expectations failed\n"
        "INCOMPLETE  slow.stim      0 expectations\n"
        "ERROR       x.stim         1 error\n"
        "\n"
        "a<b>&\"c\".stim:3:8: error: wanted 0 & found \x01\xff<1>\n"
        "slow.stim: incomplete: more than 20 changes\n"
        "a<b>&\"c\".stim:3:8: error: no netlist goes with this stimulus\n"
        "\n"
        "4 files checked: 1 passed, 1 failed, 1 with errors, 1 incomplete; 2 expectations passed, 1 failed; "
        "1 of 1 requirement fulfilled; 1 warning\n"
        "hint: --warnings shows the warnings in full\n");
}

TEST_CASE("Warnings are shown in full when asked for, and notes are not") {
  CheckResult result = mixed();
  result.files.resize(1);
  CheckedFile& file = result.files[0];
  file.warnings = 30;
  file.items.assign(30, file.items[0]);
  file.items.push_back(item(CheckItem::Aspect::netlist, "near-names", false, "easy to mix up"));
  file.items.back().severity = Severity::note;
  const std::string text = check_text(result, {}, CheckShown::warnings);
  std::size_t count = 0;
  for (std::size_t at = 0; (at = text.find("nothing reads input 'b'\n", at)) != std::string::npos; ++at) ++count;
  CHECK(count == 30);
  CHECK(text.find("easy to mix up") == std::string::npos);
  CHECK(text.ends_with("; 30 warnings\n"));
  const std::string all = check_text(result, {}, CheckShown::all);
  CHECK(all.find("and 11 more; --format json lists all") != std::string::npos);
  CHECK(all.ends_with("; 30 warnings\n"));
  TextStyle quiet;
  quiet.quiet = true;
  CHECK(check_text(result, quiet, CheckShown::warnings) == "");
  file.verdict = CheckVerdict::fail;
  CHECK(check_text(result, quiet, CheckShown::warnings).find("nothing reads input 'b'") != std::string::npos);
}

TEST_CASE("Requirements that nobody asked to judge are counted") {
  CheckResult result = mixed();
  result.files.resize(1);
  result.files[0] = CheckedFile();
  result.files[0].path = "good.gates";
  result.files[0].unjudged = 1;
  CHECK(check_text(result, {}) ==
        "pass        good.gates\n\n1 file checked: 1 passed; 0 expectations passed\n"
        "1 requirement not judged: add --storage\n");
}

TEST_CASE("Quiet text leaves out files that pass, and is empty when all do") {
  TextStyle quiet;
  quiet.quiet = true;
  const std::string text = check_text(mixed(), quiet);
  CHECK(text.find("good.gates") == std::string::npos);
  CHECK(text.find("FAIL  ") == 0);
  CheckResult fine = mixed();
  fine.files.resize(1);
  CHECK(check_text(fine, quiet) == "");
  CHECK(check_text(fine, {}, CheckShown::all).find("nothing reads input 'b'") != std::string::npos);
}

TEST_CASE("An interrupted check says how far it came") {
  CheckResult result = mixed();
  result.files.resize(1);
  result.interrupted = true;
  const std::string text = check_text(result, {});
  CHECK(text.ends_with("interrupted: 1 of 4 files checked\n"));
  CHECK(nlohmann::json::parse(check_json(result))["complete"] == false);
}

TEST_CASE("Document check/1") {
  const auto json = nlohmann::json::parse(check_json(mixed()));
  CHECK(json["schema"] == "check/1");
  CHECK(json["passed"] == 1);
  CHECK(json["failed"] == 1);
  CHECK(json["errors"] == 1);
  CHECK(json["incomplete"] == 1);
  REQUIRE(json["files"].size() == 4);
  CHECK(json["files"][0]["kind"] == "netlist");
  CHECK(json["files"][0]["requirements"][0]["answer"] == "holds");
  CHECK(json["files"][1]["verdict"] == "fail");
  CHECK(json["files"][1]["expectations"]["failed"] == 1);
  CHECK(json["files"][1]["items"][0]["line"] == 3);
  CHECK(json["files"][2]["incomplete_reason"] == "more than 20 changes");
}

TEST_CASE("Names of files cannot write lines of their own") {
  CheckResult result;
  CheckedFile file;
  file.path = "x\npass  good\t\x1b[31m\xff.gates";
  file.incomplete_reason = "it takes too long";
  file.verdict = CheckVerdict::incomplete;
  result.files = {file};
  result.planned = 1;
  const std::string shown = "x\\x0apass  good \\x1b[31m\\xff.gates";
  CHECK(check_text(result, {}, CheckShown::all).find("INCOMPLETE  " + shown + "\n\n" + shown + ": incomplete: it") == 0);
  CHECK(check_junit(result).find("<testsuite name=\"x&#10;pass  good&#9;\xef\xbf\xbd[31m\xef\xbf\xbd.gates\"") !=
        std::string::npos);
}

TEST_CASE("JUnit-style XML escapes what it must, and replaces what XML cannot hold") {
  const std::string xml = check_junit(mixed());
  CHECK(
      xml ==
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<testsuites name=\"settle check\" tests=\"10\" failures=\"1\" errors=\"2\">\n"
      "  <testsuite name=\"good.gates\" tests=\"2\" failures=\"0\" errors=\"0\">\n"
      "    <testcase classname=\"good.gates\" name=\"netlist\"/>\n"
      "    <testcase classname=\"good.gates\" name=\"1 requirement\"/>\n"
      "  </testsuite>\n"
      "  <testsuite name=\"a&lt;b&gt;&amp;&quot;c&quot;.stim\" tests=\"3\" failures=\"1\" errors=\"0\">\n"
      "    <testcase classname=\"a&lt;b&gt;&amp;&quot;c&quot;.stim\" name=\"stimulus\"/>\n"
      "    <testcase classname=\"a&lt;b&gt;&amp;&quot;c&quot;.stim\" name=\"3 expectations\">\n"
      "      <failure type=\"expectation\" message=\"a&lt;b&gt;&amp;&quot;c&quot;.stim:3: wanted 0 &amp; "
      "found "
      "\xef\xbf\xbd\xef\xbf\xbd&lt;1&gt;\">a&lt;b&gt;&amp;&quot;c&quot;.stim:3:8: error: wanted 0 &amp; "
      "found "
      "\xef\xbf\xbd\xef\xbf\xbd&lt;1&gt;\n</failure>\n"
      "    </testcase>\n"
      "    <testcase classname=\"a&lt;b&gt;&amp;&quot;c&quot;.stim\" name=\"warnings\"/>\n"
      "  </testsuite>\n"
      "  <testsuite name=\"slow.stim\" tests=\"4\" failures=\"0\" errors=\"1\">\n"
      "    <testcase classname=\"slow.stim\" name=\"stimulus\"/>\n"
      "    <testcase classname=\"slow.stim\" name=\"0 expectations\"/>\n"
      "    <testcase classname=\"slow.stim\" name=\"warnings\"/>\n"
      "    <testcase classname=\"slow.stim\" name=\"complete\">\n"
      "      <error type=\"incomplete\" message=\"more than 20 changes\">more than 20 changes\n</error>\n"
      "    </testcase>\n"
      "  </testsuite>\n"
      "  <testsuite name=\"x.stim\" tests=\"1\" failures=\"0\" errors=\"1\">\n"
      "    <testcase classname=\"x.stim\" name=\"stimulus\">\n"
      "      <error type=\"error\" message=\"a&lt;b&gt;&amp;&quot;c&quot;.stim:3: no netlist goes with this "
      "stimulus\">a&lt;b&gt;&amp;&quot;c&quot;.stim:3:8: error: no netlist goes with this "
      "stimulus\n</error>\n"
      "    </testcase>\n"
      "  </testsuite>\n"
      "</testsuites>\n");
}
