// Many netlists and their stimuli judged in one go: what `settle check` does.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"
#include "settle/elaborate.h"
#include "settle/formats.h"
#include "settle/requirement.h"
#include "settle/run.h"

namespace settle {

/// A file to be judged.
struct CheckInput {
  std::string path;  ///< as shown: normal form of what was asked for
  bool is_stimulus = false;
  std::string netlist;  ///< stimulus: its netlist by name; empty: none has a fitting name
};

/// The files below `paths` (files or folders, searched recursively; hidden ones are passed over), sorted
/// by path, each once. Netlists end in .gates, .v, .bench or .json; a .json that is not named in `paths`
/// counts only when it has `"schema": "netlist/...` near its start. A netlist named alone brings the
/// stimuli of its folder that go with it by name. A stimulus goes with the netlist of its folder that has
/// the same name before the ending, or whose name is followed by `_`, `-` or `.`; the longest such name
/// wins, then one named in `paths`, then the order of endings above. Errors: a path that does not exist,
/// cannot be read or has another ending.
std::vector<CheckInput> find_check_files(std::span<const std::string> paths, Diagnostics& diagnostics);

/// A kind of finding that --fail-on and --allow may name.
struct CheckKind {
  std::string_view name;
  std::string_view where;    ///< "netlist", "stimulus", "run"
  std::string_view meaning;  ///< one line
};
/// All kinds of lint and run findings, by where and name.
std::vector<CheckKind> check_kinds();

/// Which findings make a file fail.
class CheckPolicy {
 public:
  /// Understands lists of kinds; besides kinds the words `warnings` and `notes`, which stand for all of
  /// them. Wrong words are errors with the nearest one; so is a kind that is in both lists.
  static CheckPolicy parse(std::span<const std::string> fail_on, std::span<const std::string> allow,
                           Diagnostics& diagnostics);
  /// Named by --allow: neither counted nor shown.
  bool allows(std::string_view kind, Severity severity) const;
  /// `by_default`: what happens to kinds that no list names.
  bool fails(std::string_view kind, Severity severity, bool by_default) const;

 private:
  static bool names(const std::vector<std::string>& list, std::string_view kind, Severity severity);
  std::vector<std::string> fail_on_, allow_;
};

struct CheckOptions {
  CheckPolicy policy;
  bool storage = false;        ///< judge `require` lines
  std::string golden;          ///< folder of stored waveforms; empty: none
  bool update_golden = false;  ///< make new ones instead of comparing
  ElaborateOptions elaborate;  ///< its limits; cell and unit come from the stimuli
  FlipFlopForm flip_flops = FlipFlopForm::six_nand;  ///< in ISCAS texts
  /// As ReadOptions::place_chips; called by several threads.
  std::function<void(Netlist&, const Sources&, Diagnostics&)> place_chips = {};
  std::size_t error_limit = default_limit(LimitKind::errors);  ///< errors shown of one file
  RunOptions run;
  RequirementLimits requirement;
  std::uint32_t fan_out = 10;    ///< gate inputs on one net, above which lint tells it
  unsigned jobs = 1;             ///< threads; the result does not depend on it
  Progress* progress = nullptr;  ///< counts files
  const std::atomic<bool>* stop = nullptr;
};

/// From best to worst.
enum class CheckVerdict : std::uint8_t {
  pass,
  incomplete,  ///< a limit stopped the work; nothing wrong was found up to then
  fail,        ///< the design falls short
  error,       ///< the file cannot be used
};
/// "pass", "incomplete", "fail", "error".
std::string_view name_of(CheckVerdict verdict);

/// Something to tell about a file.
struct CheckItem {
  enum class Aspect : std::uint8_t {
    netlist,      ///< errors and lint of a netlist
    requirement,  ///< a `require` line
    stimulus,     ///< errors and lint of a stimulus
    expectation,  ///< a failed `expect`
    finding,      ///< what the run noticed
    waveform,     ///< differs from the stored one
  };
  Aspect aspect = Aspect::netlist;
  std::string kind;  ///< kind of finding, "requirement", "expectation", "waveform" or "error"
  Severity severity = Severity::error;
  bool fails = false;  ///< makes the file fail
  std::string file;
  std::uint32_t line = 0, column = 0;  ///< from 1; 0: no place
  std::optional<Time> time;            ///< of a run
  std::string message, hint;
  std::string text;  ///< as printed: whole lines, with the source line where there is one
};
/// "netlist", "requirement", ...
std::string_view name_of(CheckItem::Aspect aspect);

struct CheckedRequirement {
  std::string cell, text;
  RequirementOutcome::Answer answer = RequirementOutcome::Answer::unjudged;
};

/// One row.
struct CheckedFile {
  std::string path;
  bool is_stimulus = false;
  std::string netlist;  ///< of a stimulus
  std::string cell;     ///< of a stimulus: the cell that was run
  CheckVerdict verdict = CheckVerdict::pass;
  std::uint64_t warnings = 0, notes = 0;  ///< shown ones; expected warnings of a run are none
  std::uint64_t passed = 0, failed = 0;   ///< expectations
  std::uint32_t lanes = 0;                ///< start states run
  std::vector<CheckedRequirement> requirements;
  std::uint64_t unjudged = 0;  ///< `require` lines passed over, since CheckOptions::storage is not set
  std::vector<CheckItem> items;
  std::string incomplete_reason;               ///< of CheckVerdict::incomplete
  std::string waveform_path;                   ///< stored waveform, when it was compared or is to be written
  std::optional<std::string> waveform_update;  ///< its new text
  bool done = false;                           ///< false: a stop signal came first; then it is in no list
};

struct CheckResult {
  std::vector<CheckedFile> files;  ///< in the order of the plan, those done
  std::uint64_t planned = 0;       ///< files to check
  bool interrupted = false;        ///< the stop signal came
  std::uint64_t count(CheckVerdict verdict) const;
};

/// Judges all of `inputs`. Each netlist is read once. `files` is used by several threads at once.
CheckResult check(std::span<const CheckInput> inputs, FileReader& files, const CheckOptions& options);

}  // namespace settle
