// JUnit-style XML, as CI services read it: a suite for each file, a case for each aspect that was judged.
// Text is escaped as in XML 1.0 (fifth edition), 2.4; characters that 2.2 does not allow become U+FFFD. A
// reader makes blanks of line ends and tabs in attributes (3.3.3), so there they are written as numbers.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "settle/check_report.h"
#include "text/utf8.h"

namespace settle {
namespace {

enum class XmlPlace : std::uint8_t { content, attribute };

std::string xml_text(std::string_view text, XmlPlace place = XmlPlace::attribute) {
  std::string out;
  while (!text.empty()) {
    const Utf8Character c = decode_utf8(text);
    const std::string_view bytes = text.substr(0, c.length);
    text.remove_prefix(c.length);
    const bool is_control = c.code < 0x20 && c.code != '\n' && c.code != '\t';
    if (!c.is_valid || is_control || c.code == 0xfffe || c.code == 0xffff) {
      out += "\xef\xbf\xbd";
    } else if (c.code < 0x20 && place == XmlPlace::attribute) {
      out += c.code == '\n' ? "&#10;" : "&#9;";
    } else if (c.code == '&') {
      out += "&amp;";
    } else if (c.code == '<') {
      out += "&lt;";
    } else if (c.code == '>') {
      out += "&gt;";
    } else if (c.code == '"') {
      out += "&quot;";
    } else {
      out += bytes;
    }
  }
  return out;
}

struct JunitCase {
  std::string name;
  std::string message;  // of the first thing that is wrong
  std::string text;     // all that is wrong
  std::string kind;
  bool is_error = false;  // could not be judged; else a failure
  bool is_good() const { return message.empty(); }
};

void put_in(JunitCase& test, const CheckItem& item) {
  if (test.is_good()) {
    test.message =
        item.line == 0 ? item.message : fmt::format("{}:{}: {}", item.file, item.line, item.message);
    test.kind = item.kind;
  }
  test.is_error = test.is_error || item.kind == "error";
  test.text += item.text;
}

std::vector<JunitCase> cases_of(const CheckedFile& file) {
  using Aspect = CheckItem::Aspect;
  std::vector<JunitCase> cases;
  const auto add = [&](std::string name, std::initializer_list<Aspect> aspects) {
    JunitCase& test = cases.emplace_back();
    test.name = std::move(name);
    for (const CheckItem& item : file.items) {
      if (item.fails && std::find(aspects.begin(), aspects.end(), item.aspect) != aspects.end())
        put_in(test, item);
    }
  };
  if (file.is_stimulus) {
    add("stimulus", {Aspect::stimulus});
    if (file.verdict != CheckVerdict::error) {
      const std::uint64_t count = file.passed + file.failed;
      add(fmt::format("{} expectation{}", count, count == 1 ? "" : "s"), {Aspect::expectation});
      add("warnings", {Aspect::finding});
      if (!file.waveform_path.empty()) add("waveform", {Aspect::waveform});
    }
  } else {
    add("netlist", {Aspect::netlist});
    if (!file.requirements.empty()) {
      const std::size_t count = file.requirements.size();
      add(fmt::format("{} requirement{}", count, count == 1 ? "" : "s"), {Aspect::requirement});
    }
  }
  if (!file.incomplete_reason.empty()) {
    cases.push_back({"complete", file.incomplete_reason, file.incomplete_reason + "\n", "incomplete", true});
  }
  return cases;
}

}  // namespace

std::string check_junit(const CheckResult& result) {
  std::string suites;
  std::size_t all_tests = 0, all_failures = 0, all_errors = 0;
  for (const CheckedFile& file : result.files) {
    const std::string path = xml_text(file.path);
    std::string body;
    std::size_t tests = 0, failures = 0, errors = 0;
    for (const JunitCase& test : cases_of(file)) {
      ++tests;
      fmt::format_to(std::back_inserter(body), "    <testcase classname=\"{}\" name=\"{}\"", path,
                     xml_text(test.name));
      if (test.is_good()) {
        body += "/>\n";
        continue;
      }
      ++(test.is_error ? errors : failures);
      const std::string_view tag = test.is_error ? "error" : "failure";
      fmt::format_to(std::back_inserter(body),
                     ">\n      <{} type=\"{}\" message=\"{}\">{}</{}>\n    </testcase>\n", tag,
                     xml_text(test.kind), xml_text(test.message), xml_text(test.text, XmlPlace::content), tag);
    }
    fmt::format_to(std::back_inserter(suites),
                   "  <testsuite name=\"{}\" tests=\"{}\" failures=\"{}\" errors=\"{}\">\n{}  </testsuite>\n",
                   path, tests, failures, errors, body);
    all_tests += tests;
    all_failures += failures;
    all_errors += errors;
  }
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<testsuites name=\"settle check\" tests=\"{}\" failures=\"{}\" errors=\"{}\">\n{}</testsuites>\n",
      all_tests, all_failures, all_errors, suites);
}

}  // namespace settle
