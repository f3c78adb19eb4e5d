#include "cli/interrupt.h"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <climits>
#include <csignal>
#include <cstring>
#include <ctime>

#include "cli/exit_status.h"
#include "cli/output.h"

namespace settle::cli {
namespace {

// The only mutable state of the program outside its functions: a signal handler reaches no other.
std::atomic<bool> stop{false};
std::atomic<bool> continued{false};
std::atomic<int> caught{0};
std::atomic<long long> caught_at{0};        // in milliseconds of a clock that never steps
std::atomic<const char*> at_once{nullptr};  // what an end at once interrupts
std::atomic<bool> progress_stands{false};
std::atomic<bool> has_part{false};
std::array<char, PATH_MAX + 1> part{};

const char* name_of_signal(int number) {
  switch (number) {
    case SIGINT: return "Ctrl-C";
    case SIGTERM: return "SIGTERM";
    default: return "SIGHUP";
  }
}

// One request may come twice, to the process and to its group, as timeout(1) sends it.
constexpr long long one_request = 300;  // milliseconds

long long milliseconds_now() {
  struct timespec now {};
  ::clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec * 1000LL + now.tv_nsec / 1'000'000;
}

// Only what a signal handler may call.
void say(const char* text) {
  if (::write(STDERR_FILENO, text, std::strlen(text)) < 0) return;
}

// Called by the handler, too.
[[noreturn]] void end_at_once(int number) {
  if (progress_stands.load()) say("\r\x1b[K");
  if (has_part.load()) ::unlink(part.data());
  say("settle: stopped by ");
  say(name_of_signal(number));
  if (const char* what = at_once.load(); what != nullptr) {
    say(" ");
    say(what);
  }
  say(", before there was a result\n");
  ::_exit(128 + number);
}

extern "C" void on_signal(int number) {
  const int saved = errno;
  const char* what = at_once.load();
  const bool is_first = caught.load() == 0;
  if (what == nullptr && (is_first || milliseconds_now() - caught_at.load() < one_request)) {
    if (is_first) {
      caught_at.store(milliseconds_now());
      caught.store(number);
    }
    stop.store(true);
    errno = saved;
    return;
  }
  end_at_once(number);
}

extern "C" void on_continue(int) { continued.store(true); }

// A file opened later must not take the place of a stream that was closed: messages would go there.
// Opened the wrong way round, so that its use fails as it would have.
void fill_closed_streams() {
  constexpr std::array<int, 3> modes = {O_WRONLY, O_RDONLY, O_RDONLY};
  for (int stream = 0; stream < 3; ++stream) {
    if (::fcntl(stream, F_GETFD) != -1 || errno != EBADF) continue;
    const int file = ::open("/dev/null", modes[static_cast<std::size_t>(stream)]);
    if (file >= 0 && file != stream) ::close(file);
  }
}

}  // namespace

void catch_signals() {
  fill_closed_streams();
  struct sigaction action {};
  action.sa_handler = on_signal;
  ::sigemptyset(&action.sa_mask);
  for (const int number : {SIGINT, SIGTERM}) ::sigaction(number, &action, nullptr);
  struct sigaction before {};
  // nohup has it ignored.
  if (::sigaction(SIGHUP, nullptr, &before) == 0 && before.sa_handler != SIG_IGN) {
    ::sigaction(SIGHUP, &action, nullptr);
  }
  std::signal(SIGPIPE, SIG_IGN);
  action.sa_handler = on_continue;
  action.sa_flags = SA_RESTART;
  ::sigaction(SIGCONT, &action, nullptr);
}

const std::atomic<bool>& stop_flag() { return stop; }

bool has_continued() { return continued.exchange(false); }

int status_after_signal(int status) {
  const int number = caught.load();
  if (number == 0) return status;
  print_message(std::string("settle: stopped by ") + name_of_signal(number) +
                (status == exit_incomplete ? ": what was complete by then is in the result\n" : "\n"));
  return 128 + number;
}

EndsAtOnce::EndsAtOnce(const char* while_what) {
  at_once.store(while_what);
  // A signal that came just before would be forgotten while the work waits for input.
  if (const int number = caught.load(); number != 0) end_at_once(number);
}
EndsAtOnce::~EndsAtOnce() { at_once.store(nullptr); }

PartFile::PartFile(const std::string& path) {
  if (path.size() >= part.size()) return;
  std::memcpy(part.data(), path.c_str(), path.size() + 1);
  has_part.store(true);
}
PartFile::~PartFile() { has_part.store(false); }

void note_progress_line(bool stands) { progress_stands.store(stands); }

}  // namespace settle::cli
