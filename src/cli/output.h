// Where results go: the standard output, or a file that is written whole or not at all.
#pragma once

#include <string>
#include <string_view>

namespace settle::cli {

/// Writes `text` to `path`, or to the standard output when `path` is empty. A file appears only
/// when all of it could be written, and keeps the permissions of one that it replaces; a symbolic link
/// is followed, a device, pipe or open file (/dev/stdout) is written as it is. A reader that closed the pipe
/// is no error. Returns false and prints why on other failures.
bool write_output(const std::string& path, std::string_view text);

/// Prints on the standard error.
void print_message(std::string_view text);

bool is_terminal_output();
bool is_terminal_for_messages();

/// Columns of the terminal that `stream` (a file number) is, or 80 when it is none. COLUMNS has its usual
/// meaning.
unsigned terminal_width(int stream = 1);

}  // namespace settle::cli
