#include "settle/source.h"

#include <filesystem>
#include <fstream>
#include <string>

#include "support/catch.h"

using namespace settle;

namespace {

std::string located(const Sources& sources, std::uint32_t file, std::uint32_t offset) {
  const auto [line, column] = sources.locate({file, offset});
  return std::to_string(line) + ":" + std::to_string(column);
}

}  // namespace

TEST_CASE("places are counted in lines and characters") {
  Sources sources;
  sources.add("other.gates", "x");
  const std::uint32_t file = sources.add("a.gates", "ab\r\n\xc3\xb6\tc\n\nlast");
  CHECK(file == 1);
  CHECK(located(sources, file, 0) == "1:1");
  CHECK(located(sources, file, 1) == "1:2");
  CHECK(located(sources, file, 4) == "2:1");
  CHECK(located(sources, file, 6) == "2:2");
  CHECK(located(sources, file, 7) == "2:3");
  CHECK(located(sources, file, 9) == "3:1");
  CHECK(located(sources, file, 10) == "4:1");
  CHECK(located(sources, file, 14) == "4:5");
  CHECK(located(sources, file, 99) == "4:5");
  CHECK(sources.line_at({file, 1}) == "ab");
  CHECK(sources.line_at({file, 7}) == "\xc3\xb6\tc");
  CHECK(sources.line_at({file, 9}) == "");
  CHECK(sources.line_at({file, 14}) == "last");
  CHECK(sources.line_at({}) == "");
}

TEST_CASE("a byte order mark takes no column") {
  Sources sources;
  const std::uint32_t file = sources.add("a.gates", "\xef\xbb\xbf" "cell c\n");
  CHECK(located(sources, file, 3) == "1:1");
  CHECK(located(sources, file, 8) == "1:6");
  CHECK(sources.line_at({file, 3}) == "cell c");
}

TEST_CASE("places in long texts agree with counting from the start") {
  std::string text;
  for (int i = 0; i < 20000; ++i) text += std::string(static_cast<std::size_t>(i % 7), 'a') + "\n";
  Sources sources;
  const std::uint32_t file = sources.add("long", text);
  std::uint32_t line = 1;
  std::uint32_t column = 1;
  for (std::uint32_t offset = 0; offset < text.size(); ++offset) {
    const auto place = sources.locate({file, offset});
    if (place.line != line || place.column != column) {
      CAPTURE(offset, line, column);
      FAIL("wrong place");
    }
    if (text[offset] == '\n') ++line, column = 1;
    else ++column;
  }
  CHECK(line == 20001);
}

TEST_CASE("paths are seen from the folder of the file that names them") {
  CHECK(relative_to("cabin.gates", "a.gates") == "a.gates");
  CHECK(relative_to("yard/cabin.gates", "a.gates") == "yard/a.gates");
  CHECK(relative_to("yard/cabin.gates", "./a.gates") == "yard/a.gates");
  CHECK(relative_to("/yard/cabin.gates", "../a.gates") == "/yard/../a.gates");
  CHECK(relative_to("yard/cabin.gates", "/a.gates") == "/a.gates");
  CHECK(relative_to("-", "a.gates") == "a.gates");
}

TEST_CASE("the disk") {
  const std::filesystem::path folder = std::filesystem::temp_directory_path() / "settle_source_test";
  std::filesystem::create_directories(folder);
  const std::string path = (folder / "a.gates").string();
  std::ofstream(path, std::ios::binary) << std::string(100000, 'a') << '\0' << "end";
  std::string text;
  std::string error;
  DiskReader disk;
  REQUIRE(disk.read(path, text, error));
  CHECK(text.size() == 100004);
  CHECK(text.substr(100001) == "end");

  CHECK(!disk.read(folder.string(), text, error));
  CHECK(error == "it is a folder, not a file");
  CHECK(!disk.read((folder / "none").string(), text, error));
  CHECK(error == "no such file or directory");
  CHECK(text.empty());

  DiskReader small(std::uint64_t{1} << 16);
  CHECK(!small.read(path, text, error));
  CHECK(error == "it is larger than 65536 bytes");
  CHECK(!DiskReader(100003).read(path, text, error));
  CHECK(DiskReader(100004).read(path, text, error));
  std::filesystem::remove_all(folder);
}
