// Markdown as our pages write it -> the body of a manual page: the man macros as groff_man(7) and mandoc(1)
// know them. Tables become tagged paragraphs, so that no preprocessor is needed.
#include <cctype>

#include <fmt/format.h>

#include "report/markdown_reader.h"
#include "settle/manual.h"

namespace settle {
namespace {

using namespace report;

/// Marks of Markdown as fonts: code and strong words bold.
std::string roff_line(std::string_view text) {
  std::string out;
  std::string plain;
  bool is_bold = false;
  const auto flush = [&] {
    out += roff_text(without_marks(plain));
    plain.clear();
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool is_strong = text.substr(i).starts_with("**");
    if (text[i] == '`' || is_strong) {
      flush();
      out += is_bold ? "\\fR" : "\\fB";
      is_bold = !is_bold;
      i += is_strong ? 1 : 0;
    } else if (text[i] == '[' && !is_bold && text.find("](", i) != std::string_view::npos) {
      // The text of a link may have marks of its own.
      const std::size_t middle = text.find("](", i), end = text.find(')', middle);
      flush();
      if (out.ends_with('!')) out.back() = ' ';
      out += roff_line(text.substr(i + 1, middle - i - 1));
      i = std::min(end, text.size());
    } else {
      plain += text[i];
    }
  }
  flush();
  if (is_bold) out += "\\fR";
  // A line that begins so would be a request.
  if (out.starts_with('.') || out.starts_with('\'')) out = "\\&" + out;
  return out;
}

class RoffWriter : public MarkdownReader {
 public:
  std::string write(std::string_view markdown) {
    read(markdown);
    return std::move(out_);
  }

 private:
  void gap() override {}

  void heading(std::size_t level, std::string_view text) override {
    if (level == 1) return;  // it stands in the NAME of the page
    out_ += fmt::format(".SS {}\n", roff_line(text));
    starts_ = true;
  }

  void new_paragraph() {
    if (!starts_) out_ += ".PP\n";
    starts_ = false;
  }

  void code(std::span<const std::string_view> lines) override {
    new_paragraph();
    out_ += ".RS 4\n.nf\n";
    for (const std::string_view text : lines) {
      std::string line = roff_text(text);
      if (line.starts_with('.') || line.starts_with('\'')) line = "\\&" + line;
      out_ += (line.empty() ? "\\&" : line) + "\n";
    }
    out_ += ".fi\n.RE\n";
  }

  void table(const std::vector<std::vector<std::string>>& rows) override {
    for (std::size_t r = 1; r < rows.size(); ++r) {
      out_ += ".TP\n" + (rows[r].empty() || rows[r][0].empty() ? "\\&" : roff_line(rows[r][0])) + "\n";
      bool is_empty = true;
      for (std::size_t k = 1; k < rows[r].size(); ++k) {
        if (rows[r][k].empty()) continue;
        const bool is_named = rows[0].size() > 2 && k < rows[0].size() && !rows[0][k].empty();
        if (!is_empty) out_ += ".br\n";
        out_ += roff_line(is_named ? rows[0][k] + ": " + rows[r][k] : rows[r][k]) + "\n";
        is_empty = false;
      }
      if (is_empty) out_ += "\\&\n";
    }
    starts_ = false;
  }

  void paragraph(std::string_view text, std::size_t mark) override {
    if (text.starts_with("![")) return;  // a picture
    if (mark == 0) {
      new_paragraph();
      out_ += roff_line(text) + "\n";
      return;
    }
    const std::size_t indent = std::min(text.find_first_not_of(' '), text.size());
    const std::string_view sign = text.substr(indent, mark - indent - 1);
    out_ += fmt::format(".IP \"{}\" 4\n{}\n", sign == "-" || sign == "*" ? "\\(bu" : std::string(sign),
                        roff_line(text.substr(mark)));
    starts_ = false;
  }

  std::string out_;
  bool starts_ = true;  // behind a heading no paragraph needs to be begun
};

}  // namespace

std::string roff_text(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '\\': out += "\\e"; break;
      case '-': out += "\\-"; break;
      case '"': out += "\\(dq"; break;
      case '\'': out += "\\(aq"; break;
      case '^': out += "\\(ha"; break;
      case '~': out += "\\(ti"; break;
      case '`': out += "\\(ga"; break;
      default: out += c;
    }
  }
  return out;
}

std::string manual_roff(std::string_view markdown) { return RoffWriter().write(markdown); }

}  // namespace settle
