// What lies below the paths of a call. Folders are walked with a list, links to folders are not
// followed (they may lead round in a circle), hidden files and folders are passed over.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include "settle/check.h"

namespace settle {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view netlist_ending = ".gates";
constexpr std::string_view stimulus_ending = ".stim";

std::string normal(const fs::path& path) { return path.lexically_normal().string(); }

bool is_hidden(const fs::path& path) { return path.filename().string().starts_with("."); }

class FileFinder {
 public:
  explicit FileFinder(Diagnostics& diagnostics) : diagnostics_(diagnostics) {}

  void add(const std::string& path) {
    std::error_code error;
    const fs::file_status status = fs::status(path, error);
    if (!fs::exists(status)) {
      diagnostics_.error({}, fmt::format("there is no file or folder '{}'", path));
    } else if (fs::is_directory(status)) {
      add_folder(path);
    } else if (!add_file(path)) {
      diagnostics_.error({}, fmt::format("'{}' is neither a netlist (.gates) nor a stimulus (.stim)", path));
    } else if (fs::path(path).extension() == netlist_ending) {
      add_stimuli_of(path);
    }
  }

  std::vector<CheckInput> take() {
    std::vector<CheckInput> inputs;
    std::set<std::string> seen;  // the same file by another way
    for (const fs::path& path : found_) {
      std::error_code error;
      const fs::path whole = fs::weakly_canonical(path, error);
      if (!seen.insert(error ? path.string() : whole.string()).second) continue;
      CheckInput input;
      input.path = path.string();
      input.is_stimulus = path.extension() == stimulus_ending;
      if (input.is_stimulus) input.netlist = netlist_of(path);
      inputs.push_back(std::move(input));
    }
    return inputs;
  }

 private:
  bool add_file(const fs::path& path) {
    if (path.extension() != netlist_ending && path.extension() != stimulus_ending) return false;
    found_.insert(normal(path));
    return true;
  }

  void add_folder(const fs::path& top) {
    std::vector<fs::path> open{top};
    while (!open.empty()) {
      const fs::path folder = open.back();
      open.pop_back();
      std::error_code error;
      fs::directory_iterator entries(folder, error);
      for (; !error && entries != fs::directory_iterator(); entries.increment(error)) {
        const fs::path& path = entries->path();
        std::error_code ignored;
        if (is_hidden(path)) continue;
        if (entries->is_directory(ignored)) {
          if (!entries->is_symlink(ignored)) open.push_back(path);
        } else if (entries->is_regular_file(ignored)) {
          add_file(path);
        }
      }
      if (error)
        diagnostics_.error({}, fmt::format("cannot read folder '{}': {}", folder.string(), error.message()));
    }
  }

  void add_stimuli_of(const fs::path& netlist) {
    std::error_code error;
    const fs::path folder = netlist.has_parent_path() ? netlist.parent_path() : fs::path(".");
    for (fs::directory_iterator entries(folder, error); !error && entries != fs::directory_iterator();
         entries.increment(error)) {
      const fs::path path = netlist.parent_path() / entries->path().filename();
      if (path.extension() == stimulus_ending && !is_hidden(path) && netlist_of(path) == normal(netlist))
        add_file(path);
    }
  }

  /// The netlist with the longest fitting name in the folder of the stimulus; empty: none.
  std::string netlist_of(const fs::path& stimulus) {
    const std::string stem = stimulus.stem().string();
    std::string best;
    for (const std::string& name : stems_in(stimulus.parent_path())) {
      const bool fits = stem.starts_with(name) &&
                        (stem.size() == name.size() ||
                         std::string_view("_-.").find(stem[name.size()]) != std::string_view::npos);
      if (fits && name.size() > best.size()) best = name;
    }
    return best.empty() ? "" : normal(stimulus.parent_path() / (best + std::string(netlist_ending)));
  }

  const std::vector<std::string>& stems_in(const fs::path& folder) {
    const auto [at, is_new] = stems_.emplace(folder, std::vector<std::string>());
    if (!is_new) return at->second;
    std::error_code error;
    for (fs::directory_iterator entries(folder.empty() ? fs::path(".") : folder, error);
         !error && entries != fs::directory_iterator(); entries.increment(error)) {
      const fs::path& path = entries->path();
      if (path.extension() == netlist_ending && !is_hidden(path)) at->second.push_back(path.stem().string());
    }
    return at->second;
  }

  Diagnostics& diagnostics_;
  std::set<fs::path> found_;  // by components, so that a folder stays together
  std::map<fs::path, std::vector<std::string>> stems_;
};

}  // namespace

std::vector<CheckInput> find_check_files(std::span<const std::string> paths, Diagnostics& diagnostics) {
  FileFinder finder(diagnostics);
  for (const std::string& path : paths) finder.add(path);
  auto inputs = finder.take();
  if (inputs.empty() && !diagnostics.has_errors()) {
    diagnostics.error({}, "there is nothing to check: no netlist (.gates) and no stimulus (.stim) was found");
  }
  return inputs;
}

}  // namespace settle
