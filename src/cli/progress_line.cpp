#include "cli/progress_line.h"

#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "cli/interrupt.h"
#include "cli/output.h"

namespace settle::cli {
namespace {

using Clock = std::chrono::steady_clock;  // of the display alone; no result depends on it

constexpr std::chrono::milliseconds silence{1000};
constexpr std::chrono::milliseconds between_rewrites{200};
constexpr std::chrono::milliseconds between_lines{5000};

bool can_rewrite() {
  const char* terminal = std::getenv("TERM");
  return is_terminal_for_messages() && terminal != nullptr && std::string_view(terminal) != "dumb";
}

std::string time_left(double seconds) {
  const auto whole = static_cast<unsigned long long>(std::ceil(seconds));
  if (whole < 120) return fmt::format("{} s", whole);
  if (whole < 7200) return fmt::format("{} min", (whole + 59) / 60);
  return fmt::format("{} h", (whole + 3599) / 3600);
}

}  // namespace

std::string progress_text(const Progress& progress, double seconds) {
  std::string text = fmt::format("settle: {}", progress.what());
  const std::uint64_t total = progress.total(), done = progress.done(), count = progress.count();
  const char* separator = ": ";
  if (total != 0) {
    const double share = std::min(1.0, static_cast<double>(done) / static_cast<double>(total));
    text += fmt::format("{}{:.0f} %", separator, std::floor(share * 100));
    separator = ", ";
  }
  const std::string_view unit = progress.unit();
  if (!unit.empty() && count != 0) {
    text += fmt::format("{}{} {}", separator, count, unit);
    if (seconds > 0) text += fmt::format(", {:.0f} a second", static_cast<double>(count) / seconds);
  }
  if (total != 0 && done != 0 && done < total) {
    const double left = seconds * static_cast<double>(total - done) / static_cast<double>(done);
    if (left < 3600.0 * 1000) text += fmt::format(", about {} left", time_left(left));
  }
  return text;
}

ProgressLine::ProgressLine(const std::string& when, bool quiet) : rewrites_(can_rewrite()) {
  if (when == "never" || (when == "auto" && (!rewrites_ || quiet))) return;
  try {
    thread_ = std::thread([this] { watch(); });
  } catch (const std::system_error&) {
    // No thread to be had: the work goes on unseen.
  }
}

ProgressLine::~ProgressLine() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  ends_.notify_one();
  thread_.join();
  if (stands_) print_message("\r\x1b[K");
  note_progress_line(false);
}

void ProgressLine::watch() {
  const char* what = nullptr;
  Clock::time_point since = Clock::now();
  Clock::time_point next = since + silence;
  std::unique_lock lock(mutex_);
  // Looks often, so that the time at which a stage begins is known well enough.
  while (!ends_.wait_for(lock, between_rewrites, [this] { return ended_; })) {
    const Clock::time_point now = Clock::now();
    if (progress_.what() != what) {
      what = progress_.what();
      since = now - between_rewrites / 2;
    }
    if (what == nullptr || now < next) continue;
    show(progress_text(progress_, std::chrono::duration<double>(now - since).count()));
    next = now + (rewrites_ ? between_rewrites : between_lines);
  }
}

void ProgressLine::show(const std::string& text) {
  if (!rewrites_) {
    print_message(text + "\n");
    return;
  }
  const std::string_view fits = std::string_view(text).substr(0, terminal_width(STDERR_FILENO) - 1);
  note_progress_line(true);
  stands_ = true;
  print_message(fmt::format("\r{}\x1b[K", fits));
}

}  // namespace settle::cli
