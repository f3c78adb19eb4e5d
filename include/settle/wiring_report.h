// `settle wire` in its forms.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/wiring.h"

namespace settle {

/// Chips with their gates, wires in the order of building, bill of materials, loads, notes and cautions.
std::string wiring_text(const Wiring& wiring, const Circuit& circuit, const TextStyle& style);

/// The same as a page in Markdown, with boxes to tick.
std::string wiring_markdown(const Wiring& wiring, const Circuit& circuit);

/// One row a wire: step, number, net, from, to (RFC 4180).
std::string wiring_csv(const Wiring& wiring, const Circuit& circuit);

/// Document wire/1.
std::string wiring_json(const Wiring& wiring, const Circuit& circuit);

/// The chips from above with notch, pin numbers and nets.
std::string wiring_svg(const Wiring& wiring, const Circuit& circuit);

}  // namespace settle
