// Several small files in one text: a line `## file NAME` starts each; what stands before the first such
// line is the main file. The line is a comment in both languages.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace settle::fuzz {

using FileSet = std::vector<std::pair<std::string, std::string>>;  // name, text

inline FileSet split_files(std::string_view text, const std::string& main_name) {
  constexpr std::string_view mark = "## file ";
  FileSet files{{main_name, ""}};
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end == std::string_view::npos ? text.size() : end + 1);
    text.remove_prefix(line.size());
    if (line.starts_with(mark)) {
      std::string_view name = line.substr(mark.size());
      while (!name.empty() && (name.back() == '\n' || name.back() == '\r' || name.back() == ' '))
        name.remove_suffix(1);
      files.emplace_back(name, "");
    } else {
      files.back().second += line;
    }
  }
  // Nothing stood before the first mark.
  if (files.size() > 1 && files[0].second.empty()) files.erase(files.begin());
  return files;
}

inline std::string join_files(const FileSet& files) {
  std::string text;
  for (const auto& [name, content] : files) text += "## file " + name + "\n" + content;
  return text;
}

}  // namespace settle::fuzz
