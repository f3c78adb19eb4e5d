// A text that comes from no file, read as if from one.
#pragma once

#include <string>
#include <utility>

#include "settle/source.h"

namespace settle {

/// Gives the same text for every path.
class TextReader final : public FileReader {
 public:
  explicit TextReader(std::string text) : text_(std::move(text)) {}
  bool read(const std::string&, std::string& text, std::string&) override {
    text = text_;
    return true;
  }

 private:
  std::string text_;
};

}  // namespace settle
