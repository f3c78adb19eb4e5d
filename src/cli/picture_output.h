// Pictures as files: SVG as it is, other forms by a tool of the system.
#pragma once

#include <string>
#include <string_view>

namespace settle::cli {

/// "png" or "pdf" where the name ends so, else "svg".
std::string picture_format_of_path(std::string_view path);

/// Writes `svg` as "svg", "png" or "pdf" like write_output(). The latter two need the program rsvg-convert
/// (package librsvg2-bin). Returns false and prints why on failures.
bool write_picture(const std::string& path, std::string_view svg, std::string_view format);

}  // namespace settle::cli
