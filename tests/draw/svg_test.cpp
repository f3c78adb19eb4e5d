#include "draw/svg.h"

#include "support/catch.h"

using namespace settle::draw;

TEST_CASE("Texts become safe inside SVG") {
  CHECK(escape_xml("a<b & \"c\">") == "a&lt;b &amp; &quot;c&quot;&gt;");
  CHECK(escape_xml("a\x01") == "a\xef\xbf\xbd");
}

TEST_CASE("Coordinates are short and rounded to tenths") {
  CHECK(number(12) == "12");
  CHECK(number(12.5) == "12.5");
  CHECK(number(-0.24) == "-0.2");
  CHECK(number(0.04) == "0");
  CHECK(number(-3.96) == "-4");
}

TEST_CASE("Wide letters take more room than narrow ones, and a long text is cut to fit") {
  CHECK(text_width("WWW", 10) > 2 * text_width("iii", 10));
  CHECK(text_width("route", 20) == 2 * text_width("route", 10));
  CHECK(text_width("\xe2\x89\xa5", 10) ==
        text_width("\xc3\xa9", 10));  // a character each, whatever its bytes
  CHECK(fitted("occupied", 10, 100) == "occupied");
  const std::string cut = fitted("occupied_by_train", 10, 50);
  CHECK(cut.substr(cut.size() - 3) == "\xe2\x80\xa6");
  CHECK(text_width(cut, 10) <= 50);
}

TEST_CASE("A picture is whole: title, description, both papers, elements in order") {
  Picture picture("A & B", "Two gates");
  picture.style().colour(".wire", "stroke", Hue::blue);
  picture.element("path", R"(class="wire" d="M0 0H5")", "net <n>");
  picture.text(1, 2, "x<y", "name", Picture::Align::end);
  const std::string svg = picture.finish(10.2, 20);
  CHECK(svg.find("<title>A &amp; B</title>\n<desc>Two gates</desc>") != std::string::npos);
  CHECK(svg.find(R"(viewBox="0 0 11 20")") != std::string::npos);
  CHECK(svg.find(".settle-picture .wire{stroke:#0072b2}") != std::string::npos);
  const auto dark = svg.find("@media (prefers-color-scheme:dark)");
  REQUIRE(dark != std::string::npos);
  CHECK(svg.find(".settle-picture .wire{stroke:#56b4e9}", dark) != std::string::npos);
  CHECK(svg.find("<path class=\"wire\" d=\"M0 0H5\"><title>net &lt;n&gt;</title></path>\n"
                 "<text x=\"1\" y=\"2\" class=\"name\" text-anchor=\"end\">x&lt;y</text>\n</svg>\n") !=
        std::string::npos);
}
