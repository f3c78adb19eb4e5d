// Pictures inside of pages in HTML.
#pragma once

#include <string>
#include <string_view>

namespace settle::draw {

/// The element `svg` of a finished picture as a part of a page. Its style rules hold for it alone, its title
/// and description are its name for those who hear the page, and the dark shades are for screens only, not
/// for paper. `id` is a word that no other element of the page begins its id with.
std::string inline_svg(std::string_view svg, std::string_view id);

/// Width and height of a finished picture in pixels.
struct PictureSize {
  double width = 0, height = 0;
};
PictureSize size_of(std::string_view svg);

}  // namespace settle::draw
