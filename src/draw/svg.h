// What all pictures are made of: SVG 1.1 text (W3C Recommendation 2011) without scripts, fonts or links to
// elsewhere, readable on light and dark paper, and the room that a text takes.
//
// Colours are those of Okabe and Ito, "Color Universal Design" (2008), which people with any kind of colour
// vision can tell apart; on each paper only those of them are used that stand out from it. Nothing is said
// by colour alone: pictures differ the stroke pattern or write a word as well.
#pragma once

#include <string>
#include <string_view>

namespace settle::draw {

/// A colour by what it is used for; its shade depends on the paper.
enum class Hue { paper, panel, ink, faint, blue, green, orange, vermillion, purple };

/// "#0072b2": the shade of a hue on light or dark paper.
std::string_view shade_of(Hue hue, bool dark);

/// Text for an element's content or a quoted attribute value; control characters become U+FFFD.
std::string escape_xml(std::string_view text);

/// A coordinate, rounded to a tenth, without needless digits: "12", "12.5".
std::string number(double value);

/// Room in pixels that a line of UTF-8 text takes at a font size, on the safe side: the widths of a common
/// sans-serif face and a margin, since the reader's face may be another one. `bold` takes some more.
double text_width(std::string_view text, double size, bool bold = false);

/// The text cut to fit into `room` pixels, with an ellipsis where it was cut.
std::string fitted(std::string_view text, double size, double room);

/// Rules of a picture, each scoped to it, with the shades of both papers.
class StyleSheet {
 public:
  /// Declarations that are the same on both papers: rule(".wire", "fill:none;stroke-width:1.5").
  void rule(std::string_view selector, std::string_view declarations);
  /// colour(".wire", "stroke", Hue::ink).
  void colour(std::string_view selector, std::string_view property, Hue hue);
  /// The element `style`.
  std::string text() const;

 private:
  std::string both_, dark_;
};

/// One picture: elements are added in drawing order, later ones cover earlier ones.
class Picture {
 public:
  /// `title` names it, `description` says in words what it shows to those who cannot see it.
  Picture(std::string title, std::string description);

  StyleSheet& style() { return style_; }

  /// `attributes` are written as they are: R"(x="1" y="2")". Texts inside must be escaped.
  void element(std::string_view name, std::string_view attributes);
  /// With a text that a pointer resting on it shows; none when empty.
  void element(std::string_view name, std::string_view attributes, std::string_view tip);
  void open(std::string_view name, std::string_view attributes);
  void close(std::string_view name);

  enum class Align { start, middle, end };
  /// A line of text with its baseline at y. `classes` as in class="...", may be empty.
  void text(double x, double y, std::string_view words, std::string_view classes = {},
            Align align = Align::start);

  /// The whole document, `width` by `height` pixels.
  std::string finish(double width, double height) const;

 private:
  std::string title_, description_;
  StyleSheet style_;
  std::string body_;
};

}  // namespace settle::draw
