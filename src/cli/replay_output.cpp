#include "cli/replay_output.h"

#include <fmt/format.h>

#include "cli/output.h"

namespace settle::cli {

bool write_replay_files(const std::vector<ReplayFile>& files, bool quiet, const std::string& none) {
  if (files.size() < 2) {
    print_message("settle: no witness to write: " + none + "\n");
    return true;
  }
  for (const ReplayFile& file : files) {
    if (!write_output(file.name, file.text)) return false;
  }
  if (!quiet) {
    print_message(fmt::format("settle: wrote {} and {} {}\n", files[0].name,
                              files.size() == 2 ? "its stimulus" : "its stimuli up to", files.back().name));
  }
  return true;
}

}  // namespace settle::cli
