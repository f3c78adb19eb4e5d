#include "draw/svg.h"

#include <array>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

namespace settle::draw {
namespace {

struct Shades {
  std::string_view light, dark;
};

// By Hue. Okabe and Ito's sky blue and yellow fade on white; so blue is sky blue on dark paper only.
constexpr std::array<Shades, 9> shades = {{
    {"#ffffff", "#14171b"},  // paper
    {"#f2f4f6", "#20252b"},  // panel
    {"#1b1f24", "#e7eaee"},  // ink
    {"#5b6570", "#9aa5b1"},  // faint
    {"#0072b2", "#56b4e9"},  // blue
    {"#00795a", "#2fbf95"},  // green
    {"#a87000", "#e69f00"},  // orange
    {"#c65300", "#ff8a3d"},  // vermillion
    {"#a8558a", "#dd9fc3"},  // purple
}};

// Advance widths of the printable ASCII characters in thousandths of the font size, from U+0020, as a
// common Helvetica-like face has them (its metrics file, from memory; texts are measured with a margin).
constexpr std::array<short, 95> advances = {
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333,  278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667,  611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278,  556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500,  500, 334, 260, 334, 584};
constexpr double wide_advance = 1000;  // of all others
constexpr double safety = 1.16;        // faces in common use are up to this much wider
constexpr double bold_factor = 1.14;

constexpr std::string_view scope = ".settle-picture";

bool continues(char c) { return (static_cast<unsigned char>(c) & 0xc0) == 0x80; }

double advance_of(char first) {
  const auto code = static_cast<unsigned char>(first);
  return code >= 0x20 && code < 0x7f ? advances[code - 0x20] : wide_advance;
}

}  // namespace

std::string_view shade_of(Hue hue, bool dark) {
  const Shades& both = shades[static_cast<std::size_t>(hue)];
  return dark ? both.dark : both.light;
}

std::string escape_xml(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
      case '&': result += "&amp;"; break;
      case '<': result += "&lt;"; break;
      case '>': result += "&gt;"; break;
      case '"': result += "&quot;"; break;
      default:
        if (static_cast<unsigned char>(c) < 0x20) {
          result += "\xef\xbf\xbd";
        } else {
          result += c;
        }
    }
  }
  return result;
}

std::string number(double value) {
  const long long tenths = std::llround(value * 10);
  if (tenths % 10 == 0) return fmt::format("{}", tenths / 10);
  return fmt::format("{}{}.{}", tenths < 0 ? "-" : "", std::llabs(tenths) / 10, std::llabs(tenths) % 10);
}

double text_width(std::string_view text, double size, bool bold) {
  double thousandths = 0;
  for (const char c : text) {
    if (!continues(c)) thousandths += advance_of(c);
  }
  return thousandths / 1000 * size * safety * (bold ? bold_factor : 1);
}

std::string fitted(std::string_view text, double size, double room) {
  if (text_width(text, size) <= room) return std::string(text);
  static constexpr std::string_view ellipsis = "\xe2\x80\xa6";
  double left = room - text_width(ellipsis, size);
  std::size_t end = 0;
  while (end < text.size()) {
    std::size_t next = end + 1;
    while (next < text.size() && continues(text[next])) ++next;
    left -= text_width(text.substr(end, next - end), size);
    if (left < 0) break;
    end = next;
  }
  return std::string(text.substr(0, end)).append(ellipsis);
}

void StyleSheet::rule(std::string_view selector, std::string_view declarations) {
  both_ += fmt::format("{} {}{{{}}}\n", scope, selector, declarations);
}

void StyleSheet::colour(std::string_view selector, std::string_view property, Hue hue) {
  both_ += fmt::format("{} {}{{{}:{}}}\n", scope, selector, property, shade_of(hue, false));
  dark_ += fmt::format("{} {}{{{}:{}}}\n", scope, selector, property, shade_of(hue, true));
}

std::string StyleSheet::text() const {
  return fmt::format("<style type=\"text/css\">\n{}@media (prefers-color-scheme:dark){{\n{}}}\n</style>\n", both_, dark_);
}

Picture::Picture(std::string title, std::string description)
    : title_(std::move(title)), description_(std::move(description)) {
  style_.rule("text", "font-family:Helvetica,Arial,'Liberation Sans',sans-serif;font-size:12px;stroke:none");
  style_.colour("text", "fill", Hue::ink);
  style_.colour(".paper", "fill", Hue::paper);
}

void Picture::element(std::string_view name, std::string_view attributes) {
  body_ += fmt::format("<{} {}/>\n", name, attributes);
}

void Picture::element(std::string_view name, std::string_view attributes, std::string_view tip) {
  if (tip.empty()) return element(name, attributes);
  body_ += fmt::format("<{} {}><title>{}</title></{}>\n", name, attributes, escape_xml(tip), name);
}

void Picture::open(std::string_view name, std::string_view attributes) {
  body_ += attributes.empty() ? fmt::format("<{}>\n", name) : fmt::format("<{} {}>\n", name, attributes);
}

void Picture::close(std::string_view name) { body_ += fmt::format("</{}>\n", name); }

void Picture::text(double x, double y, std::string_view words, std::string_view classes, Align align) {
  const std::string_view anchor = align == Align::start    ? ""
                                  : align == Align::middle ? R"( text-anchor="middle")"
                                                           : R"( text-anchor="end")";
  const std::string named = classes.empty() ? "" : fmt::format(R"( class="{}")", classes);
  body_ += fmt::format("<text x=\"{}\" y=\"{}\"{}{}>{}</text>\n", number(x), number(y), named, anchor,
                       escape_xml(words));
}

std::string Picture::finish(double width, double height) const {
  const std::string w = number(std::ceil(width)), h = number(std::ceil(height));
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"settle-picture\" role=\"img\" width=\"{0}\" "
      "height=\"{1}\" "
      "viewBox=\"0 0 {0} {1}\">\n<title>{2}</title>\n<desc>{3}</desc>\n{4}"
      "<rect class=\"paper\" width=\"{0}\" height=\"{1}\"/>\n{5}</svg>\n",
      w, h, escape_xml(title_), escape_xml(description_), style_.text(), body_);
}

}  // namespace settle::draw
