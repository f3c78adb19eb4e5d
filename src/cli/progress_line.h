// Shows how far long work is: one line that is rewritten on a terminal, plain lines elsewhere.
#pragma once

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

#include "settle/progress.h"

namespace settle::cli {

/// Lives while the work does. Shows nothing in the first second, and never on the standard output; the
/// line on the terminal is gone when the object is.
class ProgressLine {
 public:
  /// `when`: auto (on a terminal only), always, never.
  ProgressLine(const std::string& when, bool quiet);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// For the work to write; null when nothing will be shown.
  Progress* progress() { return thread_.joinable() ? &progress_ : nullptr; }

 private:
  void watch();
  void show(const std::string& text);

  Progress progress_;
  bool rewrites_ = false;
  bool stands_ = false;
  bool ended_ = false;
  std::mutex mutex_;
  std::condition_variable ends_;
  std::thread thread_;
};

/// "settle: judging steps: 12 %, 1200 steps, 400 a second, about 22 s left". `seconds`: since the stage
/// began.
std::string progress_text(const Progress& progress, double seconds);

}  // namespace settle::cli
