// Files that replay a witness.
#pragma once

#include <string>
#include <vector>

#include "settle/witness.h"

namespace settle::cli {

/// Writes what replay_files() made, and says so unless `quiet`; says `none` when there is no stimulus among
/// them. False after a message when a file could not be written.
bool write_replay_files(const std::vector<ReplayFile>& files, bool quiet, const std::string& none);

}  // namespace settle::cli
