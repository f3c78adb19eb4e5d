// The wires of a board as comma-separated values.
#include <fmt/format.h>

#include "report/csv_field.h"
#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {

std::string wiring_csv(const Wiring& wiring, const Circuit& circuit) {
  std::string out = "step,number,net,from,to\n";
  std::size_t number = 0;
  for (const WiringStep& step : wiring.steps) {
    for (const Wire& wire : step.wires) {
      report::append_csv_field(out, step.title);
      out += fmt::format(",{},", ++number);
      report::append_csv_field(out, report::wire_net_text(wiring, wire.net));
      out += ',';
      report::append_csv_field(out, report::end_text(wiring, circuit, wire.from));
      out += ',';
      report::append_csv_field(out, report::end_text(wiring, circuit, wire.to));
      out += '\n';
    }
  }
  return out;
}

}  // namespace settle
