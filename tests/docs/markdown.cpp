#include "docs/markdown.h"

#include <fstream>
#include <sstream>

namespace settle::docs {

namespace {

void add_links(const std::string& line, std::size_t index, std::vector<Link>& links) {
  for (std::size_t at = line.find("]("); at != std::string::npos; at = line.find("](", at + 1)) {
    const std::size_t end = line.find(')', at);
    if (end == std::string::npos) return;
    std::string target = line.substr(at + 2, end - at - 2);
    target = target.substr(0, target.find('#'));
    if (!target.empty() && target.find("://") == std::string::npos) links.push_back({target, index});
  }
}

}  // namespace

Page read_page(const std::string& path) {
  Page page;
  page.path = path;
  std::ifstream file(path);
  bool inside = false;
  for (std::string line; std::getline(file, line);) {
    const std::size_t index = page.lines.size();
    const bool fence = line.starts_with("```");
    if (fence && inside) {
      page.blocks.back().last = index;
    } else if (fence) {
      Block block;
      std::istringstream words(line.substr(3));
      words >> block.language >> block.file_name;
      block.first = block.last = index + 1;
      page.blocks.push_back(block);
    } else if (!inside) {
      add_links(line, index, page.links);
    }
    if (fence) inside = !inside;
    page.lines.push_back(line);
  }
  if (inside) page.blocks.back().last = page.lines.size();
  return page;
}

}  // namespace settle::docs
