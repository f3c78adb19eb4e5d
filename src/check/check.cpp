// Stimuli are read first, since a line in them may name their netlist; then each netlist with its
// stimuli is a piece of work of its own, and every thread takes the next one. Each piece fills rows that
// belong to it alone, so the result does not depend on the number of threads or who was first.
#include "settle/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <mutex>
#include <new>
#include <set>

#include "check/netlist_check.h"
#include "sim/workers.h"
#include "text/visible_text.h"

namespace settle {
namespace {

std::string normal_path(const std::string& path) {
  return std::filesystem::path(path).lexically_normal().string();
}

/// A reader for one thread: what the shared one says of a file is kept apart from other threads' files.
class OneAtATime final : public FileReader {
 public:
  OneAtATime(FileReader& files, std::mutex& guard) : files_(files), guard_(guard) {}
  bool read(const std::string& path, std::string& text, std::string& error) override {
    const std::lock_guard lock(guard_);
    const bool good = files_.read(path, text, error);
    limit_met_ = files_.limit_met();
    return good;
  }

 private:
  FileReader& files_;
  std::mutex& guard_;
};

/// A netlist with its rows.
struct CheckWork {
  std::string netlist;
  std::size_t netlist_row = no_id;   // none when only stimuli were asked for
  std::vector<std::size_t> stimuli;  // rows
};

class CheckRun {
 public:
  CheckRun(std::span<const CheckInput> inputs, FileReader& files, const CheckOptions& options)
      : inputs_(inputs), files_(files), options_(options), rows_(inputs.size()), read_(inputs.size()) {
    for (auto* stop : {&options_.elaborate.stop, &options_.elaborate.parse.stop, &options_.run.stop,
                       &options_.run.any_delay.stop, &options_.requirement.stop, &options_.requirement.any_delay.stop}) {
      *stop = options_.stop;
    }
  }

  CheckResult run() {
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
      rows_[i].path = inputs_[i].path;
      rows_[i].is_stimulus = inputs_[i].is_stimulus;
      if (!inputs_[i].is_stimulus) netlist_paths_.insert(normal_path(inputs_[i].path));
    }
    start_progress(options_.progress, "checking", "files", rows_.size());
    for_each(inputs_.size(), [this](std::size_t i) { read_stimulus(i); });
    plan();
    for_each(work_.size(), [this](std::size_t i) { judge(work_[i]); });
    CheckResult result;
    result.planned = rows_.size();
    result.interrupted = stopped();
    for (CheckedFile& row : rows_) {
      if (row.done) result.files.push_back(std::move(row));
    }
    return result;
  }

 private:
  bool stopped() const { return is_set(options_.stop); }

  template <class Task>
  void for_each(std::size_t count, const Task& task) {
    run_workers(options_.jobs, count, [&](std::size_t, WorkCounter& counter) {
      for (std::size_t i = 0; !stopped() && counter.take(i);) task(i);
    });
  }

  void read_stimulus(std::size_t i) {
    if (!inputs_[i].is_stimulus) return;
    read_[i] = std::make_unique<ReadStimulus>();
    OneAtATime files(files_, reading_);
    read_[i]->stimulus = parse_stimulus(inputs_[i].path, files, read_[i]->sources, read_[i]->diagnostics);
  }

  std::string netlist_of(std::size_t i) const {
    const std::string& named = read_[i]->stimulus.netlist;
    return named.empty() ? inputs_[i].netlist : normal_path(relative_to(inputs_[i].path, named));
  }

  void plan() {
    std::map<std::string, std::size_t> by_netlist;
    const auto work_for = [&](const std::string& netlist) -> CheckWork& {
      const auto [at, is_new] = by_netlist.emplace(netlist, work_.size());
      if (is_new) work_.push_back({netlist, no_id, {}});
      return work_[at->second];
    };
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
      if (!inputs_[i].is_stimulus) {
        work_for(normal_path(inputs_[i].path)).netlist_row = i;
      } else if (read_[i]) {
        const std::string netlist = netlist_of(i);
        if (netlist.empty()) {
          tell_no_netlist(i);
        } else {
          work_for(netlist).stimuli.push_back(i);
        }
      }
    }
  }

