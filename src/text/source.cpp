// Input texts. Idea of locate(): add() counts the line ends of every 16 KiB block once, so that a
// place is found by one table look-up and a scan of one block, however many messages there are.
#include "settle/source.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <system_error>
#include <utility>

#include "text/large_pages.h"

namespace settle {
namespace {

constexpr std::size_t block_size = 16384;

struct CloseFile {
  void operator()(std::FILE* file) const { static_cast<void>(std::fclose(file)); }
};

std::string system_error_text(int number) {
  std::string text = std::generic_category().message(number);
  if (!text.empty() && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

std::string size_text(std::uint64_t bytes) {
  if (bytes >= (1u << 30) && bytes % (1u << 30) == 0) return fmt::format("{} GiB", bytes >> 30);
  if (bytes >= (1u << 20) && bytes % (1u << 20) == 0) return fmt::format("{} MiB", bytes >> 20);
  return fmt::format("{} bytes", bytes);
}

}  // namespace

bool DiskReader::read(const std::string& path, std::string& text, std::string& error) {
  text.clear();
  limit_met_ = 0;
  std::unique_ptr<std::FILE, CloseFile> opened;
  std::FILE* file = stdin;
  const std::string too_large = fmt::format("it is larger than {}", size_text(limit_));
  if (path != "-") {
    std::error_code ignored;
    if (std::filesystem::is_directory(path, ignored)) {
      error = "it is a folder, not a file";
      return false;
    }
    opened.reset(std::fopen(path.c_str(), "rb"));
    if (!opened) {
      error = system_error_text(errno);
      return false;
    }
    file = opened.get();
    const std::uintmax_t size = std::filesystem::file_size(path, ignored);
    if (!ignored) {
      if (size > limit_) {
        error = too_large;
        limit_met_ = std::max<std::uint64_t>(limit_ >> 20, 1);
        return false;
      }
      text.reserve(static_cast<std::size_t>(size) + 1);
      prefer_large_pages(text.data(), text.capacity());
    }
  }
  // The size is only a hint: pipes have none and files may grow while they are read.
  std::size_t used = 0;
  for (;;) {
    const std::size_t room = std::max<std::size_t>(text.capacity() - used, std::size_t{1} << 16);
    text.resize(used + room);
    errno = 0;
    const std::size_t got = std::fread(text.data() + used, 1, room, file);
    used += got;
    if (used > limit_) {
      text.clear();
      error = too_large;
      limit_met_ = std::max<std::uint64_t>(limit_ >> 20, 1);
      return false;
    }
    if (got == room) continue;
    text.resize(used);
    if (std::ferror(file) == 0) return true;
    error = errno != 0 ? system_error_text(errno) : std::string("it cannot be read");
    text.clear();
    return false;
  }
}

std::uint32_t Sources::add(std::string path, std::string text) {
  File& file = files_.emplace_back();
  file.path = std::move(path);
  file.text = std::move(text);
  const std::string_view all = file.text;
  file.lines_before.reserve(all.size() / block_size + 1);
  std::uint32_t lines = 0;
  for (std::size_t start = 0; start == 0 || start < all.size(); start += block_size) {
    file.lines_before.push_back(lines);
    const std::string_view block = all.substr(start, block_size);
    lines += static_cast<std::uint32_t>(std::count(block.begin(), block.end(), '\n'));
  }
  return static_cast<std::uint32_t>(files_.size() - 1);
}

Sources::LineColumn Sources::locate(Place place) const {
  if (!place.exists() || place.file >= files_.size()) return {};
  const File& file = files_[place.file];
  const std::string_view all = file.text;
  const std::size_t offset = std::min<std::size_t>(place.offset, all.size());
  const std::size_t block = std::min(offset / block_size, file.lines_before.size() - 1);
  const std::string_view rest = all.substr(block * block_size, offset - block * block_size);
  LineColumn result;
  result.line = 1 + file.lines_before[block] +
                static_cast<std::uint32_t>(std::count(rest.begin(), rest.end(), '\n'));
  const std::string_view before = all.substr(0, offset);
  std::size_t start = before.rfind('\n') + 1;  // npos + 1 is 0
  if (start == 0 && before.starts_with("\xef\xbb\xbf")) start = 3;
  // Bytes that continue a UTF-8 character are no columns of their own.
  const auto is_lead = [](char c) { return (static_cast<unsigned char>(c) & 0xc0u) != 0x80u; };
  result.column = 1 + static_cast<std::uint32_t>(std::count_if(
                          before.begin() + static_cast<std::ptrdiff_t>(start), before.end(), is_lead));
  return result;
}

std::string_view Sources::line_at(Place place) const {
  if (!place.exists() || place.file >= files_.size()) return {};
  const std::string_view all = files_[place.file].text;
  const std::size_t offset = std::min<std::size_t>(place.offset, all.size());
  std::size_t start = all.substr(0, offset).rfind('\n') + 1;
  if (start == 0 && all.starts_with("\xef\xbb\xbf")) start = 3;
  std::size_t end = all.find('\n', std::max(start, offset));
  if (end == std::string_view::npos) end = all.size();
  if (end > start && all[end - 1] == '\r') --end;
  return all.substr(start, end - start);
}

std::string relative_to(const std::string& from, std::string_view name) {
  while (name.starts_with("./")) name.remove_prefix(2);
  const std::size_t slash = from.rfind('/');
  if (slash == std::string::npos || name.starts_with('/')) return std::string(name);
  return from.substr(0, slash + 1) + std::string(name);
}

}  // namespace settle
