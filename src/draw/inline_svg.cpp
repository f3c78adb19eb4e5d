// Picture::finish() writes a fixed form: the element's start, its title, its description, its style, its
// body. Names from outside stand in the title, the description and the body only, and are passed over as a
// whole.
#include "draw/inline_svg.h"

#include <charconv>

#include <fmt/format.h>

namespace settle::draw {
namespace {

constexpr std::string_view picture_scope = ".settle-picture ";
constexpr std::string_view dark_rule = "@media (prefers-color-scheme:dark)";

/// Takes what comes before `mark`, and `mark`, from the front of `text`.
std::string_view take_to(std::string_view& text, std::string_view mark) {
  const std::size_t end = text.find(mark);
  const std::string_view taken = text.substr(0, end);
  text.remove_prefix(end == std::string_view::npos ? text.size() : end + mark.size());
  return taken;
}

double attribute(std::string_view svg, std::string_view name) {
  take_to(svg, fmt::format(" {}=\"", name));
  double value = 0;
  std::from_chars(svg.data(), svg.data() + svg.size(), value);
  return value;
}

/// Each selector of a list gets the scope, also where only the first one has it.
std::string scoped(std::string_view style, std::string_view id) {
  std::string out;
  bool in_selector = false;
  while (!style.empty()) {
    if (style.starts_with(picture_scope)) {
      out += fmt::format("#{} ", id);
      style.remove_prefix(picture_scope.size());
      in_selector = true;
      continue;
    }
    if (style.starts_with(dark_rule)) {
      out += "@media screen and (prefers-color-scheme:dark)";
      style.remove_prefix(dark_rule.size());
      continue;
    }
    if (style.front() == '{') in_selector = false;
    out += style.front();
    if (in_selector && style.front() == ',') out += fmt::format("#{} ", id);
    style.remove_prefix(1);
  }
  return out;
}

}  // namespace

PictureSize size_of(std::string_view svg) { return {attribute(svg, "width"), attribute(svg, "height")}; }

InlineSvg inline_svg(std::string_view svg, std::string_view id) {
  const PictureSize size = size_of(svg);
  std::string_view head = svg;
  take_to(head, "<title>");
  const std::string_view title = take_to(head, "</title>");
  take_to(svg, ">\n");
  const std::string_view names = take_to(svg, "<style type=\"text/css\">");
  return {scoped(take_to(svg, "</style>\n"), id),
          fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{0}\" role=\"img\" aria-label=\"{1}\" "
                      "width=\"{2}\" "
                      "height=\"{3}\" viewBox=\"0 0 {2} {3}\">\n{4}{5}",
                      id, title, size.width, size.height, names, svg)};
}

}  // namespace settle::draw
