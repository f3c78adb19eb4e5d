// The kinds of lint findings: each has a section in docs/lint.md.
#include <array>

#include "settle/lint.h"

namespace settle {
namespace {

using Subject = LintKind::Subject;

constexpr std::array kinds = {
    LintKind{"constant-gate", Subject::netlist, Severity::warning, false,
             "a gate whose output never changes"},
    LintKind{"duplicate-gate", Subject::netlist, Severity::note, false,
             "two gates of one kind with the same inputs"},
    LintKind{"fan-out", Subject::netlist, Severity::note, false, "a net that feeds many gate inputs"},
    LintKind{"floating-input", Subject::netlist, Severity::warning, true, "an input pin of a part left open"},
    LintKind{"floating-net", Subject::netlist, Severity::warning, false,
             "a net that gates read while none of its drivers is on"},
    LintKind{"idle-pin", Subject::netlist, Severity::warning, true, "a wire at a pin of a chip that has no function"},
    LintKind{"mixed-delays", Subject::netlist, Severity::warning, true,
             "some gates have delays with units, others have none"},
    LintKind{"mixed-drivers", Subject::netlist, Severity::warning, true,
             "a three-state or pull gate on a net that another gate always drives"},
    LintKind{"near-names", Subject::netlist, Severity::note, false,
             "names of nets that differ by one letter"},
    LintKind{"never-enabled", Subject::netlist, Severity::warning, false,
             "a three-state gate that can never drive its net"},
    LintKind{"no-power", Subject::netlist, Severity::warning, true, "a chip without supply or ground"},
    LintKind{"open-pin", Subject::netlist, Severity::warning, true, "an input of a chip that is not connected"},
    LintKind{"output-conflict", Subject::netlist, Severity::warning, false,
             "drivers of one net that can be on at once with different values"},
    LintKind{"similar-part", Subject::netlist, Severity::note, true,
             "a gate that gets the delays of a similar part, since its own are not known"},
    LintKind{"single-pin", Subject::netlist, Severity::warning, true, "a net on one pin of a chip and nowhere else"},
    LintKind{"undriven-net", Subject::netlist, Severity::warning, true, "a net that nothing drives"},
    LintKind{"unforced-loop", Subject::netlist, Severity::warning, false,
             "a loop that no input can set or reset"},
    LintKind{"unlisted-family", Subject::netlist, Severity::warning, true,
             "a chip of a family in which the catalogue does not list it"},
    LintKind{"unused-cell", Subject::netlist, Severity::note, false, "a cell that is never used"},
    LintKind{"unused-gate", Subject::netlist, Severity::warning, false, "a gate without a path to an output"},
    LintKind{"unused-input", Subject::netlist, Severity::warning, true, "an input pin that nothing reads"},
    LintKind{"unused-output", Subject::netlist, Severity::warning, true, "a net that nothing reads"},
    LintKind{"bare-time", Subject::stimulus, Severity::note, false,
             "times without a unit where gates have the delays of a family"},
    LintKind{"idle-expectation", Subject::stimulus, Severity::warning, false,
             "an expectation that cannot fail"},
    LintKind{"no-expectation", Subject::stimulus, Severity::note, false, "a stimulus that expects nothing"},
    LintKind{"untouched-input", Subject::stimulus, Severity::warning, false,
             "an input that the stimulus never sets"},
};

}  // namespace

std::span<const LintKind> lint_kinds() { return kinds; }

}  // namespace settle
