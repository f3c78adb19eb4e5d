// What a diagnosis found, for people and programs.
#pragma once

#include <string>

#include "settle/diagnose.h"
#include "settle/report.h"
#include "settle/source.h"

namespace settle {

/// What the report says beside the session.
struct DiagnosisFrame {
  std::string name;             ///< of the netlist, as given
  bool has_chips = false;       ///< pins of chips are known
  bool wired_here = false;      ///< ... as `settle wire` places them, not as the netlist states
  std::size_t most_groups = 5;  ///< groups shown in full; 0: all
};

std::string diagnose_text(const FaultSession& session, const Outlook& outlook, const Circuit& circuit, const Sources& sources,
                          const DiagnosisFrame& frame, const TextStyle& style);
/// The document diagnose/1, docs/json.md.
std::string diagnose_json(const FaultSession& session, const Outlook& outlook, const Circuit& circuit, const Sources& sources,
                          const DiagnosisFrame& frame);

/// "set lever=1 read=0; set read=1; then look at seen": the inputs that change at each setting.
std::string look_text(const NextLook& look, const FaultSession& session, const Circuit& circuit);

}  // namespace settle
