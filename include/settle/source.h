// Input texts and places in them: every message can say file, line and column.
#pragma once

#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "settle/limits.h"

namespace settle {

/// A stretch of one input text. Compact, since there is one for each gate of a large netlist.
struct Place {
  std::uint32_t file = none;    ///< index into Sources, or `none`
  std::uint32_t offset = 0;     ///< byte offset of the first character
  static constexpr std::uint32_t none = 0xffffffffu;
  bool exists() const { return file != none; }
};

/// Where files come from: the disk, or memory in tests.
class FileReader {
 public:
  virtual ~FileReader() = default;
  /// Reads the whole file. Returns false and says why in `error` (lower case, no file name).
  virtual bool read(const std::string& path, std::string& text, std::string& error) = 0;

  /// Why read() gave false: the file is larger than this reader takes. 0: for another reason; else that
  /// size in MiB.
  std::uint64_t limit_met() const { return limit_met_; }

 protected:
  std::uint64_t limit_met_ = 0;
};

/// The disk; the path "-" is the standard input. Refuses folders and files above `limit_bytes`.
class DiskReader final : public FileReader {
 public:
  explicit DiskReader(std::uint64_t limit_bytes = default_limit(LimitKind::file) << 20) : limit_(limit_bytes) {}
  bool read(const std::string& path, std::string& text, std::string& error) override;

 private:
  std::uint64_t limit_;
};

/// All texts read for one job. Texts never move, so string_views into them stay good.
class Sources {
 public:
  /// Takes over a text, gives its file index.
  std::uint32_t add(std::string path, std::string text);

  std::uint32_t count() const { return static_cast<std::uint32_t>(files_.size()); }
  const std::string& path(std::uint32_t file) const { return files_[file].path; }
  std::string_view text(std::uint32_t file) const { return files_[file].text; }

  struct LineColumn {
    std::uint32_t line = 0;    ///< from 1
    std::uint32_t column = 0;  ///< from 1, counted in characters (UTF-8), a tab is one
  };
  LineColumn locate(Place place) const;

  /// The whole line around a place, without its line end.
  std::string_view line_at(Place place) const;

 private:
  struct File {
    std::string path;
    std::string text;
    std::vector<std::uint32_t> lines_before;  // line ends in front of each block of the text
  };
  std::deque<File> files_;
};

/// The path of `name` as seen from the folder of `from` (for include and netlist lines).
std::string relative_to(const std::string& from, std::string_view name);

}  // namespace settle
