#include "cli/picture_output.h"

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>

#include "cli/output.h"

extern char** environ;

namespace settle::cli {
namespace {

struct Pipe {
  int read = -1, write = -1;
  Pipe() {
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) == 0) {
      read = ends[0];
      write = ends[1];
    }
  }
  Pipe(const Pipe&) = delete;
  Pipe& operator=(const Pipe&) = delete;
  ~Pipe() {
    close_end(read);
    close_end(write);
  }
  static void close_end(int& end) {
    if (end >= 0) close(end);
    end = -1;
  }
};

enum class Conversion { done, no_tool, failed };

// Feeds the program and takes what it writes, in turns, so that neither waits for the other for ever.
void exchange(Pipe& in, Pipe& out, std::string_view text, std::string& result) {
  fcntl(in.write, F_SETFL, O_NONBLOCK);
  std::array<char, 65536> buffer;
  for (bool is_open = true; is_open;) {
    std::array<pollfd, 2> polled = {{{out.read, POLLIN, 0}, {in.write, POLLOUT, 0}}};
    if (poll(polled.data(), in.write >= 0 ? 2 : 1, -1) < 0 && errno != EINTR) return;
    if (in.write >= 0 && polled[1].revents != 0) {
      const ssize_t written = text.empty() ? 0 : write(in.write, text.data(), text.size());
      if (written > 0) text.remove_prefix(static_cast<std::size_t>(written));
      if (text.empty() || (written < 0 && errno != EAGAIN && errno != EINTR)) Pipe::close_end(in.write);
    }
    if (polled[0].revents != 0) {
      const ssize_t count = read(out.read, buffer.data(), buffer.size());
      if (count > 0) result.append(buffer.data(), static_cast<std::size_t>(count));
      is_open = count > 0 || (count < 0 && errno == EINTR);
    }
  }
}

Conversion convert(std::string_view svg, const std::string& format, std::string& result) {
  Pipe in, out;
  if (in.read < 0 || out.read < 0) return Conversion::failed;
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, in.read, 0);
  posix_spawn_file_actions_adddup2(&actions, out.write, 1);
  std::string tool = "rsvg-convert", option = "--format=" + format;
  std::array<char*, 3> arguments = {tool.data(), option.data(), nullptr};
  pid_t child = -1;
  const int error = posix_spawnp(&child, tool.c_str(), &actions, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  if (error != 0) return error == ENOENT ? Conversion::no_tool : Conversion::failed;
  Pipe::close_end(in.read);
  Pipe::close_end(out.write);
  void (*const old_handler)(int) = std::signal(SIGPIPE, SIG_IGN);
  exchange(in, out, svg, result);
  std::signal(SIGPIPE, old_handler);
  int status = 0;
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  return WIFEXITED(status) && WEXITSTATUS(status) == 0 && !result.empty() ? Conversion::done
                                                                          : Conversion::failed;
}

}  // namespace

std::string picture_format_of_path(std::string_view path) {
  for (const std::string_view form : {"png", "pdf"}) {
    if (path.size() > form.size() && path.ends_with(form) && path[path.size() - form.size() - 1] == '.') {
      return std::string(form);
    }
  }
  return "svg";
}

bool write_picture(const std::string& path, std::string_view svg, std::string_view format) {
  if (format == "svg") return write_output(path, svg);
  std::string result;
  switch (convert(svg, std::string(format), result)) {
    case Conversion::done: return write_output(path, result);
    case Conversion::no_tool:
      print_message(
          std::string("settle: error: '--format ")
              .append(format)
              .append("' needs the program rsvg-convert, which is not installed\n"
                      "  hint: on Debian it is in the package librsvg2-bin; '--format svg' needs nothing\n"));
      return false;
    case Conversion::failed:
      print_message("settle: error: rsvg-convert could not convert the picture\n");
      return false;
  }
  return false;
}

}  // namespace settle::cli
