// Steps that do not settle, each with its endings and what leads there.
#include <algorithm>
#include <bit>

#include <fmt/format.h>

#include "report/finding_list.h"
#include "report/ink.h"
#include "report/state_names.h"
#include "report/states_parts.h"

namespace settle::report {
namespace {

constexpr std::size_t most_steps = 6;
constexpr std::size_t most_endings = 8;
constexpr std::size_t most_instants = 8;
constexpr std::size_t telling = 6;
constexpr std::size_t ending_indent = 7;   // room for a number

Ink ink_of(Verdict verdict) { return verdict == Verdict::delay_dependent ? Ink::mark : Ink::bad; }

class StepText {
 public:
  StepText(const StatesPage& page, const Transition& step, const StepWitness* witness, std::size_t& replay)
      : page_(page), space_(page.space()), circuit_(page.circuit), step_(step), witness_(witness), replay_(replay) {
    std::vector<std::uint32_t> states = step.to;
    nets_ = states.empty() ? std::vector<NetId>{} : telling_nets(space_, circuit_, states, telling);
  }

  std::string text() {
    std::string out = head();
    if (witness_ == nullptr || witness_->endings.empty()) {
      out += plain_endings();
      return out;
    }
    std::size_t hidden = 0, shown = 0;
    for (const Ending& ending : witness_->endings) {
      const std::size_t number = ending.has_delays ? ++replay_ : 0;
      if (!page_.all && shown == most_endings) {
        ++hidden;
        continue;
      }
      ++shown;
      out += numbered(number, ending_text(ending));
    }
    if (hidden != 0) out += fmt::format("       ... and {}; --all shows them\n", counted(hidden, "more ending"));
    return out;
  }

 private:
  std::string lines(std::string_view text, std::size_t first, std::size_t rest) const {
    std::string out;
    bool start = true;
    const auto room = [&](std::size_t indent) { return std::max<std::size_t>(page_.width - std::min(page_.width, indent), 20); };
    for (const std::string& piece : wrapped(text, room(first), room(rest))) {
      out += std::string(start ? first : rest, ' ') + piece + '\n';
      start = false;
    }
    return out;
  }

  std::string head() const {
    const VectorIndex from = space_.stable[step_.from].inputs, changed = from ^ step_.inputs;
    std::string change = input_assignments(space_, circuit_, step_.inputs, changed);
    const std::string still = input_assignments(space_, circuit_, step_.inputs, ~changed);
    std::string text = change;
    if (std::popcount(changed) > 1) text += " at once";
    if (!still.empty()) text += fmt::format(" with {}", still);
    const std::vector<NetId> outputs = shown_outputs(circuit_);
    std::vector<NetId> shown(outputs.begin(), outputs.begin() + static_cast<std::ptrdiff_t>(std::min(outputs.size(), telling)));
    text += fmt::format(", from {}: {}", assignments(space_, circuit_, step_.from, shown.empty() ? nets_ : shown),
                        name_of(step_.verdict));
    if (!step_.racing.empty()) {
      std::string names;
      for (std::size_t i = 0; i < step_.racing.size() && i < 6; ++i) {
        if (i != 0) names += i + 1 == step_.racing.size() ? " and " : ", ";
        names += circuit_.gate_name(step_.racing[i]);
      }
      if (step_.racing.size() > 6) names += fmt::format(" and {} more", step_.racing.size() - 6);
      text += fmt::format("; {} race", names);
    }
    std::string out = lines(text, 2, 4);
    const std::string verdict(name_of(step_.verdict));
    if (page_.style.color) {
      const std::size_t at = out.find(": " + verdict);
      if (at != std::string::npos) out.replace(at + 2, verdict.size(), painted(verdict, ink_of(step_.verdict), true));
    }
    return out;
  }

  // Endings that can be replayed have the number of their stimulus file.
  static std::string numbered(std::size_t number, std::string text) {
    if (number == 0) return text;
    const std::string label = fmt::format("{:>5}  ", number);
    return text.replace(0, std::min<std::size_t>(label.size(), ending_indent), label.substr(0, ending_indent));
  }

