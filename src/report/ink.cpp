#include "report/ink.h"

#include <algorithm>
#include <array>

namespace settle::report {

namespace {

// Colours of M. Okabe and K. Ito, "Color Universal Design", 2008: told apart by nearly everybody,
// and these also by their lightness, on dark paper and on white. Values have the colours that they have in pictures.
std::string_view escape(Ink ink) {
  switch (ink) {
    case Ink::plain: return "";
    case Ink::faint: return "\x1b[2m";
    case Ink::strong: return "\x1b[1m";
    case Ink::high: return "\x1b[38;2;213;94;0m";
    case Ink::low: return "\x1b[38;2;0;114;178m";
    case Ink::unknown: return "\x1b[38;2;204;121;167m";
    case Ink::loose: return "\x1b[38;2;138;138;138m";
    case Ink::bad: return "\x1b[1;38;2;213;94;0m";
    case Ink::mark: return "\x1b[1;38;2;230;159;0m";
  }
  return "";
}

constexpr std::string_view end_of_color = "\x1b[0m";

constexpr std::array<char, 128> make_characters() {
  std::array<char, 128> characters{};
  for (unsigned i = 0; i < characters.size(); ++i) characters[i] = static_cast<char>(i);
  return characters;
}
constexpr std::array<char, 128> characters = make_characters();

bool starts_character(char c) { return (static_cast<unsigned char>(c) & 0xc0) != 0x80; }

/// Bytes of the first `columns` characters.
std::size_t bytes_of(std::string_view text, std::size_t columns) {
  std::size_t i = 0;
  for (; i < text.size(); ++i) {
    if (starts_character(text[i]) && columns-- == 0) break;
  }
  return i;
}

}  // namespace

std::string_view static_glyph(char c) {
  const auto index = static_cast<unsigned char>(c);
  return {&characters[index < 128 ? index : static_cast<unsigned char>('?')], 1};
}

std::string painted(std::string_view text, Ink ink, bool color) {
  if (!color || ink == Ink::plain || text.empty()) return std::string(text);
  std::string out(escape(ink));
  out += text;
  out += end_of_color;
  return out;
}

void append_cells(std::string& out, const std::vector<Cell>& cells, bool color) {
  std::size_t count = cells.size();
  while (count > 0 && cells[count - 1].glyph == " ") --count;
  Ink ink = Ink::plain;
  for (std::size_t i = 0; i < count; ++i) {
    // A blank has no colour, so it may keep that of its neighbour.
    if (color && cells[i].ink != ink && cells[i].glyph != " ") {
      if (ink != Ink::plain) out += end_of_color;
      out += escape(cells[i].ink);
      ink = cells[i].ink;
    }
    out += cells[i].glyph;
  }
  if (ink != Ink::plain) out += end_of_color;
  out += '\n';
}

std::size_t columns_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), starts_character));
}

std::vector<std::string> wrapped(std::string_view text, std::size_t first, std::size_t rest) {
  std::vector<std::string> lines;
  std::size_t room = first;
  // Only the start is looked at, or a name of a million letters would take a million times that.
  for (std::size_t most; (most = bytes_of(text, room)) < text.size();) {
    std::size_t stop = text.rfind(' ', most);
    if (stop == std::string_view::npos || stop == 0) stop = most;  // one word longer than the line
    lines.emplace_back(text.substr(0, stop));
    text.remove_prefix(stop);
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    room = rest;
  }
  if (!text.empty() || lines.empty()) lines.emplace_back(text);
  return lines;
}

std::string cut_middle(std::string_view text, std::size_t width, bool ascii) {
  if (text.size() <= width) return std::string(text);
  if (width == 0) return {};
  const std::string_view ellipsis = !ascii ? "…" : width == 1 ? "." : "..";
  const std::size_t room = width - std::min(width, ascii ? std::size_t{2} : std::size_t{1});
  const std::size_t tail = (room + 1) / 2, head = room - tail;
  return std::string(text.substr(0, head)) + std::string(ellipsis) + std::string(text.substr(text.size() - tail));
}

}  // namespace settle::report
