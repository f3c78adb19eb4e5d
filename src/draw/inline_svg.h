// Pictures inside of pages in HTML.
#pragma once

#include <string>
#include <string_view>

namespace settle::draw {

/// A picture as a part of a page.
struct InlineSvg {
  std::string style;    ///< its style rules, for the head of the page; they hold for this picture alone
  std::string element;  ///< the element `svg`
};

/// A finished picture as a part of a page. Its title and description name it for those who hear the page; the
/// dark shades are for screens only, not for paper. `id` must be that of no other element.
InlineSvg inline_svg(std::string_view svg, std::string_view id);

/// Width and height of a finished picture in pixels.
struct PictureSize {
  double width = 0, height = 0;
};
PictureSize size_of(std::string_view svg);

}  // namespace settle::draw