  // Without a witness: only what the analysis says.
  std::string plain_endings() const {
    std::string text;
    for (std::size_t i = 0; i < step_.to.size() && i < most_endings; ++i) {
      text += (i == 0 ? "" : ", or ") + assignments(space_, circuit_, step_.to[i], nets_);
    }
    if (step_.to.size() > most_endings) text += fmt::format(", or one of {} more", step_.to.size() - most_endings);
    if (step_.may_cycle) text += text.empty() ? "never rests" : ", or never rests";
    if (witness_ != nullptr) text += " (too many gates race to look for witnesses)";
    return lines("ends in " + text, ending_indent, ending_indent);
  }

  std::string delays_text(const Ending& ending) const {
    if (ending.delays.empty()) return "with equal delays";
    std::string text = "if ";
    for (std::size_t i = 0; i < ending.delays.size(); ++i) {
      const Ending::Delay& d = ending.delays[i];
      if (i != 0) text += i + 1 == ending.delays.size() ? " and " : ", ";
      text += circuit_.gate_name(d.gate);
      text += d.rise == d.fall ? fmt::format(" takes {}", d.rise) : fmt::format(" takes {} to rise, {} to fall", d.rise, d.fall);
    }
    if (ending.delays.size() < space_.gates) text += space_.gates - ending.delays.size() == 1 ? ", the other gate 1" : ", all other gates 1";
    return text;
  }

  std::string order_text(const Ending& ending) const {
    std::vector<bool> high(circuit_.gate_count());
    for (GateId g = 0; g < circuit_.gate_count(); ++g) high[g] = space_.nodes_of(step_.from)[g] == Value::one;
    std::string text;
    for (std::size_t i = 0; i < ending.order.size(); ++i) {
      const Ending::Instant& instant = ending.order[i];
      if (!page_.all && i == most_instants) {
        text += ", ...";
        break;
      }
      if (i != 0) text += instant.time == 0 ? ", then " : ", ";
      for (std::size_t g = 0; g < instant.gates.size(); ++g) {
        const GateId gate = instant.gates[g];
        high[gate] = !high[gate];
        text += fmt::format("{}{}={}", g == 0 ? "" : " ", circuit_.net_name(circuit_.visible_net(gate)), high[gate] ? 1 : 0);
      }
      if (instant.time != 0) text += fmt::format(" at {}", instant.time);
    }
    if (ending.state == no_state) text += fmt::format("; repeats every {}", ending.period);
    return text;
  }

  std::string ending_text(const Ending& ending) const {
    const std::string where = ending.state == no_state ? "never rests" : "ends in " + assignments(space_, circuit_, ending.state, nets_);
    if (ending.order.empty()) {
      const char* why = ending.state == no_state ? ": possible, but no constant gate delays were found that keep it going"
                                                 : ": possible, but no order of changes was found within the limits";
      return lines(where + why, ending_indent, ending_indent);
    }
    if (!ending.has_delays) {
      return lines(fmt::format("{}: {} (no constant gate delays were found that do it)", where, order_text(ending)), ending_indent, ending_indent);
    }
    return lines(fmt::format("{} {}:", where, delays_text(ending)), ending_indent, ending_indent) +
           lines(order_text(ending), ending_indent + 2, ending_indent + 2);
  }

  const StatesPage& page_;
  const StateSpace& space_;
  const Circuit& circuit_;
  const Transition& step_;
  const StepWitness* witness_;
  std::size_t& replay_;
  std::vector<NetId> nets_;   // that tell the endings apart
};

}  // namespace

std::string unsettled_steps(const StatesPage& page) {
  const StatesStudy& study = page.study;
  std::string out;
  std::size_t replay = 0;
  const std::size_t count = page.all ? study.unsettled.size() : std::min(study.unsettled.size(), most_steps);
  for (std::size_t i = 0; i < count; ++i) {
    const StepWitness* witness = i < study.witnesses.size() ? &study.witnesses[i] : nullptr;
    out += StepText(page, page.space().transitions[study.unsettled[i]], witness, replay).text();
  }
  if (count < study.unsettled.size()) {
    out += fmt::format("  ... and {}; --all shows them\n", counted(study.unsettled.size() - count, "more step"));
  }
  return out;
}

}  // namespace settle::report