  void tell_no_netlist(std::size_t i) {
    CheckedFile& row = rows_[i];
    CheckItem item;
    item.aspect = CheckItem::Aspect::stimulus;
    item.kind = "error";
    item.fails = true;
    item.file = row.path;
    item.message = "no netlist goes with this stimulus";
    const std::string stem = std::filesystem::path(row.path).stem().string();
    item.hint = fmt::format("name its netlist '{}.gates', or write at its start: netlist \"FILE\"", stem);
    item.text = fmt::format("{}: error: {}\n  hint: {}\n", visible_text(row.path), item.message,
                            visible_text(item.hint));
    for (const Diagnostic& message : read_[i]->diagnostics.all())
      item.text += render(message, read_[i]->sources);
    row.items.push_back(std::move(item));
    row.verdict = CheckVerdict::error;
    row.done = true;
  }

  void judge(const CheckWork& work) {
    std::vector<ReadStimulus*> stimuli;
    for (const std::size_t i : work.stimuli) stimuli.push_back(read_[i].get());
    try {
      OneAtATime files(files_, reading_);
      NetlistCheck netlist(work.netlist, files, options_, [this](const std::string& path) {
        return netlist_paths_.contains(normal_path(path));
      });
      netlist.load(stimuli);
      for (const std::size_t i : work.stimuli) {
        if (stopped()) return;
        netlist.fill_stimulus_row(*read_[i], rows_[i]);
        finish(rows_[i]);
        read_[i].reset();
      }
      // Last, so that the messages of all circuits are there.
      if (work.netlist_row == no_id || stopped()) return;
      netlist.fill_netlist_row(rows_[work.netlist_row]);
      finish(rows_[work.netlist_row]);
    } catch (const std::bad_alloc&) {
      for (const std::size_t i : work.stimuli) out_of_memory(rows_[i]);
      if (work.netlist_row != no_id) out_of_memory(rows_[work.netlist_row]);
    }
  }

  // A stop signal may have cut it short: then it is no result.
  void finish(CheckedFile& row) const {
    row.done = !stopped();
    advance_progress(options_.progress);
  }

  static void out_of_memory(CheckedFile& row) {
    if (row.done) return;
    row.verdict = std::max(row.verdict, CheckVerdict::incomplete);
    row.incomplete_reason = "out of memory; fewer --jobs or a lower --limit-memory need less";
    row.done = true;
  }

  std::span<const CheckInput> inputs_;
  FileReader& files_;
  std::mutex reading_;
  CheckOptions options_;
  std::vector<CheckedFile> rows_;
  std::vector<std::unique_ptr<ReadStimulus>> read_;
  std::set<std::string> netlist_paths_;
  std::vector<CheckWork> work_;
};

}  // namespace

std::string_view name_of(CheckVerdict verdict) {
  constexpr std::array<std::string_view, 4> names = {"pass", "incomplete", "fail", "error"};
  return names[static_cast<std::size_t>(verdict)];
}

std::string_view name_of(CheckItem::Aspect aspect) {
  constexpr std::array<std::string_view, 6> names = {"netlist",     "requirement", "stimulus",
                                                     "expectation", "finding",     "waveform"};
  return names[static_cast<std::size_t>(aspect)];
}

std::uint64_t CheckResult::count(CheckVerdict verdict) const {
  return static_cast<std::uint64_t>(std::count_if(
      files.begin(), files.end(), [&](const CheckedFile& file) { return file.verdict == verdict; }));
}

CheckResult check(std::span<const CheckInput> inputs, FileReader& files, const CheckOptions& options) {
  return CheckRun(inputs, files, options).run();
}

}  // namespace settle
