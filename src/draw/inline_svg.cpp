// Picture::finish() writes a fixed form: the element's start, its title, its description, its style, its
// body. Names from outside stand in the title, the description and the body only, and are passed over as a
// whole.
#include "draw/inline_svg.h"

#include <charconv>

#include <fmt/format.h>

namespace settle::draw {
namespace {

constexpr std::string_view scope = ".settle-picture ";
constexpr std::string_view dark = "@media (prefers-color-scheme:dark)";

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
    if (style.starts_with(scope)) {
      out += fmt::format("#{} ", id);
      style.remove_prefix(scope.size());
      in_selector = true;
      continue;
    }
    if (style.starts_with(dark)) {
      out += "@media screen and (prefers-color-scheme:dark)";
      style.remove_prefix(dark.size());
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

std::string inline_svg(std::string_view svg, std::string_view id) {
  const PictureSize size = size_of(svg);
  take_to(svg, "<title>");
  const std::string_view title = take_to(svg, "</title>");
  take_to(svg, "<desc>");
  const std::string_view description = take_to(svg, "</desc>");
  take_to(svg, "<style>");
  const std::string style = scoped(take_to(svg, "</style>"), id);
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"{0}\" role=\"img\" aria-labelledby=\"{0}-title\" "
      "aria-describedby=\"{0}-desc\" width=\"{1}\" height=\"{2}\" viewBox=\"0 0 {1} {2}\">\n"
      "<title id=\"{0}-title\">{3}</title>\n<desc id=\"{0}-desc\">{4}</desc>\n<style>{5}</style>{6}",
      id, size.width, size.height, title, description, style, svg);
}

}  // namespace settle::draw
