#include "cli/output.h"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "cli/interrupt.h"

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

// The number of an open file that a path stands for, as /dev/stdout does; -1: none. Such a file is
// written as it is open, for what else is written there must stay.
int open_file_named(const std::string& path) {
  if (path == "/dev/stdout") return STDOUT_FILENO;
  if (path == "/dev/stderr") return STDERR_FILENO;
  for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/"}) {
    if (!path.starts_with(folder)) continue;
    int number = -1;
    const char* end = path.data() + path.size();
    const auto [after, error] = std::from_chars(path.data() + folder.size(), end, number);
    if (error == std::errc{} && after == end) return number;
  }
  return -1;
}

// The file that is meant, symbolic links followed: the link stays, and what it leads to is replaced.
std::string target_of(std::string path) {
  constexpr int most_links = 40;
  std::error_code no_link;
  // Of links that lead in a circle one is left, and opening it fails.
  for (int i = 0; i < most_links && open_file_named(path) < 0; ++i) {
    const std::filesystem::path target = std::filesystem::read_symlink(path, no_link);
    if (no_link) break;
    path = (std::filesystem::path(path).parent_path() / target).string();
  }
  return path;
}

bool write_to(int file, std::string_view text, const std::string& name) {
  return write_all(file, text) || errno == EPIPE || complain(name);
}

// A new file takes the place of the old one, if any, with its owner and permissions.
bool replace(const std::string& path, const struct stat* before, std::string_view text) {
  if (before != nullptr && ::access(path.c_str(), W_OK) != 0) return complain(path);
  std::string unfinished = (std::filesystem::path(path).parent_path() / ".settle-XXXXXX").string();
  const int file = ::mkstemp(unfinished.data());
  if (file < 0) return complain(path);
  const PartFile goes_away(unfinished);
  const mode_t mask = ::umask(0);
  ::umask(mask);
  bool good = write_all(file, text);
  if (good && before != nullptr && (before->st_uid != ::geteuid() || before->st_gid != ::getegid())) {
    if (::fchown(file, before->st_uid, before->st_gid) != 0) errno = 0;  // not ours to give: stays ours
  }
  good = good && ::fchmod(file, before != nullptr ? before->st_mode & 07777 : 0666 & ~mask) == 0;
  const int why = errno;
  if (::close(file) != 0 && good) {
    good = false;
  } else {
    errno = why;
  }
  if (good && std::rename(unfinished.c_str(), path.c_str()) == 0) return true;
  complain(path);
  ::unlink(unfinished.c_str());
  return false;
}

}  // namespace

void print_message(std::string_view text) {
  if (!write_all(STDERR_FILENO, text)) return;  // there is no one left to tell
}

bool write_output(const std::string& path, std::string_view text) {
  if (path.empty() || path == "-") return write_to(STDOUT_FILENO, text, "standard output");
  const std::string target = target_of(path);
  if (const int file = open_file_named(target); file >= 0) return write_to(file, text, path);
  struct stat info {};
  const bool exists = ::stat(target.c_str(), &info) == 0;
  if (!exists && errno != ENOENT) return complain(path);
  if (!exists || S_ISREG(info.st_mode)) return replace(target, exists ? &info : nullptr, text);
  // Devices and pipes cannot be replaced by a file with their name.
  const int file = ::open(target.c_str(), O_WRONLY | O_CLOEXEC | O_NOCTTY);
  if (file < 0) return complain(path);
  const bool good = write_to(file, text, path);
  ::close(file);
  return good;
}

bool is_terminal_output() { return ::isatty(STDOUT_FILENO) == 1; }
bool is_terminal_for_messages() { return ::isatty(STDERR_FILENO) == 1; }

unsigned terminal_width(int stream) {
  if (const char* columns = std::getenv("COLUMNS")) {
    const long n = std::strtol(columns, nullptr, 10);
    if (n >= 20 && n <= 1000) return static_cast<unsigned>(n);
  }
  struct winsize size {};
  if (::ioctl(stream, TIOCGWINSZ, &size) == 0 && size.ws_col >= 20) return size.ws_col;
  return 80;
}

}  // namespace settle::cli
