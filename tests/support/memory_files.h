// Files in memory, so that tests touch no disk.
#pragma once

#include <initializer_list>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "settle/source.h"

namespace settle::testing {

/// A FileReader over a map from path to text. Paths that are missing give "no such file".
class MemoryFiles final : public FileReader {
 public:
  MemoryFiles() = default;
  MemoryFiles(std::initializer_list<std::pair<const std::string, std::string>> files) : files_(files) {}

  void put(std::string path, std::string text) { files_[std::move(path)] = std::move(text); }

  bool read(const std::string& path, std::string& text, std::string& error) override {
    reads_.push_back(path);
    const auto found = files_.find(path);
    if (found == files_.end()) {
      error = "no such file";
      return false;
    }
    text = found->second;
    return true;
  }

  /// Every path asked for, in order.
  const std::vector<std::string>& reads() const { return reads_; }

 private:
  std::map<std::string, std::string> files_;
  std::vector<std::string> reads_;
};

}  // namespace settle::testing
