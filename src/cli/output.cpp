#include "cli/output.h"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <fmt/format.h>

namespace settle::cli {
namespace {

// Writes all bytes; false with errno set when that fails.
bool write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(file, text.data(), text.size());
    if (n < 0) {
      if (errno == EINTR) continue;
      return false;
    }
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

bool complain(const std::string& path) {
  print_message(fmt::format("settle: error: cannot write '{}': {}\n", path, std::strerror(errno)));
  return false;
}

}  // namespace

void print_message(std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stderr);
  std::fflush(stderr);
}

bool write_output(const std::string& path, std::string_view text) {
  if (path.empty() || path == "-") {
    if (write_all(STDOUT_FILENO, text) || errno == EPIPE) return true;
    return complain("standard output");
  }
  // Devices and pipes cannot be replaced by a file with their name.
  struct stat info {};
  if (::stat(path.c_str(), &info) == 0 && !S_ISREG(info.st_mode)) {
    const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
    if (file < 0) return complain(path);
    const bool good = write_all(file, text) || errno == EPIPE;
    if (!good) complain(path);
    ::close(file);
    return good;
  }
  std::string part = path + ".XXXXXX";
  const int file = ::mkstemp(part.data());
  if (file < 0) return complain(path);
  const mode_t mask = ::umask(0);
  ::umask(mask);
  bool good = write_all(file, text) && ::fchmod(file, 0666 & ~mask) == 0;
  good = ::close(file) == 0 && good;
  if (good && std::rename(part.c_str(), path.c_str()) == 0) return true;
  complain(path);
  ::unlink(part.c_str());
  return false;
}

bool is_terminal_output() { return ::isatty(STDOUT_FILENO) == 1; }

unsigned terminal_width() {
  if (const char* columns = std::getenv("COLUMNS")) {
    const long n = std::strtol(columns, nullptr, 10);
    if (n >= 20 && n <= 1000) return static_cast<unsigned>(n);
  }
  struct winsize size {};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 20) return size.ws_col;
  return 80;
}

}  // namespace settle::cli
