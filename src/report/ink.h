// Characters with a colour: the paper that diagrams in text are drawn on.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace settle::report {

/// What a character means; its colour follows from that.
enum class Ink : std::uint8_t {
  plain,    ///< the terminal's own colour
  faint,    ///< grid lines and ruler
  strong,   ///< names and head lines
  high,     ///< vermillion
  low,      ///< blue
  unknown,  ///< reddish purple
  loose,    ///< high impedance: grey
  mark,     ///< orange
  bad,      ///< a failure or a bad verdict: vermillion, bold
};

/// One column. Glyphs are string literals or views of one ASCII character in static_glyph().
struct Cell {
  std::string_view glyph = " ";
  Ink ink = Ink::plain;
};

/// A view of an ASCII character that lives for ever.
std::string_view static_glyph(char c);

/// Text in the colour of `ink`, or as it is.
std::string painted(std::string_view text, Ink ink, bool color);

/// Appends cells as text and a line feed; trailing blanks are left out.
void append_cells(std::string& out, const std::vector<Cell>& cells, bool color);

/// Columns that a text takes: its characters, since all of ours are one column wide.
std::size_t columns_of(std::string_view text);

/// Breaks a text into lines of at most `first` columns, then `rest` columns, between words where
/// possible. Both at least 1.
std::vector<std::string> wrapped(std::string_view text, std::size_t first, std::size_t rest);

/// At most `width` columns: cut in the middle, where an ellipsis stands. ASCII texts only.
std::string cut_middle(std::string_view text, std::size_t width, bool ascii);

}  // namespace settle::report
