// Which files a check is about.
#include <filesystem>

#include "settle/check.h"
#include "support/catch.h"
#include "support/run_program.h"

using namespace settle;
using namespace settle::testing;

namespace {

/// "path" or "path < netlist" a line; paths as seen from `folder`.
std::string found(const ScratchFolder& folder, const std::vector<std::string>& names,
                  std::string* messages = nullptr) {
  std::vector<std::string> paths;
  for (const std::string& name : names) paths.push_back((folder.path() / name).string());
  Diagnostics diagnostics;
  const auto inputs = find_check_files(paths, diagnostics);
  if (messages != nullptr) *messages = render(diagnostics, Sources());
  std::string text;
  const auto shown = [&](const std::string& path) {
    return std::filesystem::path(path).lexically_relative(folder.path()).string();
  };
  for (const CheckInput& input : inputs) {
    text += shown(input.path);
    if (!input.netlist.empty()) text += " < " + shown(input.netlist);
    text += "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("Folders are searched through, sorted, without hidden ones") {
  const ScratchFolder folder;
  for (const char* sub : {"b", "a", ".git", "b/deep"})
    std::filesystem::create_directories(folder.path() / sub);
  for (const char* file : {"z.gates", "b/x.gates", "b/x.stim", "b/deep/y.gates", "a/k.gates", "a/readme.txt",
                           ".git/h.gates", "b/.h.gates", "b-c.gates"}) {
    folder.put(file, "");
  }
  CHECK(found(folder, {"."}) ==
        "a/k.gates\nb/deep/y.gates\nb/x.gates\nb/x.stim < b/x.gates\nb-c.gates\nz.gates\n");
  // Each once, whatever way it is named.
  CHECK(found(folder, {"b", "b/x.gates", "b/../b/x.gates"}) ==
        "b/deep/y.gates\nb/x.gates\nb/x.stim < b/x.gates\n");
}

TEST_CASE("A link that leads nowhere is a file to be told of") {
  const ScratchFolder folder;
  folder.put("a.gates", "");
  std::filesystem::create_symlink("gone.gates", folder.path() / "b.gates");
  std::filesystem::create_symlink("gone.txt", folder.path() / "c.txt");
  CHECK(found(folder, {"."}) == "a.gates\nb.gates\n");
}

TEST_CASE("A stimulus goes with the netlist of the longest fitting name") {
  const ScratchFolder folder;
  for (const char* file :
       {"block.gates", "block_memory.gates", "block.stim", "block_memory.stim", "block_memory_reset.stim",
        "block-2.stim", "block.day.stim", "blocks.stim", "other.stim"}) {
    folder.put(file, "");
  }
  CHECK(found(folder, {"."}) ==
        "block-2.stim < block.gates\nblock.day.stim < block.gates\nblock.gates\nblock.stim < block.gates\n"
        "block_memory.gates\nblock_memory.stim < block_memory.gates\n"
        "block_memory_reset.stim < block_memory.gates\nblocks.stim\nother.stim\n");
  // A netlist named alone brings its own stimuli, no others.
  CHECK(found(folder, {"block.gates"}) ==
        "block-2.stim < block.gates\nblock.day.stim < block.gates\nblock.gates\nblock.stim < block.gates\n");
  CHECK(found(folder, {"block_memory_reset.stim"}) == "block_memory_reset.stim < block_memory.gates\n");
}

TEST_CASE("Netlists of all forms are found; a document must say that it is one") {
  const ScratchFolder folder;
  for (const char* file : {"a.v", "b.bench", "a.stim", "a.vh", "notes.json"}) folder.put(file, "");
  folder.put("c.json", "{\n  \"settle\" : \"0.1.0\",\n  \"schema\" :\n  \"netlist/1\", \"cells\": []}");
  folder.put("far.json", std::string(5000, ' ') + "{\"schema\": \"netlist/1\"}");
  folder.put("table.json", "{\"schema\": \"table/1\"}");
  CHECK(found(folder, {"."}) == "a.stim < a.v\na.v\nb.bench\nc.json\n");
  CHECK(found(folder, {"table.json", "far.json"}) == "far.json\ntable.json\n");
}

TEST_CASE("Of netlists with one name the named one has the stimulus, else the first in order") {
  const ScratchFolder folder;
  for (const char* file : {"a.gates", "a.v", "a.bench", "a.json", "a.stim", "b.json", "b.bench", "b.stim", "a_b.v",
                           "a_b.stim"}) {
    folder.put(file, "");
  }
  CHECK(found(folder, {"."}) ==
        "a.bench\na.gates\na.stim < a.gates\na.v\na_b.stim < a_b.v\na_b.v\nb.bench\nb.stim < b.bench\n");
  CHECK(found(folder, {"a.v"}) == "a.stim < a.v\na.v\n");
  CHECK(found(folder, {"a.json"}) == "a.json\na.stim < a.json\n");
  CHECK(found(folder, {"a.v", "a.bench"}) == "a.bench\na.stim < a.v\na.v\n");
}

TEST_CASE("Wrong paths are told all at once") {
  const ScratchFolder folder;
  folder.put("a.txt", "");
  std::string messages;
  found(folder, {"gone", "a.txt"}, &messages);
  const std::string at = folder.path().string();
  CHECK(messages == "settle: error: there is no file or folder '" + at + "/gone'\n" + "settle: error: '" +
                        at + "/a.txt' is neither a netlist (.gates, .v, .bench, .json) nor a stimulus (.stim)\n");
  found(folder, {"."}, &messages);
  CHECK(messages ==
        "settle: error: there is nothing to check: no netlist (.gates, .v, .bench, .json) and no stimulus (.stim) was found\n");
}
