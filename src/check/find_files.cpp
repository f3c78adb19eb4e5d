// What lies below the paths of a call. Folders are walked with a list, links to folders are not
// followed (they may lead round in a circle), hidden files and folders are passed over. Documents of
// many kinds end in .json: one that merely lies in a folder counts only when it says that it is a netlist.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <tuple>

#include "settle/check.h"

namespace settle {
namespace {

namespace fs = std::filesystem;

// Of netlists with the same name the first of these goes with a stimulus.
constexpr std::array<std::string_view, 4> netlist_endings = {".gates", ".v", ".bench", ".json"};
constexpr std::string_view stimulus_ending = ".stim";
constexpr std::size_t schema_reach = 4096;  // bytes from the start of a document, in which it says what it is

/// The place of the ending in the list above; its length when this is no netlist.
std::size_t rank_of(const fs::path& path) {
  const std::string ending = path.extension().string();
  return static_cast<std::size_t>(std::find(netlist_endings.begin(), netlist_endings.end(), ending) -
                                  netlist_endings.begin());
}

bool is_netlist(const fs::path& path) { return rank_of(path) < netlist_endings.size(); }

/// Does `"schema": "netlist/...` stand near the start? A later version counts, so that it is told of.
bool says_netlist(const fs::path& path) {
  std::string start(schema_reach, '\0');
  std::ifstream file(path, std::ios::binary);
  file.read(start.data(), static_cast<std::streamsize>(start.size()));
  start.resize(static_cast<std::size_t>(std::max<std::streamsize>(file.gcount(), 0)));
  std::erase_if(start, [](unsigned char c) { return std::isspace(c) != 0; });
  return start.find("\"schema\":\"netlist/") != std::string::npos;
}

/// May a file that nobody named be taken for a netlist?
bool is_netlist_unasked(const fs::path& path) {
  return is_netlist(path) && (path.extension() != ".json" || says_netlist(path));
}

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
    } else if (is_netlist(path)) {
      found_.insert(normal(path));
      named_.insert(normal(path));
      add_stimuli_of(path);
    } else if (fs::path(path).extension() == stimulus_ending) {
      found_.insert(normal(path));
    } else {
      diagnostics_.error({}, fmt::format("'{}' is neither a netlist ({}) nor a stimulus ({})", path,
                                         fmt::join(netlist_endings, ", "), stimulus_ending));
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
        } else if (entries->is_regular_file(ignored) || !entries->exists(ignored)) {
          // A link that leads nowhere is told when it is read.
          if (path.extension() == stimulus_ending || is_netlist_unasked(path)) found_.insert(normal(path));
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
        found_.insert(normal(path));
    }
  }

  /// The netlist with the longest fitting name in the folder of the stimulus; empty: none. Of those with
  /// the same name one that the call names goes first, then the order of the endings.
  std::string netlist_of(const fs::path& stimulus) {
    const std::string stem = stimulus.stem().string();
    std::string best;
    std::tuple<std::size_t, bool, std::size_t> best_rank;
    for (const fs::path& netlist : netlists_in(stimulus.parent_path())) {
      const std::string name = netlist.stem().string();
      const bool fits = stem.starts_with(name) &&
                        (stem.size() == name.size() ||
                         std::string_view("_-.").find(stem[name.size()]) != std::string_view::npos);
      if (!fits) continue;
      const std::tuple rank(name.size(), named_.contains(netlist), netlist_endings.size() - rank_of(netlist));
      if (best.empty() || rank > best_rank) {
        best = netlist.string();
        best_rank = rank;
      }
    }
    return best;
  }

  /// Normal paths.
  const std::vector<fs::path>& netlists_in(const fs::path& folder) {
    const auto [at, is_new] = netlists_.emplace(folder, std::vector<fs::path>());
    if (!is_new) return at->second;
    std::error_code error;
    for (fs::directory_iterator entries(folder.empty() ? fs::path(".") : folder, error);
         !error && entries != fs::directory_iterator(); entries.increment(error)) {
      const fs::path& path = entries->path();
      const fs::path shown = normal(folder / path.filename());
      if (!is_hidden(path) && (is_netlist_unasked(path) || named_.contains(shown))) at->second.push_back(shown);
    }
    return at->second;
  }

  Diagnostics& diagnostics_;
  std::set<fs::path> found_;  // by components, so that a folder stays together
  std::set<fs::path> named_;  // netlists that the call names
  std::map<fs::path, std::vector<fs::path>> netlists_;
};

}  // namespace

std::vector<CheckInput> find_check_files(std::span<const std::string> paths, Diagnostics& diagnostics) {
  FileFinder finder(diagnostics);
  for (const std::string& path : paths) finder.add(path);
  auto inputs = finder.take();
  if (inputs.empty() && !diagnostics.has_errors()) {
    diagnostics.error({}, fmt::format("there is nothing to check: no netlist ({}) and no stimulus ({}) was found",
                                      fmt::join(netlist_endings, ", "), stimulus_ending));
  }
  return inputs;
}

}  // namespace settle
