// Runs the built program as a shell would.
#pragma once

#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace settle::testing {

struct Outcome {
  std::string output;   ///< standard output, and standard error where the arguments say 2>&1
  int status = -1;      ///< exit status, or -1 when it ended otherwise
};

/// A shell command in the folder `folder`, in which `settle` stands for the program.
inline Outcome run_shell(const std::string& command, const std::string& folder = SETTLE_SOURCE_DIR "/examples") {
  const std::string whole = "cd '" + folder + "' && settle() { '" SETTLE_PROGRAM "' \"$@\"; } && " + command;
  Outcome outcome;
  FILE* pipe = popen(whole.c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer;
  for (std::size_t count; (count = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    outcome.output.append(buffer.data(), count);
  }
  const int result = pclose(pipe);
  if (WIFEXITED(result)) outcome.status = WEXITSTATUS(result);
  return outcome;
}

/// `settle ARGUMENTS` in the folder of the examples, both streams.
inline Outcome run_settle(const std::string& arguments) { return run_shell("settle " + arguments + " 2>&1"); }

inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// The whole text of a file; empty when there is none.
inline std::string content_of(const std::filesystem::path& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

/// A new empty folder that goes away with the object.
class ScratchFolder {
 public:
  ScratchFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "settle-test-XXXXXX").string();
    path_ = mkdtemp(name.data());
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }
  void put(const std::string& name, const std::string& text) const { std::ofstream(path_ / name) << text; }

 private:
  std::filesystem::path path_;
};

}  // namespace settle::testing
