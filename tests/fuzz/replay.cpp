// Runs files through the fuzz targets, with any compiler.
//   fuzz_replay --corpus FOLDER       every file of FOLDER/TARGET through that target
//   fuzz_replay TARGET PATH...        these files, and those in these folders
//   fuzz_replay --show TARGET FILE    prints the texts that a file stands for
//   fuzz_replay --split TARGET FILE FOLDER   writes these texts as files
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"

namespace {

namespace fs = std::filesystem;
using settle::fuzz::Target;

std::string read(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// 0 files is a failure: a corpus that is not found must not pass.
int replay(const Target& target, const std::vector<fs::path>& paths) {
  std::vector<fs::path> files;
  for (const fs::path& path : paths) {
    if (!fs::is_directory(path)) {
      files.push_back(path);
      continue;
    }
    for (const auto& entry : fs::recursive_directory_iterator(path)) {
      if (entry.is_regular_file()) files.push_back(entry.path());
    }
  }
  std::sort(files.begin(), files.end());
  for (const fs::path& file : files) {
    // Before the run, so that the last line names the file that ended the program.
    std::printf("%.*s %s\n", static_cast<int>(target.name.size()), target.name.data(), file.string().c_str());
    std::fflush(stdout);
    target.run(read(file));
  }
  std::printf("%zu files passed\n", files.size());
  return files.empty() ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  const auto target_at = [&](std::size_t i) {
    return i < words.size() ? settle::fuzz::find_target(words[i]) : nullptr;
  };
  if (words.size() == 2 && words[0] == "--corpus") {
    int status = 0;
    for (const Target* target : settle::fuzz::all_targets) {
      status |= replay(*target, {fs::path(words[1]) / target->name});
    }
    return status;
  }
  if (const Target* target = target_at(1); target != nullptr && words.size() >= 3) {
    const std::string shown = target->show(read(words[2]));
    if (words[0] == "--show" && words.size() == 3) {
      std::fwrite(shown.data(), 1, shown.size(), stdout);
      return 0;
    }
    if (words[0] == "--split" && words.size() == 4) {
      for (const auto& [name, text] : settle::fuzz::split_files(shown, "main")) {
        std::ofstream(fs::path(words[3]) / fs::path(name).filename(), std::ios::binary) << text;
      }
      return 0;
    }
  }
  if (const Target* target = target_at(0); target != nullptr && words.size() >= 2) {
    return replay(*target, {words.begin() + 1, words.end()});
  }
  std::fputs(
      "usage: fuzz_replay --corpus FOLDER | TARGET PATH... | --show TARGET FILE | --split TARGET FILE "
      "FOLDER\n",
      stderr);
  return 2;
}
