// Texts of the input, file names too, on their way to a terminal.
#pragma once

#include <string>
#include <string_view>

#include "text/utf8.h"

namespace settle {

/// Appends one character; what would not be seen on a terminal, or would change it, as an escape.
/// A tab becomes one blank. Gives the number of columns used.
std::size_t append_visible(std::string& out, const Utf8Character& character, std::string_view bytes);

/// All of a text in this way.
std::string visible_text(std::string_view text);

}  // namespace settle
