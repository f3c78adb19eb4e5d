// The parts of a Markdown page that the documentation test looks at: fenced blocks and links.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace settle::docs {

/// A fenced code block. Its lines stand at Page::lines[first .. last).
struct Block {
  std::string language;   ///< first word after the fence: "console", "sh", "gates", ...
  std::string file_name;  ///< second word, or empty: the block is written to this file
  std::size_t first = 0, last = 0;
};

struct Link {
  std::string target;    ///< as written, without an anchor
  std::size_t line = 0;  ///< index into Page::lines
};

struct Page {
  std::string path;
  std::vector<std::string> lines;
  std::vector<Block> blocks;
  std::vector<Link> links;  ///< outside of blocks; only those to files, not to the web
};

Page read_page(const std::string& path);

}  // namespace settle::docs
